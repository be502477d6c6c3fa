import { expect, test } from 'vitest';
import { reading, refused, rim, StandInBench, setupOf } from '../../support/stand-in-bench.ts';

const findings = {
  residualDeg: 0.01,
  eccentricityOfRadius: 0.004,
  runOutDeg: 0.3,
  arcCoveredDeg: 130,
  tiltDeg: 10,
  focalLengthPx: 1200,
  framesUsed: 13,
};

test('frames are read and stamps answered while the turn is being fitted elsewhere', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(130, 1);
  expect(bench.records).toHaveLength(1);
  const before = bench.of('frame_read').length;
  await bench.frames(20, 0);
  expect(bench.of('frame_read')).toHaveLength(before + 20);
  await bench.engine.handle({ kind: 'stamp', stampId: 'first', atMs: bench.nowMs });
  const [stamped] = bench.of('stamped');
  expect(stamped?.angle).toMatchObject({ ok: true, rotationDeg: 130, isProvisional: true });
  expect(bench.of('stamp_kept')).toHaveLength(1);
  expect(bench.of('calibrated')).toHaveLength(0);

  await bench.fitted({ ok: true, setup: setupOf(true), findings });
  expect(bench.of('calibrated')[0]).toMatchObject({ isComplete: false, state: new Uint8Array([2]) });
  await bench.frames(1, 0);
  expect(bench.of('frame_read').at(-1)?.reading?.provisional).toBe(false);
});

test('once fitted, a turn is widened by what was read, and no frame is matched again', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(130, 1);
  await bench.fitted({ ok: true, setup: setupOf(true), findings });
  const { matched } = bench;
  await bench.frames(60, 1);
  expect(bench.matched).toBe(matched);
  expect(bench.records).toHaveLength(2);
});

test('one fit runs at a time, and the next waits until enough more of the turn is covered', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(200, 1);
  expect(bench.records).toHaveLength(1);
  await bench.fitted({ ok: false, reason: 'model_does_not_fit' });
  expect(bench.of('calibration_refused')).toHaveLength(1);
  await bench.frames(1, 1);
  expect(bench.records).toHaveLength(2);
});

test('the fit of a turn that was given up meanwhile is thrown away', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(130, 1);
  await bench.engine.handle({ kind: 'set_up', rim });
  bench.crankDeg = 0;
  await bench.frames(2, 0);
  await bench.fitted({ ok: true, setup: setupOf(true), findings });
  expect(bench.of('calibrated')).toHaveLength(0);
});

test('a lost wheel is searched for elsewhere while frames go on, and followed from where it was found', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  expect(bench.searchedWith).toHaveLength(1);
  await bench.frames(3, 1);
  bench.refuses = 'nothing_matches';
  await bench.frames(10, 0);
  expect(bench.searches).toBeGreaterThan(0);
  // Never searched for where frames are read.
  expect(bench.lastOptions.search).toBe(false);
  expect(bench.lastOptions.previous).toBeNull();
  expect(bench.of('frame_read').at(-1)?.reading?.reason).toBe('moving_too_fast');

  bench.answerSearch(reading(123, false));
  bench.refuses = null;
  bench.crankDeg = 123;
  await bench.frames(1, 0);
  expect(bench.lastOptions.previous).toMatchObject({ rotationDeg: 123 });
  expect(bench.of('frame_read').at(-1)?.reading?.rotationDeg).toBe(123);
});

test('what the search found to be in the way is what the operator reads', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  bench.refuses = 'nothing_matches';
  await bench.frames(1, 0);
  bench.answerSearch(refused('hand_over_rim', reading(0, false)));
  await bench.frames(1, 0);
  expect(bench.of('frame_read').at(-1)?.reading?.reason).toBe('hand_over_rim');
});

test('a slow camera’s lost wheel is searched for on the spot, a quick one’s only elsewhere', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  await bench.frames(20, 1, 66);
  expect(bench.lastOptions.search).toBe(true);
  // A busy computer hands frames over in bunches and leaves some out: the camera is no quicker for that.
  for (let bunch = 0; bunch < 8; bunch += 1) {
    await bench.frames(1, 1, 170);
    await bench.frames(1, 1, 28);
    await bench.frames(3, 1, 66);
    expect(bench.lastOptions.search).toBe(true);
  }
  await bench.frames(40, 1, 33);
  expect(bench.lastOptions.search).toBe(false);
  // Every second frame of a quick camera left out while the wheel is lost makes no slow camera of it.
  bench.refuses = 'nothing_matches';
  const before = bench.searches;
  for (let pair = 0; pair < 8; pair += 1) {
    await bench.frames(1, 0, 66);
    await bench.frames(1, 0, 33);
  }
  expect(bench.lastOptions.search).toBe(false);
  expect(bench.searches).toBeGreaterThan(before);
});

test('a search for the wheel goes on between frames and messages, tells how far it is, and can be stopped', async () => {
  const bench = new StandInBench();
  const work = (): void => void bench.later.shift()?.();
  await bench.engine.handle({ kind: 'find' });
  await bench.frames(1, 0);
  expect(bench.later).toHaveLength(1);
  work();
  // Frames that come meanwhile are seen, and begin no second search.
  await bench.frames(3, 0);
  expect(bench.of('frame_read')).toHaveLength(4);
  expect(bench.later).toHaveLength(1);
  work();
  work();
  expect(bench.of('finding').map(({ share }) => share)).toEqual([0.2]);
  expect(bench.of('not_found')).toHaveLength(1);

  // After a pause it is tried again, and stopped in the middle: nothing more is said.
  await bench.frames(30, 0);
  work();
  await bench.engine.handle({ kind: 'stop_finding' });
  work();
  work();
  expect(bench.of('not_found')).toHaveLength(1);
  await bench.frames(30, 0);
  expect(bench.later).toHaveLength(0);

  // What is found is set up from the next frame, once.
  bench.search = function* () {
    yield 0.5;
    return { ok: true, rim, confidence: 0.9 };
  };
  await bench.engine.handle({ kind: 'find' });
  await bench.frames(1, 0);
  work();
  work();
  expect(bench.of('found')).toMatchObject([{ rim, confidence: 0.9 }]);
  await bench.frames(40, 0);
  expect(bench.of('set_up_made')).toMatchObject([{ isByHand: false }]);
  expect(bench.later).toHaveLength(0);

  // What was found and not yet set up when the search was ended isn't wanted; an outline set down by hand is.
  await bench.engine.handle({ kind: 'find' });
  await bench.frames(1, 0);
  work();
  work();
  expect(bench.of('found')).toHaveLength(2);
  await bench.engine.handle({ kind: 'stop_finding' });
  await bench.frames(5, 0);
  expect(bench.of('set_up_made')).toHaveLength(1);
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(1, 0);
  expect(bench.of('set_up_made')).toMatchObject([{ isByHand: false }, { isByHand: true }]);
});
