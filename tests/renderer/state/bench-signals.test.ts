import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Run } from '../../../renderer/state/bench-run-effects.ts';
import { watchGameController } from '../../../renderer/state/bench-signals.ts';
import { createPreferencesStore } from '../../../renderer/state/preferences-store.ts';

beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval', 'performance'] });
});
afterEach(() => {
  vi.restoreAllMocks();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

/** A page with a controller on it, and what its presses came to, in ms since the page began. */
function pageWithController() {
  const preferences = createPreferencesStore();
  const { gameControllerButton } = preferences.getState().values;
  const pad: { isDown: boolean; timestamp: number } = { isDown: false, timestamp: 0 };
  const looks = () => [null, { timestamp: pad.timestamp, buttons: buttons() }];
  const buttons = () => Array.from({ length: 16 }, (_, at) => ({ pressed: pad.isDown && at === gameControllerButton }));
  vi.stubGlobal('navigator', { getGamepads: looks });
  const beganAtMs = performance.timeOrigin + performance.now();
  const seen: string[] = [];
  const run = {
    signal: (by: string, atMs: number) => seen.push(`${by} ${Math.round(atMs - beganAtMs)}`),
    takeBackByDoublePress: () => seen.push('taken back'),
  };
  const end = watchGameController(run as unknown as Run, preferences);
  const change = (isDown: boolean, atMs: number) => Object.assign(pad, { isDown, timestamp: atMs });
  return { change, seen, end, originMs: beganAtMs - performance.timeOrigin };
}

test('a press that is seen late counts from the time the controller gives', () => {
  const { change, seen, end, originMs } = pageWithController();
  vi.advanceTimersByTime(1000);
  // The page stands still for 300 ms, in the middle of which the button goes down.
  change(true, originMs + 1120);
  vi.spyOn(performance, 'now').mockReturnValue(originMs + 1300);
  vi.advanceTimersByTime(10);
  expect(seen).toEqual(['game_controller 1120']);
  end();
});

test('a controller that gives no usable time counts from the look, and one press held is one press', () => {
  const { change, seen, end, originMs } = pageWithController();
  vi.advanceTimersByTime(1000);
  change(true, originMs + 200);
  vi.advanceTimersByTime(500);
  expect(seen).toEqual(['game_controller 1010']);
  change(false, originMs + 200);
  vi.advanceTimersByTime(1000);
  change(true, originMs + 99_999);
  vi.advanceTimersByTime(20);
  expect(seen).toEqual(['game_controller 1010', 'game_controller 2510']);
  end();
});

test('two presses within the time of a double press take back, however late they are looked at', () => {
  const { change, seen, end, originMs } = pageWithController();
  vi.advanceTimersByTime(100);
  change(true, originMs + 105);
  vi.advanceTimersByTime(10);
  change(false, originMs + 170);
  vi.advanceTimersByTime(70);
  vi.spyOn(performance, 'now').mockReturnValue(originMs + 900);
  change(true, originMs + 300);
  vi.advanceTimersByTime(10);
  expect(seen).toEqual(['game_controller 105', 'taken back']);
  end();
});
