import { noPress, press } from './bench-press.ts';
import { wantedNow } from './bench-run.ts';
import type { Run } from './bench-run-effects.ts';
import type { Sight } from './bench-sight-effects.ts';
import { holdAfterStamp, holdStep, noHold } from './bench-steady-hold.ts';
import type { MockUpStore } from './mock-up-store.ts';
import { nowMsOfPage } from './page-clock.ts';
import type { PreferencesStore } from './preferences-store.ts';

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
    const wanted = wantedNow(whole, run.store.getState());
    const forwards = setup?.content.forwards ?? null;
    const other = forwards === 'clockwise' ? 'anticlockwise' : 'clockwise';
    const step = holdStep(
      state,
      {
        timeMs: live.capturedAtMs,
        unwrappedDeg: live.unwrappedDeg,
        isRead: live.reading.accepted,
        coveredFraction: live.reading.diagnostics.coveredFraction,
        isHandOverRim: live.reading.reason === 'hand_over_rim',
      },
      {
        stillMs: values.steadyHoldSeconds * 1000,
        stillDeg: values.steadyHoldDeg,
        wantedWay: wanted === null || forwards === null ? null : wanted.turning === 'forwards' ? forwards : other,
      },
    );
    state = step.state;
    if (step.fires) run.signal('steady_hold', live.capturedAtMs);
  });
}

const gamepadPollMs = 10;

/** Stamps by a game controller's button, with the same double press as the foot switch. @returns ends the watch */
export function watchGameController(run: Run, preferences: PreferencesStore): () => void {
  let wasDown = false;
  let state = noPress;
  const timer = setInterval(() => {
    const { values } = preferences.getState();
    const isDown = navigator.getGamepads().some((pad) => pad?.buttons[values.gameControllerButton]?.pressed === true);
    if (isDown && !wasDown) {
      const atMs = nowMsOfPage();
      const next = press(state, atMs, {
        debounceMs: values.debounceMilliseconds,
        doublePressMs: values.doublePressSeconds * 1000,
      });
      state = next.state;
      if (next.meaning === 'stamp') run.signal('game_controller', atMs);
      else if (next.meaning === 'take_back') run.takeBackByDoublePress();
    }
    wasDown = isDown;
  }, gamepadPollMs);
  return () => clearInterval(timer);
}

/** Reads a sentence aloud by the system's voice, where it has one; a newer one replaces what is still being said. */
export function speak(sentence: string, rate: number): void {
  if (typeof speechSynthesis === 'undefined') return;
  speechSynthesis.cancel();
  const utterance = new SpeechSynthesisUtterance(sentence);
  utterance.rate = rate;
  speechSynthesis.speak(utterance);
}
