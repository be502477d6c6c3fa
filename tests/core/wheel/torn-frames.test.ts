import { expect, test } from 'vitest';
import { misplacedFrames, type NeighbourCheck } from '../../../core/wheel/torn-frames.ts';

/** Checks of eight frames one after the other round the turn, each with its two neighbours on either side. */
function ring(isBorneOut: (from: number, to: number) => boolean): NeighbourCheck[] {
  const checks: NeighbourCheck[] = [];
  for (let from = 0; from < 8; from += 1)
    for (const step of [1, 2]) {
      const to = (from + step) % 8;
      checks.push({ from, to, isBorneOut: isBorneOut(from, to) });
    }
  return checks;
}
const touches = (frames: readonly number[]) => (from: number, to: number) =>
  !frames.includes(from) && !frames.includes(to);

test('frames that hang together are all kept, also where a hand spoils one pair', () => {
  expect(
    misplacedFrames(
      ring(() => true),
      8,
    ),
  ).toEqual(new Set());
  expect(
    misplacedFrames(
      ring((from, to) => from !== 2 || to !== 3),
      8,
    ),
  ).toEqual(new Set());
});

test('a frame that its neighbours speak against is left out, and so is a second one', () => {
  expect(misplacedFrames(ring(touches([3])), 8)).toEqual(new Set([3]));
  expect(misplacedFrames(ring(touches([3, 6])), 8)).toEqual(new Set([3, 6]));
});

test('more than a quarter of the frames at odds, or the reference itself, leaves nothing to trust', () => {
  expect(misplacedFrames(ring(touches([2, 4, 6])), 8)).toBeNull();
  expect(misplacedFrames(ring(touches([0])), 8)).toBeNull();
});

test('two groups that each hang together are torn apart for good', () => {
  const isInFirst = (frame: number): boolean => frame < 4;
  expect(
    misplacedFrames(
      ring((from, to) => isInFirst(from) === isInFirst(to)),
      8,
    ),
  ).toBeNull();
});
