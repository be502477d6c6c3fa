import type { Way } from '../../core/contract/readings.ts';
import type { Approach } from '../wheel-worker/track.ts';

/** One live frame as the steady hold sees it. */
export interface HeldFrame {
  readonly timeMs: number;
  /** Counted on over full turns; null where nothing was read. */
  readonly unwrappedDeg: number | null;
  readonly isRead: boolean;
  /** Share of the ring that was seen, 0..1. */
  readonly coveredFraction: number;
  readonly approach: Approach;
}

export interface HoldState {
  /** Where the wheel stood at the latest stamp, or when watching began. */
  readonly fromDeg: number | null;
  readonly isArmed: boolean;
  readonly heldAtDeg: number | null;
  readonly heldSinceMs: number;
}

export const noHold: HoldState = { fromDeg: null, isArmed: false, heldAtDeg: null, heldSinceMs: 0 };

export interface HoldSettings {
  readonly stillMs: number;
  readonly stillDeg: number;
  /** Way round that comes on to the wanted edge, or null while forwards is not known or nothing is wanted. */
  readonly wantedWay: Way | null;
}

/** The crank must have turned this far since the last stamp: a pause at the same edge must not stamp again. */
const armAfterDeg = 3;
/** With less of the ring seen a hand is in the picture, and its owner is busy with something else. */
const freeFraction = 0.9;

/**
 * Crank turned towards the wanted edge, then held still: fires once.
 * @returns the next state, and whether this frame completes the hold
 */
export function holdStep(
  state: HoldState,
  frame: HeldFrame,
  settings: HoldSettings,
): { readonly state: HoldState; readonly fires: boolean } {
  const { unwrappedDeg: nowDeg, timeMs } = frame;
  if (nowDeg === null || !frame.isRead || frame.coveredFraction < freeFraction) {
    return { state: { ...state, heldAtDeg: null }, fires: false };
  }
  const fromDeg = state.fromDeg ?? nowDeg;
  const isArmed =
    settings.wantedWay !== null &&
    frame.approach === settings.wantedWay &&
    (state.isArmed || Math.abs(nowDeg - fromDeg) >= armAfterDeg);
  const isHeld = state.heldAtDeg !== null && Math.abs(nowDeg - state.heldAtDeg) <= settings.stillDeg;
  const heldAtDeg = isHeld ? state.heldAtDeg : nowDeg;
  const heldSinceMs = isHeld ? state.heldSinceMs : timeMs;
  const fires = isArmed && timeMs - heldSinceMs >= settings.stillMs;
  return {
    state: fires
      ? { fromDeg: nowDeg, isArmed: false, heldAtDeg, heldSinceMs }
      : { fromDeg, isArmed, heldAtDeg, heldSinceMs },
    fires,
  };
}

/** A stamp by any other means uses the approach up. */
export function holdAfterStamp(state: HoldState, nowDeg: number | null): HoldState {
  return { ...state, fromDeg: nowDeg ?? state.fromDeg, isArmed: false };
}
