import { describe, expect, test } from 'vitest';
import { refusalText } from '../../../core/wheel/refusals.ts';
import { StandInBench } from '../../support/stand-in-bench.ts';

test('a signal that comes late is answered from the track, not by what a later frame shows', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  bench.crankDeg = 20;
  await bench.frames(20, 0);
  const heldAtMs = bench.nowMs;
  // The frames of that moment are kept no longer; the crank has moved on since.
  await bench.frames(40, 0.5);
  await bench.engine.handle({ kind: 'stamp', stampId: 'late', atMs: heldAtMs });
  expect(bench.of('stamp_kept')[0]).toMatchObject({ angle: { ok: true, rotationDeg: 20 }, picture: null });

  // Held still ever since, a later frame shows the same place and is kept with the stamp.
  await bench.frames(20, 0);
  const stillAtMs = bench.nowMs;
  await bench.frames(40, 0);
  await bench.engine.handle({ kind: 'stamp', stampId: 'still', atMs: stillAtMs });
  const [, still] = bench.of('stamp_kept');
  expect(still).toMatchObject({ angle: { ok: true, rotationDeg: 40 } });
  expect(still?.picture).not.toBeNull();
});

describe('a signal at a moment of which there is no picture', () => {
  /** The wheel was read, then the camera gave nothing for two seconds. */
  async function heldUp(): Promise<StandInBench> {
    const bench = new StandInBench();
    await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
    bench.crankDeg = 20;
    await bench.frames(20, 0);
    bench.nowMs += 2000;
    bench.crankDeg = 75;
    return bench;
  }

  test('is answered from the first frame after it', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'early', atMs: bench.nowMs });
    expect(bench.of('stamped')).toEqual([]);
    await bench.frames(1, 0, 120);
    const firstAtMs = bench.nowMs;
    await bench.frames(3, 0);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')[0]?.angle).toMatchObject({ ok: true, rotationDeg: 75, sigmaDeg: 0.004 });
    expect(bench.of('stamp_kept')[0]?.picture).toMatchObject({ takenAtMs: firstAtMs });
  });

  test('is refused where the crank turns on the one side of it that was seen', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'turning', atMs: bench.nowMs });
    await bench.frames(4, 1, 40);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')[0]).toMatchObject({ angle: { ok: false, reason: 'no_picture' }, picture: {} });
  });

  test('is refused where one lone picture does not tell whether the crank moved', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'lone', atMs: bench.nowMs });
    await bench.frames(1, 0, 120);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')[0]?.angle).toEqual({ ok: false, reason: 'no_picture' });
  });

  test('is read from the frames on both sides of it where the live reading lost the wheel', async () => {
    const bench = await heldUp();
    bench.refuses = 'nothing_matches';
    await bench.frames(4, 1, 40);
    const signalMs = bench.nowMs + 20;
    await bench.engine.handle({ kind: 'stamp', stampId: 'lost', atMs: signalMs });
    await bench.frames(4, 1, 40);
    bench.refuses = null;
    await bench.later.shift()?.();
    const { angle } = bench.of('stamp_kept')[0] ?? {};
    // Half-way between two frames a degree apart; two pictures alone don't tell whether it turned evenly.
    expect(angle).toMatchObject({ ok: true, rotationDeg: 79.5 });
    expect(angle?.ok === true ? angle.sigmaDeg : 0).toBeCloseTo(Math.hypot(0.004, 0.5 / Math.sqrt(3)), 9);
  });

  test('is refused as one where the next frame came too late to show where the crank was', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'unseen', atMs: bench.nowMs });
    await bench.frames(1, 0, 200);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')).toMatchObject([{ angle: { ok: false, reason: 'no_picture' }, picture: null }]);
    expect(refusalText('no_picture').what).toContain('no picture at the moment of the signal');
  });

  test.each([0, 0.5])(
    'is answered by the next frame where the crank was held before, and had moved on by %f deg',
    async (movedDeg) => {
      const bench = new StandInBench();
      await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
      bench.crankDeg = 20;
      await bench.frames(20, 0);
      // The computer was busy with something else for 0.7 s.
      bench.nowMs += 350;
      await bench.engine.handle({ kind: 'stamp', stampId: 'busy', atMs: bench.nowMs });
      expect(bench.of('stamped')).toEqual([]);
      await bench.frames(1, movedDeg, 350);
      const { angle } = bench.of('stamp_kept')[0] ?? {};
      if (movedDeg === 0) expect(angle).toMatchObject({ ok: true, rotationDeg: 20, sigmaDeg: 0.004, movement: null });
      else expect(angle).toEqual({ ok: false, reason: 'no_picture' });
    },
  );

  test('is not waited for once that time is over', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'late', atMs: bench.nowMs - 1100 });
    expect(bench.later).toHaveLength(0);
    expect(bench.of('stamp_kept')[0]?.angle).toEqual({ ok: false, reason: 'no_picture' });
  });
});

