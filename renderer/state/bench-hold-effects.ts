import type { Turning, Way } from '../../core/contract/readings.ts';
import type { WheelReading } from '../../core/wheel/types.ts';
import { wantedNow } from './bench-run.ts';
import type { Run } from './bench-run-effects.ts';
import type { Sight } from './bench-sight-effects.ts';
import { holdAfterStamp, holdStep, noHold } from './bench-steady-hold.ts';
import type { MockUpStore } from './mock-up-store.ts';
import type { PreferencesStore } from './preferences-store.ts';

/** The way round in the picture of a turning. */
export function wayOf(turning: Turning, forwards: Way): Way {
  if (turning === 'forwards') return forwards;
  return forwards === 'clockwise' ? 'anticlockwise' : 'clockwise';
}

/** Of the ring that is in the picture and known, the share that was seen: a hand covers some of it. */
function seenShare({ diagnostics: { coveredFraction, inViewFraction } }: WheelReading): number {
  return inViewFraction > 0 ? Math.min(1, coveredFraction / inViewFraction) : 0;
}

/** Stamps when the crank is held still at the end of a turn. @returns ends the watch */
export function watchSteadyHold(
  sight: Sight,
  run: Run,
  mockUp: MockUpStore,
  preferences: PreferencesStore,
): () => void {
  let state = noHold;
  let lastFrameMs = 0;
  let pendingBefore = 0;
  return sight.store.subscribe((seen) => {
    const { values } = preferences.getState();
    const { live, setup } = seen;
    const { whole } = mockUp.getState();
    if (!values.steadyHold || live === null || whole === null || live.capturedAtMs === lastFrameMs) return;
    lastFrameMs = live.capturedAtMs;
    const { pending } = run.store.getState();
    if (pending.length > pendingBefore) state = holdAfterStamp(state);
    pendingBefore = pending.length;
    const wanted = wantedNow(whole, run.store.getState(), setup);
    const forwards = setup?.content.forwards ?? null;
    const step = holdStep(
      state,
      {
        timeMs: live.capturedAtMs,
        place: live.lastPlace,
        isRead: live.reading.accepted,
        refusal: live.reading.reason,
        seenShare: seenShare(live.reading),
        isProvisional: live.reading.provisional,
      },
      {
        stillMs: values.steadyHoldSeconds * 1000,
        stillDeg: values.steadyHoldDeg,
        wantedWay: wanted === null || forwards === null ? null : wayOf(wanted.turning, forwards),
      },
    );
    state = step.state;
    if (step.fires) run.signal('steady_hold', live.capturedAtMs);
  });
}
