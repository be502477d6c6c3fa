import { expect, test } from 'vitest';
import { type HeldFrame, holdAfterStamp, holdStep, noHold } from '../../../renderer/state/bench-steady-hold.ts';

const settings = { stillMs: 1000, stillDeg: 0.1, wantedWay: 'clockwise' as const };

/** Times at which the hold fires for these angles, 100 ms apart. */
function firings(angles: readonly number[], more: Partial<HeldFrame> = {}): number[] {
  let state = noHold;
  return angles.flatMap((unwrappedDeg, index) => {
    const frame = {
      timeMs: index * 100,
      unwrappedDeg,
      isRead: true,
      coveredFraction: 1,
      approach: 'clockwise' as const,
      ...more,
    };
    const next = holdStep(state, frame, settings);
    state = next.state;
    return next.fires ? [index] : [];
  });
}

const still = (angle: number, count: number): number[] => Array.from({ length: count }, () => angle);

test('a crank turned on to the edge and held stamps once, however long it is held', () => {
  expect(firings([0, 2, 4, 6, ...still(8, 60)])).toEqual([14]);
});

test('a pause without turning stamps nothing', () => {
  expect(firings(still(8, 60))).toEqual([]);
});

test('a hold that came from the other side stamps nothing', () => {
  expect(firings([8, 6, 4, 2, ...still(0, 40)], { approach: 'anticlockwise' })).toEqual([]);
});

test('a hand over the ring holds the stamp back', () => {
  expect(firings([0, 2, 4, 6, ...still(8, 40)], { coveredFraction: 0.7 })).toEqual([]);
});

test('a stamp by key uses the approach up', () => {
  let state = noHold;
  for (const [index, angle] of [0, 3, 6, 8, 8].entries()) {
    const frame = {
      timeMs: index * 100,
      unwrappedDeg: angle,
      isRead: true,
      coveredFraction: 1,
      approach: 'clockwise' as const,
    };
    state = holdStep(state, frame, settings).state;
  }
  expect(state.isArmed).toBe(true);
  expect(holdAfterStamp(state, 8).isArmed).toBe(false);
});
