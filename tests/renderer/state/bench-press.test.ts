import { expect, test } from 'vitest';
import { noPress, press } from '../../../renderer/state/bench-press.ts';

const settings = { debounceMs: 30, doublePressMs: 500 };

function meanings(timesMs: readonly number[]): string[] {
  let state = noPress;
  return timesMs.map((timeMs) => {
    const next = press(state, timeMs, settings);
    state = next.state;
    return next.meaning;
  });
}

test('presses far apart each stamp', () => {
  expect(meanings([0, 600, 1200])).toEqual(['stamp', 'stamp', 'stamp']);
});

test('a second press within half a second takes back', () => {
  expect(meanings([0, 400])).toEqual(['stamp', 'take_back']);
});

test('contacts that bounce are one press', () => {
  expect(meanings([0, 10, 25, 1000])).toEqual(['stamp', 'bounce', 'bounce', 'stamp']);
});

test('a third quick press stamps again instead of taking back twice', () => {
  expect(meanings([0, 300, 600])).toEqual(['stamp', 'take_back', 'stamp']);
});
