import type { Deg } from '../units.ts';
import { isComplete } from './frame-readings.ts';
import type { FoundFrame, TdcCheck } from './wheel-frames.ts';

export interface TdcResult {
  readonly isFound: boolean;
  readonly sentence: string;
  /** Added to the middle of the contacts; 0 without offset. */
  readonly correctionDeg: Deg;
  readonly sigmaDeg: Deg | null;
  /** The last complete check in the present place of the wheel; null where none was made. */
  readonly check: TdcCheck | null;
  /** Why TDC must be checked again, in a sentence, or null. */
  readonly driftSentence: string | null;
  /** Everything up to this moment is proven by a check that came out right; empty where none did. */
  readonly provenAt: string;
}

/** What the last frame with TDC, and the checks of all frames, say of it. */
export function tdcResult(frame: FoundFrame | null, frames: readonly FoundFrame[]): TdcResult {
  const proofs = frames.flatMap(({ checks }) => checks.filter(({ hasMoved }) => !hasMoved).map(timeOf));
  const provenAt = latestOf(proofs);
  const tdc = frame?.tdc ?? null;
  if (frame === null || tdc === null) {
    return {
      isFound: false,
      sentence: 'True TDC is open: stamp the contact with the stop from both sides.',
      correctionDeg: 0,
      sigmaDeg: null,
      check: null,
      driftSentence: null,
      provenAt,
    };
  }
  const { correctionDeg, tdcReadingDeg } = tdc;
  const corrected =
    correctionDeg === 0 ? 'no offset to correct' : `corrected by ${correctionDeg.toFixed(3)} deg for the offset`;
  const heights = frame.heights.filter(isComplete).length;
  const contacts = heights > 1 ? `both contacts at ${heights} heights of the stop` : 'both contacts';
  const check = frame.checks.at(-1) ?? null;
  const checked =
    check === null ? '' : `; checked again, ${Math.abs(check.driftDeg.value).toFixed(2)} deg from where it was found`;
  return {
    isFound: true,
    sentence: `True TDC from ${contacts}, ${corrected}, U ${(2 * tdcReadingDeg.sigma).toFixed(2)} deg${checked}`,
    correctionDeg,
    sigmaDeg: tdcReadingDeg.sigma,
    check,
    driftSentence:
      check?.hasMoved === true
        ? `True TDC has drifted by ${check.driftDeg.value.toFixed(2)} deg since it was found, U ${(2 * check.driftDeg.sigma).toFixed(2)}: something moved. Press "Wheel moved" to put what was read since in doubt, and read again.`
        : null,
    provenAt,
  };
}

/** When the last contact of a check was taken. */
function timeOf({ reads }: TdcCheck): string {
  const times = [...reads.forwards, ...reads.backwards].map(({ stamp }) => stamp.root.takenAt);
  return latestOf(times);
}

/** Times are written so that they sort as text. */
function latestOf(times: readonly string[]): string {
  return times.toSorted((a, b) => (a < b ? -1 : 1)).at(-1) ?? '';
}
