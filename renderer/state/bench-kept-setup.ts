import type { Reading, Way, WheelSetup, WheelSetupContent } from '../../core/contract/readings.ts';
import { frameOf } from '../../core/mockup/edge-readings.ts';
import { wrapSigned, wrapTurn } from '../../core/units.ts';
import type { CameraCheck, RefusalReason, WheelReading } from '../../core/wheel/types.ts';

/** How a set-up fits what the camera sees: that of yesterday, or the present one after a knock. */
export type SetupFit =
  /** Nothing can be said yet; the reason, where there is one, is in the way. */
  | { readonly kind: 'open'; readonly reason: RefusalReason | null }
  | { readonly kind: 'fits'; readonly areSurroundingsSeen: boolean }
  /** The ring is where it was; what stands round it is not. */
  | { readonly kind: 'surroundings_moved'; readonly shiftPx: number }
  | { readonly kind: 'camera_moved'; readonly shiftPx: number | null }
  /** The surroundings are where they were; the wheel is not. */
  | { readonly kind: 'engine_moved' }
  | { readonly kind: 'other_size' };

/** What a wheel that sits elsewhere in the picture looks like to the reader. */
const elsewhere: ReadonlySet<RefusalReason> = new Set(['wheel_moved', 'nothing_matches', 'model_does_not_fit']);

/** Judges by the latest look at the surroundings and the latest frame together. */
export function setupFit(check: CameraCheck | null, reading: WheelReading | null): SetupFit {
  if (reading === null) return { kind: 'open', reason: null };
  if (!reading.accepted) {
    const { reason } = reading;
    if (reason === 'picture_size_changed') return { kind: 'other_size' };
    if (reason === 'camera_moved') return { kind: 'camera_moved', shiftPx: check?.shiftPx ?? null };
    if (elsewhere.has(reason) && check?.state === 'moved') return { kind: 'camera_moved', shiftPx: check.shiftPx };
    if (elsewhere.has(reason) && check?.state === 'still') return { kind: 'engine_moved' };
    return { kind: 'open', reason };
  }
  if (check === null) return { kind: 'open', reason: null };
  if (check.state === 'moved') return { kind: 'surroundings_moved', shiftPx: check.shiftPx };
  return { kind: 'fits', areSurroundingsSeen: check.state === 'still' };
}

/** What the operator reads of it, and whether the wheel has to be set up again. */
export function setupFitText(fit: SetupFit): { readonly sentence: string; readonly mustSetUp: boolean } | null {
  switch (fit.kind) {
    case 'open':
      return null;
    case 'fits':
      return {
        sentence: fit.areSurroundingsSeen
          ? 'Camera, engine and wheel are where they were. Whether the wheel was turned on the crank can’t be seen: check TDC before reading on.'
          : 'The wheel is where it was; there is too little round it to tell whether the camera stands as it did. Check TDC before reading on.',
        mustSetUp: false,
      };
    case 'surroundings_moved':
      return {
        sentence: `The wheel is where it was, but what stands round it has moved by ${fit.shiftPx.toFixed(1)} pixels: something was moved on the bench, or the camera was touched. Check TDC before reading on.`,
        mustSetUp: false,
      };
    case 'camera_moved':
      return {
        sentence: `The camera has moved${fit.shiftPx === null ? '' : ` by ${fit.shiftPx.toFixed(1)} pixels`}. Put it back, or find the wheel again; stamps already taken are kept.`,
        mustSetUp: true,
      };
    case 'engine_moved':
      return {
        sentence:
          'The camera stands where it did, but the engine or the wheel has moved. Tighten what is loose, then find the wheel again; stamps already taken are kept.',
        mustSetUp: true,
      };
    case 'other_size':
      return {
        sentence:
          'The picture has another size than the set-up’s. Choose the earlier size, or find the wheel again; stamps already taken are kept.',
        mustSetUp: true,
      };
  }
}

/** Set-ups whose carrying on saves stamps: those with stamps of their own or of a set-up that they carry on. */
export function setupsWorthCarryingOn(
  setups: readonly WheelSetup[],
  readings: readonly Reading[],
): ReadonlySet<string> {
  const stamped = new Set(
    readings.flatMap(({ subject }) => (subject.what === 'quantity' ? [] : [subject.angle.setupId])),
  );
  const frameIds = new Map(setups.map((setup) => [setup.id, frameOf(setup, setups).frameId]));
  const stampedFrames = new Set([...stamped].map((id) => frameIds.get(id)));
  return new Set([...frameIds].filter(([, frameId]) => stampedFrames.has(frameId)).map(([id]) => id));
}

/** A set-up that a new one may carry on. */
export interface EarlierSetup {
  readonly setupId: string;
  readonly forwards: Way | null;
  /** The wheel's own number under the pointer at the earlier reference, rising forwards; null where none was entered. */
  readonly shownAtReferenceDeg: number | null;
  /** Where the crank was held when it was last read with the earlier set-up in this sitting; null where it wasn't. */
  readonly lastHeldDeg: number | null;
  /** What the two pictures say of the turn from the earlier reference to the new one, camera roll included. */
  readonly seenTurnDeg: number | null;
}

/** A camera that was knocked or put up anew rolls by no more than this; more means that the crank was turned. */
const mostRollDeg = 12;

/** A set-up that is given up for a new one. */
export interface LeftSetup {
  readonly setup: { readonly id: string; readonly content: WheelSetupContent };
  readonly lastHeldDeg: number | null;
  /** What it might itself have carried on, while that isn't answered. */
  readonly earlier: readonly EarlierSetup[];
}

/**
 * What a new set-up may carry on: the one that it takes the place of, and what that might have carried on: an outline
 * that is put right once more doesn't end the question.
 * @param seenTurnDeg turn from the reference of the set-up that is left to the new one, as the two pictures show it
 */
export function earlierSetups(left: LeftSetup, seenTurnDeg: number | null): readonly EarlierSetup[] {
  const { setup, lastHeldDeg, earlier } = left;
  const { forwards, shownAtReferenceDeg } = setup.content;
  const further = earlier.map((one) => ({
    ...one,
    seenTurnDeg: one.seenTurnDeg === null || seenTurnDeg === null ? null : wrapTurn(one.seenTurnDeg + seenTurnDeg),
  }));
  return [{ setupId: setup.id, forwards, shownAtReferenceDeg, lastHeldDeg, seenTurnDeg }, ...further];
}

export type CarryOn =
  /** The crank still stands where it was last read, as far as the faces tell: one question, and the reference is back. */
  | { readonly kind: 'ask'; readonly atDeg: number; readonly isSeen: boolean }
  | { readonly kind: 'turned'; readonly byDeg: number }
  | { readonly kind: 'not_read' };

/** Whether a new set-up can count on from the earlier one without a new TDC. */
export function carryOn(earlier: EarlierSetup): CarryOn {
  if (earlier.lastHeldDeg === null || earlier.forwards === null) return { kind: 'not_read' };
  if (earlier.seenTurnDeg === null) return { kind: 'ask', atDeg: earlier.lastHeldDeg, isSeen: false };
  const byDeg = wrapSigned(earlier.seenTurnDeg - earlier.lastHeldDeg);
  return Math.abs(byDeg) > mostRollDeg
    ? { kind: 'turned', byDeg }
    : { kind: 'ask', atDeg: earlier.lastHeldDeg, isSeen: true };
}
