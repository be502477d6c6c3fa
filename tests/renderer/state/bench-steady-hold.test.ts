import { expect, test } from 'vitest';
import {
  type HeldFrame,
  type HoldState,
  holdAfterStamp,
  holdStep,
  isArmed,
  noHold,
} from '../../../renderer/state/bench-steady-hold.ts';
import { sessionDwells, sessionFrames } from '../../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../../support/shared-fixtures.ts';

const settings = { stillMs: 1000, stillDeg: 0.1, wantedWay: 'clockwise' as const };

function frameAt(index: number, unwrappedDeg: number | null, more: Partial<HeldFrame> = {}): HeldFrame {
  return {
    timeMs: index * 100,
    unwrappedDeg,
    isRead: unwrappedDeg !== null,
    coveredFraction: 1,
    isModelComplete: true,
    ...more,
  };
}

function run(frames: readonly HeldFrame[]): { fired: number[]; state: HoldState } {
  let state = noHold;
  const fired: number[] = [];
  for (const [index, frame] of frames.entries()) {
    const next = holdStep(state, frame, settings);
    state = next.state;
    if (next.fires) fired.push(index);
  }
  return { fired, state };
}

const still = (angle: number, count: number): number[] => Array.from({ length: count }, () => angle);
const firings = (angles: readonly (number | null)[], more: Partial<HeldFrame> = {}): number[] =>
  run(angles.map((angle, index) => frameAt(index, angle, more))).fired;

test('a crank turned on to the edge and held stamps once, however long it is held', () => {
  expect(firings([0, 2, 4, 6, ...still(8, 60)])).toEqual([14]);
});

test('a pause without turning stamps nothing', () => {
  expect(firings(still(8, 60))).toEqual([]);
});

test('a hold that came from the other side stamps nothing', () => {
  expect(firings([8, 6, 4, 2, ...still(0, 40)])).toEqual([]);
});

test('feeling for the edge to and fro does not use the approach up; going back does', () => {
  expect(firings([0, 4, 8, 9.2, ...still(8, 40)])).toEqual([14]);
  expect(firings([0, 4, 8, 12, ...still(8, 40)])).toEqual([]);
});

test('turning on in steps: each held step stamps, since the crank has turned since the last stamp', () => {
  expect(firings([0, 4, ...still(8, 20), 12, ...still(14, 20)])).toHaveLength(2);
  expect(firings([0, 4, ...still(8, 20), ...still(9, 20)])).toHaveLength(1);
});

test('a hand over the ring holds the stamp back', () => {
  expect(firings([0, 2, 4, 6, ...still(8, 40)], { coveredFraction: 0.7 })).toEqual([]);
});

test('after a hand was in the picture the crank must be turned again: its owner held it still as well', () => {
  const turned = [0, 4, 8, 8].map((angle, index) => frameAt(index, angle));
  const hand = still(8, 5).map((angle, index) => frameAt(4 + index, angle, { coveredFraction: 0.8 }));
  const after = still(8, 40).map((angle, index) => frameAt(9 + index, angle));
  expect(run([...turned, ...hand, ...after]).fired).toEqual([]);
  const on = [11, ...still(12, 20)].map((angle, index) => frameAt(49 + index, angle));
  expect(run([...turned, ...hand, ...after, ...on]).fired).toHaveLength(1);
});

test('before the turn is complete a place not seen before is no hand; one that comes in during the hold is', () => {
  const model = { isModelComplete: false, coveredFraction: 0.8 };
  expect(firings([0, 2, 4, 6, ...still(8, 40)], model)).toHaveLength(1);
  const held = [0, 2, 4, 6, ...still(8, 5)].map((angle, index) => frameAt(index, angle, model));
  const hand = still(8, 30).map((angle, index) => frameAt(9 + index, angle, { ...model, coveredFraction: 0.74 }));
  expect(run([...held, ...hand]).fired).toEqual([]);
});

test('one covered frame alone delays the hold but leaves the approach', () => {
  const frames = [0, 4, 8, 8, 8].map((angle, index) => frameAt(index, angle));
  const blurred = frameAt(5, 8, { coveredFraction: 0.9 });
  const after = still(8, 12).map((angle, index) => frameAt(6 + index, angle));
  expect(run([...frames, blurred, ...after]).fired).toEqual([15]);
});

test('a movement that was not read arms nothing', () => {
  const frames = [frameAt(0, 0), ...still(20, 40).map((angle, index) => frameAt(30 + index, angle))];
  expect(run(frames).fired).toEqual([]);
});

test('a stamp by key uses the approach up', () => {
  const { state } = run([0, 3, 6, 8, 8].map((angle, index) => frameAt(index, angle)));
  expect(isArmed(state)).toBe(true);
  expect(isArmed(holdAfterStamp(state))).toBe(false);
});

test.for([
  { every: 1, phase: 0 },
  { every: 2, phase: 0 },
  { every: 2, phase: 1 },
  { every: 3, phase: 1 },
])('the recorded session, one frame in $every: every dwell stamps once, no pause does', ({ every, phase }, ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  const dwells = sessionDwells().filter(({ kind }) => kind !== 'reference');
  let state = noHold;
  const fired: string[] = [];
  for (const frame of sessionFrames()) {
    if (frame.frame % every !== phase) continue;
    const wanted = dwells[fired.length];
    const wantedWay = wanted === undefined ? null : wanted.direction === 'forward' ? 'clockwise' : 'anticlockwise';
    const seen: HeldFrame = {
      timeMs: frame.time_s * 1000,
      unwrappedDeg: frame.rotation_deg,
      isRead: frame.blur_deg < 2,
      coveredFraction: 1 - frame.occluded_fraction,
      isModelComplete: true,
    };
    const next = holdStep(state, seen, { stillMs: 800, stillDeg: 0.1, wantedWay });
    state = next.state;
    if (!next.fires) continue;
    const dwell = dwells.find(({ start_frame, end_frame }) => frame.frame >= start_frame && frame.frame <= end_frame);
    fired.push(dwell === undefined ? `a pause at frame ${frame.frame}` : `${dwell.name}, ${dwell.direction}`);
  }
  expect(fired).toEqual(dwells.map(({ name, direction }) => `${name}, ${direction}`));
});
