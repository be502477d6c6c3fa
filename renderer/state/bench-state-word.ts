import { refusalText } from '../../core/wheel/refusals.ts';
import { cameraStateText } from '../camera/camera-states.ts';
import type { SightState } from './bench-sight.ts';

/** How the reading stands, one of them at a time. */
export type BenchStateKind = 'steady' | 'turning' | 'cannot_read' | 'recheck_tdc';

export interface BenchStateWord {
  readonly kind: BenchStateKind;
  /** What to do, or why there is no reading; empty where there is nothing to say. */
  readonly line: string;
}

/**
 * The one state of the bench.
 * @param question why TDC must be checked again, or null
 */
export function stateWordOf(
  { live, camera, setup }: Pick<SightState, 'live' | 'camera' | 'setup'>,
  question: string | null,
): BenchStateWord {
  if (camera.kind !== 'running') {
    const { what, remedy } = cameraStateText(camera);
    return { kind: 'cannot_read', line: `${what} ${remedy}` };
  }
  if (setup === null || live === null) return { kind: 'cannot_read', line: 'The wheel is not set up yet.' };
  if (!live.reading.accepted) {
    const { what, remedy } = refusalText(live.reading.reason);
    return { kind: 'cannot_read', line: `${what} ${remedy}` };
  }
  if (question !== null) return { kind: 'recheck_tdc', line: question };
  return {
    kind: live.motion === 'turning' ? 'turning' : 'steady',
    line: live.reading.provisional ? 'Provisional until the crank has been turned once.' : '',
  };
}

/**
 * A state is told by tone once it has held this long. Hands start and stop a crank all the time, and a frame or two is
 * lost to a passing hand: neither is worth a sound.
 */
export const settleMs: Readonly<Record<BenchStateKind, number>> = {
  steady: 400,
  turning: 800,
  cannot_read: 600,
  recheck_tdc: 300,
};

/** What the ears know: the state that was told last, and the one that may be told next. */
export interface ToldState {
  readonly told: BenchStateKind | null;
  readonly coming: BenchStateKind | null;
  readonly sinceMs: number;
}

/** Nothing was told yet: the state that the bench is entered with is on the screen that was just looked at. */
export const nothingTold: ToldState = { told: null, coming: null, sinceMs: 0 };

/**
 * Decides whether a state is told by tone. A state that flickers begins to settle anew each time, and one that comes
 * back to what was told last is no change.
 * @param nowMs any clock that only goes forwards; to be called at each change and again once `dueMs` has passed
 * @returns the tone to sound or null, and how long the present state must still hold, or null where nothing is due
 */
export function tellState(
  before: ToldState,
  kind: BenchStateKind,
  nowMs: number,
): { readonly after: ToldState; readonly sound: BenchStateKind | null; readonly dueMs: number | null } {
  if (before.told === null) return { after: { told: kind, coming: null, sinceMs: nowMs }, sound: null, dueMs: null };
  if (kind === before.told) return { after: { ...before, coming: null }, sound: null, dueMs: null };
  const sinceMs = before.coming === kind ? before.sinceMs : nowMs;
  const leftMs = settleMs[kind] - (nowMs - sinceMs);
  if (leftMs > 0) return { after: { told: before.told, coming: kind, sinceMs }, sound: null, dueMs: leftMs };
  return { after: { told: kind, coming: null, sinceMs: nowMs }, sound: kind, dueMs: null };
}
