import type { Way } from '../../core/contract/readings.ts';
import type { RefusalReason } from '../../core/wheel/types.ts';
import type { TrackPlace } from '../wheel-worker/track.ts';

/** One live frame as the steady hold sees it. */
export interface HeldFrame {
  readonly timeMs: number;
  /** The latest known place: that of this frame where it was read, else an earlier one or one that was found since. */
  readonly place: TrackPlace | null;
  readonly isRead: boolean;
  /** Why it wasn't read. */
  readonly refusal: RefusalReason | null;
  /** Share of the ring that was seen, of what is in the picture and known of the face, 0..1. */
  readonly seenShare: number;
  /** Read without a model of the turn: parts of a place that wasn't seen before may look as if they were covered. */
  readonly isProvisional: boolean;
}

interface Movement {
  readonly fromDeg: number;
  readonly toDeg: number;
}

/**
 * How the crank has come since the last stamp. Places are counted along the wanted way: they grow towards the edge.
 */
export interface HoldState {
  /** Way round in which places are counted; a new wanted way begins anew. */
  readonly way: Way | null;
  /** Where the present movement towards the edge began, and how far it has come; null before anything was read. */
  readonly movement: Movement | null;
  readonly heldAtDeg: number | null;
  readonly heldSinceMs: number;
  /** The most of the ring that was seen since the movement began. */
  readonly seenShare: number;
  /** Time of the latest place that was taken into account. */
  readonly lastPlaceMs: number;
  /** What kept the frames since the latest place from being read; each of them must have moved too fast for that to be it. */
  readonly unread: 'none' | 'too_fast' | 'something_else';
  /** Frames in a row with a hand in the picture. */
  readonly handFrames: number;
}

export const noHold: HoldState = {
  way: null,
  movement: null,
  heldAtDeg: null,
  heldSinceMs: 0,
  seenShare: 0,
  lastPlaceMs: -Infinity,
  unread: 'none',
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
const freeShare = 0.95;
/** As much of the ring lost where the crank is held still is a hand that came in, whatever the model knows. */
const handCoversShare = 0.04;
/** One frame alone may be blurred rather than covered. */
const handAfterFrames = 2;
/** Between places no further apart in time the crank went the nearer way. */
const gapMs = 1000;
/** Over a longer gap in the readings all before it is forgotten, */
const longestGapMs = 5000;
/** and over a shorter one too where the crank isn't this far on: then it wasn't turning that made its frames unreadable. */
const turnedOnDegPerS = 20;
/** Nobody turns a crank by hand faster than this all the time: where the other way round would take it, it is ruled out. */
const fastestDegPerS = 180;

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
  const place = frame.isRead ? frame.place : null;
  const isStill =
    place !== null && state.heldAtDeg !== null && Math.abs(place.unwrappedDeg - state.heldAtDeg) <= settings.stillDeg;
  // Frames of a turning crank are blurred: they see less of the ring with nothing in the way.
  const hasHand = place !== null && isCovered(frame, isStill ? state.seenShare : 0);
  const handFrames = hasHand ? state.handFrames + 1 : 0;
  if (way === null || handFrames >= handAfterFrames) return { state: { ...noHold, handFrames }, fires: false };
  if (hasHand) {
    // The place is kept beside a covered frame: whether the hand stays is told by the next one.
    return { state: { ...state, unread: 'something_else', heldSinceMs: frame.timeMs, handFrames }, fires: false };
  }
  if (place === null) {
    const known = state.way === way ? withFound(state, way, frame.place) : state;
    const isTooFast = frame.refusal === 'moving_too_fast';
    const unread = known.unread === 'something_else' || !isTooFast ? 'something_else' : 'too_fast';
    return { state: { ...known, unread, heldAtDeg: null, heldSinceMs: frame.timeMs, handFrames }, fires: false };
  }
  const isHeld = isStill && state.way === way && place.timeMs - state.lastPlaceMs <= gapMs;
  const movement = carriedOn(state, way, place);
  const next: HoldState = {
    way,
    movement,
    heldAtDeg: isHeld ? state.heldAtDeg : place.unwrappedDeg,
    heldSinceMs: isHeld ? state.heldSinceMs : frame.timeMs,
    // The way to the hold counts as well: where frames were lost, a hand may be there from the hold's first one on.
    seenShare: isOnFrom(state.movement, movement) ? Math.max(state.seenShare, frame.seenShare) : frame.seenShare,
    lastPlaceMs: place.timeMs,
    unread: 'none',
    handFrames,
  };
  const fires = isArmed(next) && frame.timeMs - next.heldSinceMs >= settings.stillMs;
  return { state: fires ? holdAfterStamp(next) : next, fires };
}

/** While frames are refused the search may have found where the crank was in one of them. */
function withFound(state: HoldState, way: Way, found: TrackPlace | null): HoldState {
  if (found === null || state.movement === null || found.timeMs <= state.lastPlaceMs) return state;
  return { ...state, movement: carriedOn(state, way, found), lastPlaceMs: found.timeMs };
}

function isCovered(frame: HeldFrame, seenShare: number): boolean {
  if (!frame.isProvisional && frame.seenShare < freeShare) return true;
  return frame.seenShare < seenShare - handCoversShare;
}

/** Whether a movement goes on from where the one before began. */
function isOnFrom(before: Movement | null, now: Movement): boolean {
  return before !== null && now.fromDeg === before.fromDeg;
}

/** The movement with one more place, which may follow after a gap in the readings. */
function carriedOn(state: HoldState, way: Way, { timeMs, unwrappedDeg, modulusDeg }: TrackPlace): Movement {
  const place = way === 'clockwise' ? unwrappedDeg : -unwrappedDeg;
  const anew = { fromDeg: place, toDeg: place };
  const { movement } = state;
  if (movement === null || state.way !== way) return anew;
  const sinceMs = timeMs - state.lastPlaceMs;
  if (sinceMs <= gapMs) return moved(movement, place);
  const sinceS = sinceMs / 1000;
  const onDeg = place - movement.toDeg;
  if (sinceMs > longestGapMs) return anew;
  if (onDeg < turnedOnDegPerS * sinceS) {
    // It stands about where it stood. Nothing but its own turning was in the way, or something may have been: a hand.
    return state.unread === 'too_fast' && Math.abs(onDeg) <= backDeg ? moved(movement, place) : anew;
  }
  if ((modulusDeg - onDeg) / sinceS >= fastestDegPerS) return moved(movement, place);
  // Which way it came is not certain, so the gap itself counts for nothing; what was seen before it stays.
  return { fromDeg: place - (movement.toDeg - movement.fromDeg), toDeg: place };
}

function moved(movement: Movement, place: number): Movement {
  if (place < movement.fromDeg || place < movement.toDeg - backDeg) return { fromDeg: place, toDeg: place };
  return place > movement.toDeg ? { ...movement, toDeg: place } : movement;
}

/** A stamp by any means uses the movement up. */
export function holdAfterStamp(state: HoldState): HoldState {
  const { movement } = state;
  return movement === null ? state : { ...state, movement: { fromDeg: movement.toDeg, toDeg: movement.toDeg } };
}
