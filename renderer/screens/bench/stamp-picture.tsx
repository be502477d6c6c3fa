import { useEffect, useRef, useState } from 'react';
import type { CameraAngle } from '../../../core/contract/readings.ts';
import type { Stamp } from '../../../core/mockup/stamps.ts';
import { refusalText } from '../../../core/wheel/refusals.ts';
import type { RefusalReason } from '../../../core/wheel/types.ts';
import { Button } from '../../parts/controls.tsx';
import { measuredAngle } from '../../parts/expanded-angle.ts';
import type { Run } from '../../state/bench-run-effects.ts';
import { sentenceOf } from '../../state/sentence-of.ts';

/** The kept frames, large; that of the wheel can be read again. */
export function StampPicture({
  stamp,
  run,
  title,
  onClose,
}: {
  stamp: Stamp;
  run: Run;
  title: string;
  onClose: () => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  const [again, setAgain] = useState<CameraAngle | RefusalReason | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const url = usePicture(run, stamp.current.pictureId, setFailure);
  // A refined value was stored without a picture of its own: the second one lies with the first reading.
  const secondId = stamp.history.findLast(({ secondPictureId }) => secondPictureId !== null)?.secondPictureId ?? null;
  const secondUrl = usePicture(run, secondId, setFailure);
  useEffect(() => {
    const element = dialog.current;
    element?.showModal();
    return () => element?.close();
  }, []);
  return (
    <dialog
      ref={dialog}
      className="picture-dialog"
      aria-label={`Picture of ${title}`}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
    >
      <div className="row spread">
        <h2>{title}</h2>
        <Button
          onPress={() => {
            run
              .readAgain(stamp)
              .then(setAgain)
              .catch((error: unknown) => setFailure(sentenceOf(error)));
          }}
        >
          Read it again
        </Button>
        {again !== null && typeof again !== 'string' ? (
          <Button
            onPress={() => {
              run.storeReRead(stamp, again);
              onClose();
            }}
          >
            Use this value
          </Button>
        ) : null}
        <Button keyHint="Esc" onPress={onClose}>
          Close
        </Button>
      </div>
      <p role="status" data-testid="read-again">
        {failure ??
          (again === null
            ? ''
            : typeof again !== 'string'
              ? readAgainSentence(again)
              : `${refusalText(again).what} ${refusalText(again).remedy}`)}
      </p>
      {url === null ? null : <img src={url} alt="Degree wheel at the moment of the stamp" />}
      {secondUrl === null ? null : <img src={secondUrl} alt="Second camera at the moment of the stamp" />}
    </dialog>
  );
}

function readAgainSentence({ rotationDeg, sigmaDeg, movement }: CameraAngle): string {
  const { decimals, expanded } = measuredAngle(sigmaDeg);
  const where = movement === undefined ? '' : ', where the turning crank stood at the signal';
  return `Read again: ${rotationDeg.toFixed(decimals)} ± ${expanded} from the reference${where}.`;
}

/** Address of a kept picture, once it is here. */
function usePicture(run: Run, pictureId: string | null, onFailure: (sentence: string) => void): string | null {
  const [url, setUrl] = useState<string | null>(null);
  useEffect(() => {
    if (pictureId === null) return;
    let made: string | null = null;
    let isOver = false;
    run
      .picture(pictureId)
      .then((blob) => {
        if (isOver) return;
        made = URL.createObjectURL(blob);
        setUrl(made);
      })
      .catch((error: unknown) => onFailure(sentenceOf(error)));
    return () => {
      isOver = true;
      if (made !== null) URL.revokeObjectURL(made);
    };
  }, [run, pictureId, onFailure]);
  return url;
}
