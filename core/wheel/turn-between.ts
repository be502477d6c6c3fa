import { pairThreshold } from './calibrate.ts';
import { frameView } from './frame-view.ts';
import { matchPair } from './pair-match.ts';
import type { SetupState } from './state.ts';

/** The proof that no other position fits must be this strong, standard deviations. */
const leastProof = 4;

/**
 * How far the face stands turned from the reference frame of one set-up to that of another, as their pictures show it.
 * A camera that was put up anew adds its own roll, so this is a check, not a reading.
 * @returns degrees clockwise in [0, 360), or null where the two faces can't be matched
 */
export function turnBetween(earlier: SetupState, later: SetupState): number | null {
  const [from, to] = [earlier.codedRing, later.codedRing];
  if (from !== null && to !== null)
    return from.grows === to.grows ? (to.absoluteDeg - from.absoluteDeg + 360) % 360 : null;
  const match = matchPair(
    frameView(earlier.referenceRing, earlier.referenceFace, earlier.repeatDeg),
    frameView(later.referenceRing, later.referenceFace, later.repeatDeg),
    earlier.tickStepDeg,
  );
  if (match === null || match.medianNcc < pairThreshold(false) || match.unique.otherZ < leastProof) return null;
  return match.rotationDeg;
}
