import type { Way } from '../../core/contract/readings.ts';

/** One live frame as the steady hold sees it. */
export interface HeldFrame {
  readonly timeMs: number;
  /** Counted on over full turns; null where nothing was read. */
  readonly unwrappedDeg: number | null;
  readonly isRead: boolean;
  /** Share of the ring that was seen, 0..1. */
  readonly coveredFraction: number;
  /** Whether the model of the turn is complete: until then a place not seen before looks as if it were covered. */
  readonly isModelComplete: boolean;
}

/**
 * How the crank has come since the last stamp. Places are counted along the wanted way: they grow towards the edge.
 */
export interface HoldState {
  /** Way round in which places are counted; a new wanted way begins anew. */
  readonly way: Way | null;
  /** Where the present movement towards the edge began, and how far it has come; null before anything was read. */
  readonly movement: { readonly fromDeg: number; readonly toDeg: number } | null;
  readonly heldAtDeg: number | null;
  readonly heldSinceMs: number;
  /** The most of the ring that was seen during this hold. */
  readonly seenFraction: number;
  readonly lastReadMs: number;
  /** Frames in a row with a hand in the picture. */
  readonly handFrames: number;
}

export const noHold: HoldState = {
  way: null,
  movement: null,
  heldAtDeg: null,
  heldSinceMs: 0,
  seenFraction: 0,
  lastReadMs: -Infinity,
  handFrames: 0,
};

export interface HoldSettings {
  readonly stillMs: number;
  readonly stillDeg: number;
  /** Way round that comes on to the wanted edge, or null while forwards is not known or nothing is wanted. */
  readonly wantedWay: Way | null;
}

/** The crank must have come this far towards the edge in one go: a pause at the same edge must not stamp again. */
const armAfterDeg = 3;
/** Feeling for the edge goes to and fro by a degree or so; going back further, the edge must be come on to again. */
const backDeg = 2;
/** With less of the ring seen a hand is in the picture, and its owner is busy with something else. */
const freeFraction = 0.95;
/** As much of the ring lost while the crank is held still is a hand that came in, whatever the model knows. */
const handCoversFraction = 0.04;
/** One frame alone may be blurred rather than covered. */
const handAfterFrames = 2;
/** Places on both sides of a longer gap don't tell the way between them. */
const gapMs = 1000;

/** Whether holding still now would stamp. */
export function isArmed({ movement }: HoldState): boolean {
  return movement !== null && movement.toDeg - movement.fromDeg >= armAfterDeg;
}

/**
 * Crank turned towards the wanted edge, then held still: fires once. A hand in the picture uses the movement up: the
 * crank must be turned again after it, since whoever fits or removes the stop holds the crank still as well.
 * @returns the next state, and whether this frame completes the hold
 */
export function holdStep(
  state: HoldState,
  frame: HeldFrame,
  settings: HoldSettings,
): { readonly state: HoldState; readonly fires: boolean } {
  const way = settings.wantedWay;
  const nowDeg = frame.unwrappedDeg;
  const isStill =
    nowDeg !== null && state.heldAtDeg !== null && Math.abs(nowDeg - state.heldAtDeg) <= settings.stillDeg;
  const hasHand = frame.isRead && isCovered(frame, isStill ? state.seenFraction : 0);
  const handFrames = hasHand ? state.handFrames + 1 : 0;
  if (way === null || handFrames >= handAfterFrames) return { state: { ...noHold, handFrames }, fires: false };
  if (nowDeg === null || !frame.isRead || hasHand) {
    // The place is kept beside a covered frame: whether the hand stays is told by the next one.
    return {
      state: { ...state, heldAtDeg: hasHand ? state.heldAtDeg : null, heldSinceMs: frame.timeMs, handFrames },
      fires: false,
    };
  }
  const place = way === 'clockwise' ? nowDeg : -nowDeg;
  const isAnew = state.way !== way || frame.timeMs - state.lastReadMs > gapMs;
  const movement = isAnew ? { fromDeg: place, toDeg: place } : moved(state.movement, place);
  const isHeld = !isAnew && isStill;
  const next: HoldState = {
    way,
    movement,
    heldAtDeg: isHeld ? state.heldAtDeg : nowDeg,
    heldSinceMs: isHeld ? state.heldSinceMs : frame.timeMs,
    seenFraction: isHeld ? Math.max(state.seenFraction, frame.coveredFraction) : frame.coveredFraction,
    lastReadMs: frame.timeMs,
    handFrames,
  };
  const fires = isArmed(next) && frame.timeMs - next.heldSinceMs >= settings.stillMs;
  return { state: fires ? holdAfterStamp(next) : next, fires };
}

function isCovered(frame: HeldFrame, seenFraction: number): boolean {
  if (frame.isModelComplete && frame.coveredFraction < freeFraction) return true;
  return frame.coveredFraction < seenFraction - handCoversFraction;
}

function moved(movement: HoldState['movement'], place: number): NonNullable<HoldState['movement']> {
  if (movement === null || place < movement.fromDeg || place < movement.toDeg - backDeg) {
    return { fromDeg: place, toDeg: place };
  }
  return place > movement.toDeg ? { ...movement, toDeg: place } : movement;
}

/** A stamp by any means uses the movement up. */
export function holdAfterStamp(state: HoldState): HoldState {
  const { movement } = state;
  return movement === null ? state : { ...state, movement: { fromDeg: movement.toDeg, toDeg: movement.toDeg } };
}