describe('a signal while the crank turns', () => {
  async function turning(stepDeg: number): Promise<StandInBench> {
    const bench = new StandInBench();
    await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
    await bench.frames(20, stepDeg, 40);
    return bench;
  }

  test('is answered by the frame after it, from the places on both sides', async () => {
    const bench = await turning(1);
    bench.nowMs += 10;
    const atMs = bench.nowMs;
    await bench.engine.handle({ kind: 'stamp', stampId: 'between', atMs });
    expect(bench.of('stamped')).toEqual([]);
    bench.nowMs -= 10;
    await bench.frames(1, 1, 40);
    const angle = bench.of('stamp_kept')[0]?.angle;
    expect(angle).toMatchObject({ ok: true, rotationDeg: 20.25, motion: 'turning', frames: 2 });
    // A quarter of the way from the picture; it may have stopped at either side of the step.
    const movedDeg = 0.25 / Math.sqrt(3);
    expect(angle?.ok === true ? angle.movement : null).toMatchObject({ turnedDeg: 0.25 });
    expect(angle?.ok === true ? angle.movement?.sigmaDeg : 0).toBeCloseTo(movedDeg, 9);
    expect(angle?.ok === true ? angle.sigmaDeg : 0).toBeCloseTo(Math.hypot(0.004, movedDeg), 9);

    // The frames after that show that it turned on evenly.
    await bench.frames(16, 1, 40);
    expect(bench.of('stamp_refined')).toMatchObject([
      { angle: { ok: true, rotationDeg: 20.25, motion: 'turning', movement: { turnedDeg: 0.25 } } },
    ]);
    const refined = bench.of('stamp_refined')[0]?.angle;
    expect(refined?.ok === true ? refined.sigmaDeg : 0).toBeCloseTo(0.004, 9);
    // Answered once, although the time for waiting runs out later.
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')).toHaveLength(1);
  });

  test('is refused where no frame follows', async () => {
    const bench = await turning(1);
    await bench.engine.handle({ kind: 'stamp', stampId: 'last', atMs: bench.nowMs + 30 });
    expect(bench.of('stamped')).toEqual([]);
    await bench.later.shift()?.();
    expect(bench.of('stamped')[0]?.angle).toEqual({ ok: false, reason: 'no_picture' });
  });

  test('is refused where the set-up is let go before it is answered', async () => {
    const bench = await turning(1);
    await bench.engine.handle({ kind: 'stamp', stampId: 'let go', atMs: bench.nowMs + 30 });
    await bench.engine.handle({ kind: 'forget' });
    expect(bench.of('stamp_kept')).toMatchObject([{ angle: { ok: false, reason: 'wheel_not_found' }, picture: null }]);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')).toHaveLength(1);
  });

  test('just before the crank moves on stays where it was held, as certain as what it moved by the next frame', async () => {
    const bench = await turning(0);
    await bench.engine.handle({ kind: 'stamp', stampId: 'held', atMs: bench.nowMs + 10 });
    expect(bench.of('stamped')[0]?.angle).toMatchObject({ ok: true, rotationDeg: 0, sigmaDeg: 0.004, movement: null });
    await bench.frames(16, 2, 40);
    const [refined] = bench.of('stamp_refined');
    expect(refined?.angle).toMatchObject({ ok: true, rotationDeg: 0 });
    // A quarter of the two degrees at most.
    expect(refined?.angle.ok === true ? refined.angle.movement?.sigmaDeg : 0).toBeCloseTo(0.5 / Math.sqrt(3), 9);
  });
});

test('a track on the wrong tick is set right by the stamped frame, and not asked again', async () => {
  const bench = new StandInBench();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  bench.crankDeg = 50;
  bench.trackOffDeg = 1;
  await bench.frames(20, 0, 40);
  await bench.engine.handle({ kind: 'stamp', stampId: 'held', atMs: bench.nowMs });
  expect(bench.of('stamped')[0]?.angle).toMatchObject({ ok: true, rotationDeg: 51 });
  expect(bench.of('stamp_kept')[0]?.angle).toMatchObject({ ok: true, rotationDeg: 50, movement: null });
  await bench.frames(20, 0, 40);
  expect(bench.of('stamp_refined')).toEqual([]);

  // Set right while it turns as well: the way from the picture to the signal is right on any tick.
  await bench.frames(20, 1, 40);
  await bench.engine.handle({ kind: 'stamp', stampId: 'turning', atMs: bench.nowMs - 30 });
  const turning = bench.of('stamp_kept')[1]?.angle;
  expect(turning?.ok === true ? turning.rotationDeg : 0).toBeCloseTo(69.25, 9);
  expect(turning?.ok === true ? turning.movement?.turnedDeg : 0).toBeCloseTo(0.25, 9);
});
