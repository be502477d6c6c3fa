import { useState } from 'react';
import type { MarkKind } from '../../../core/contract/readings.ts';
import type { Stamp } from '../../../core/mockup/stamps.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { measuredAngle } from '../../parts/expanded-angle.ts';
import { TextField } from '../../parts/fields.tsx';
import { PictureDialog } from '../../parts/picture-dialog.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';

/** All readings of one edge, oldest first; each with its picture, none ever removed. */
export function StampList({ stamps }: { stamps: readonly Stamp[] }) {
  const [pictureId, setPictureId] = useState<string | null>(null);
  return (
    <>
      <table className="table stamp-list">
        <thead>
          <tr>
            <th scope="col">Taken</th>
            <th scope="col">Turning</th>
            <th scope="col" className="figure">
              Reading
            </th>
            <th scope="col">By</th>
            <th scope="col">State</th>
            <th scope="col">
              <span className="visually-hidden">Do</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {stamps.map((stamp) => (
            <StampLine key={stamp.root.id} stamp={stamp} onPicture={setPictureId} />
          ))}
        </tbody>
      </table>
      {pictureId === null ? null : <PictureDialog pictureId={pictureId} onClose={() => setPictureId(null)} />}
    </>
  );
}

function StampLine({ stamp, onPicture }: { stamp: Stamp; onPicture: (pictureId: string) => void }) {
  const client = useClient();
  const [isAsking, setAsking] = useState(false);
  const [reason, setReason] = useState('');
  const [failure, setFailure] = useState<string | null>(null);
  const { current, root } = stamp;
  const { subject } = current;
  const mark = async (kind: MarkKind, why: string) => {
    try {
      await client.call('reading.mark', { readingIds: [root.id], mark: kind, reason: why });
      setAsking(false);
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  };
  const picture = current.pictureId ?? root.pictureId;
  const refined = stamp.history.length - 1;
  return (
    <tr className={stamp.struck ? 'stamp-struck' : stamp.isVoid ? 'stamp-void' : undefined}>
      <td>{shownTime(root.takenAt)}</td>
      <td>{subject.what === 'quantity' ? '' : subject.turning}</td>
      <td className="figure stamp-reading">{readingOf(stamp)}</td>
      <td>{root.measuredBy}</td>
      <td>
        {stamp.struck ? 'struck out' : stamp.isVoid ? 'void' : stamp.doubtful ? 'doubtful' : 'counts'}
        {stamp.reason === '' ? '' : `: ${stamp.reason}`}
        {refined === 0 ? '' : `; replaced ${refined} earlier ${refined === 1 ? 'value' : 'values'}`}
        {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      </td>
      <td className="figure">
        {isAsking ? (
          <form
            className="row"
            onSubmit={(event) => {
              event.preventDefault();
              void mark('struck', reason.trim() === '' ? 'no reason given' : reason.trim());
            }}
          >
            <TextField
              label="Reason for striking it out"
              isLabelHidden
              placeholder="Reason"
              autoFocus
              value={reason}
              onChange={setReason}
            />
            <button type="submit" className="button button-plain">
              Strike out
            </button>
          </form>
        ) : (
          <>
            {picture === null ? null : (
              <Button look="quiet" name={`Picture of ${shownTime(root.takenAt)}`} onPress={() => onPicture(picture)}>
                Picture
              </Button>
            )}
            {stamp.struck ? (
              <Button look="quiet" onPress={() => void mark('restored', 'restored at the desk')}>
                Restore
              </Button>
            ) : (
              <>
                {stamp.isVoid || stamp.doubtful ? (
                  <Button
                    look="quiet"
                    onPress={() => void mark(stamp.isVoid ? 'valid' : 'trusted', 'taken back into use at the desk')}
                  >
                    Let it count again
                  </Button>
                ) : null}
                <Button look="quiet" onPress={() => setAsking(true)}>
                  Strike out
                </Button>
              </>
            )}
          </>
        )}
      </td>
    </tr>
  );
}

function readingOf(stamp: Stamp): string {
  const { subject } = stamp.current;
  if (subject.what === 'quantity') return subject.typedText;
  const { angle } = subject;
  if (angle.by === 'typed') return `${angle.typedText} on the wheel`;
  const words = `${angle.provisional ? ' provisional' : ''}${angle.movement === undefined ? '' : ', crank turning'}`;
  const { decimals, expanded } = measuredAngle(angle.sigmaDeg);
  return `${angle.rotationDeg.toFixed(decimals)} ± ${expanded}${words}`;
}
