import { useState } from 'react';
import type { Port } from '../../../core/contract/parts.ts';
import { wantedSentence } from '../../../core/mockup/run-order.ts';
import type { Stamp } from '../../../core/mockup/stamps.ts';
import { Button } from '../../parts/controls.tsx';
import { measuredAngle } from '../../parts/expanded-angle.ts';
import { shownTime } from '../../parts/time-text.ts';
import { quotedCrank } from '../../state/bench-angle.ts';
import { angleOf, type RunState } from '../../state/bench-run.ts';
import type { Run } from '../../state/bench-run-effects.ts';
import { StampPicture } from './stamp-picture.tsx';

interface StampListProps {
  readonly stamps: readonly Stamp[];
  readonly run: Run;
  readonly ports: readonly Port[];
  readonly flash: RunState['flash'];
  /** Stamps that stand apart from the repeats of their edge. */
  readonly outlierIds: ReadonlySet<string>;
  readonly crankOf: (stamp: Stamp) => number | null;
}

/** All stamps, newest at the top, each with its picture. */
export function StampList({ stamps, run, ports, flash, outlierIds, crankOf }: StampListProps) {
  const [opened, setOpened] = useState<string | null>(null);
  const shown = stamps.filter((stamp) => stamp.current.subject.what !== 'quantity').reverse();
  const openStamp = shown.find((stamp) => stamp.root.id === opened) ?? null;
  return (
    <>
      <h2>Stamps</h2>
      {shown.length === 0 ? <p className="muted">None yet. The newest will stand at the top.</p> : null}
      <ol className="stamps" aria-label="Stamps">
        {shown.map((stamp) => (
          <li
            key={`${stamp.root.id}:${flash?.readingId === stamp.root.id ? flash.count : 0}`}
            className={`stamp ${flash?.readingId === stamp.root.id ? 'stamp-flash' : ''}`}
            data-testid="stamp"
            data-struck={stamp.struck}
            data-provisional={isProvisional(stamp)}
          >
            <div>
              <strong>{stampTitle(stamp, ports)}</strong>{' '}
              <span className="stamp-angle">{angleText(stamp, crankOf(stamp))}</span>
              <div className="muted small">
                {shownTime(stamp.root.takenAt)}
                {stamp.struck ? ', taken back' : ''}
                {stamp.doubtful ? ', in doubt' : ''}
                {stamp.isVoid ? `, void: ${stamp.reason}` : ''}
                {isProvisional(stamp) ? ', provisional' : ''}
                {wasTurning(stamp) ? ', stamped while the crank turned' : ''}
                {outlierIds.has(stamp.root.id) ? ', ▲ stands apart from its repeats' : ''}
                {stamp.history.length > 1 ? `, ${stamp.current.supersedesReason}` : ''}
              </div>
            </div>
            {stamp.current.pictureId === null ? null : (
              <Button
                look="quiet"
                name={`Open the picture of ${stampTitle(stamp, ports)}`}
                onPress={() => setOpened(stamp.root.id)}
              >
                Picture
              </Button>
            )}
            {stamp.struck ? (
              <Button look="quiet" onPress={() => run.restore(stamp)}>
                Give back
              </Button>
            ) : (
              <Button
                look="quiet"
                name={`Strike ${stampTitle(stamp, ports)}`}
                onPress={() => run.strike(stamp, 'Struck at the bench.')}
              >
                Strike
              </Button>
            )}
          </li>
        ))}
      </ol>
      {openStamp === null ? null : (
        <StampPicture
          stamp={openStamp}
          run={run}
          title={stampTitle(openStamp, ports)}
          onClose={() => setOpened(null)}
        />
      )}
    </>
  );
}

function isProvisional(stamp: Stamp): boolean {
  const angle = angleOf(stamp.current);
  return angle?.by === 'camera' && angle.provisional;
}

function wasTurning(stamp: Stamp): boolean {
  const angle = angleOf(stamp.current);
  return angle?.by === 'camera' && angle.movement !== undefined;
}

function stampTitle(stamp: Stamp, ports: readonly Port[]): string {
  const { subject } = stamp.current;
  switch (subject.what) {
    case 'stop_contact':
    case 'port_edge':
      return wantedSentence(subject, ports);
    case 'tdc_check':
      return `Check of TDC, turning ${subject.turning}`;
    case 'quantity':
      return subject.quantity;
  }
}

function angleText(stamp: Stamp, crankDeg: number | null): string {
  const angle = angleOf(stamp.current);
  if (angle === null) return '';
  if (angle.by === 'typed') {
    const shown = `wheel ${angle.typedText}, read to ${angle.resolutionDeg}`;
    if (crankDeg === null) return shown;
    const { figure, side } = quotedCrank(crankDeg, 1);
    return `${figure} ${side} (${shown})`;
  }
  const { decimals, expanded } = measuredAngle(angle.sigmaDeg);
  const spread = ` ± ${expanded}`;
  if (crankDeg === null) return `${angle.rotationDeg.toFixed(decimals)}${spread} from the reference`;
  const { figure, side } = quotedCrank(crankDeg, decimals);
  return `${figure}${spread} ${side}`;
}
