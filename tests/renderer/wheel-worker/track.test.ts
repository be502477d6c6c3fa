import { expect, test } from 'vitest';
import type { WheelReading } from '../../../core/wheel/types.ts';
import { Track } from '../../../renderer/wheel-worker/track.ts';
import { sessionDwells, sessionFrames } from '../../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../../support/shared-fixtures.ts';
import { reading } from '../../support/stand-in-bench.ts';

function accepted(rotationDeg: number, provisional = false): WheelReading {
  const read = reading(((rotationDeg % 360) + 360) % 360, provisional);
  return { ...read, sigmaDeg: 0.01, trackedDeg: rotationDeg } as WheelReading;
}

/** A track of frames 66 ms apart. */
function trackOf(angles: readonly number[], from = 1000): Track {
  const track = new Track();
  for (const [index, angle] of angles.entries()) track.add(from + index * 66, accepted(angle));
  return track;
}

const turn = Array.from({ length: 20 }, (_, index) => index * 2);
const held = Array.from({ length: 12 }, () => 40);

test('a wheel that is held after a turn is steady and came clockwise', () => {
  const track = trackOf([...turn, ...held]);
  const now = track.last?.timeMs ?? 0;
  expect(track.motion(now)).toBe('steady');
  expect(track.approach(now)).toBe('clockwise');
});

test('a turn through zero counts on and keeps its way', () => {
  const track = trackOf([8, 6, 4, 2, 0, -2, -4, -6, -6, -6, -6]);
  expect(track.last?.unwrappedDeg).toBeCloseTo(-6, 9);
  expect(track.approach(track.last?.timeMs ?? 0)).toBe('anticlockwise');
});

test('a movement that was not read leaves the way open', () => {
  const track = trackOf([0, -2, -4, -6]);
  const after = (track.last?.timeMs ?? 0) + 2000;
  for (let index = 0; index < 6; index += 1) track.add(after + index * 66, accepted(30));
  expect(track.approach(after + 330)).toBe('none');
});

test('the angle at a signal comes from the frames up to it, not from those after', () => {
  const track = trackOf([...held, 45, 50, 55]);
  const signalMs = 1000 + 11 * 66;
  expect(track.at(signalMs)?.rotationDeg).toBeCloseTo(40, 9);
});

test('a signal between two frames of a moving wheel is read between them', () => {
  const track = trackOf(turn);
  expect(track.at(1000 + 5 * 66 + 33)?.rotationDeg).toBeCloseTo(11, 9);
});

test('a signal long after the last reading has no angle', () => {
  const track = trackOf(held);
  expect(track.at((track.last?.timeMs ?? 0) + 1000)).toBeNull();
});

test('the refined value takes the steady stretch on both sides and never mixes provisional readings in', () => {
  const track = new Track();
  for (let index = 0; index < 6; index += 1) track.add(1000 + index * 66, accepted(40.02, true));
  for (let index = 6; index < 16; index += 1) track.add(1000 + index * 66, accepted(40));
  const around = track.around(1000 + 9 * 66);
  expect(around?.frames).toBe(10);
  expect(around?.isProvisional).toBe(false);
  expect(around?.rotationDeg).toBeCloseTo(40, 9);
});

test('a wheel that was not held has no refined value', () => {
  expect(trackOf(turn).around(1000 + 10 * 66)).toBeNull();
});

test('a turning crank is nowhere known where no frame after the signal has come', () => {
  const track = trackOf(turn);
  const last = track.last?.timeMs ?? 0;
  expect(track.at(last)?.rotationDeg).toBe(38);
  expect(track.at(last + 50)).toBeNull();
  track.add(last + 66, accepted(40));
  expect(track.at(last + 50)?.rotationDeg).toBeCloseTo(38 + (50 / 66) * 2, 9);
});

test('where the reader was busy at the signal, the value is refined from the steady stretch that begins after it', () => {
  const track = trackOf(turn);
  const signal = (track.last?.timeMs ?? 0) + 300;
  for (let index = 0; index < 6; index += 1) track.add(signal + 50 + 66 * index, accepted(41));
  expect(track.around(signal)?.rotationDeg).toBe(41);
});

test('a crank that turns evenly is as certain between two frames as in them; one that starts or stops is not', () => {
  expect(trackOf(turn).at(1000 + 5 * 66 + 33)?.sigmaDeg).toBeCloseTo(0.01, 9);
  // At rest, then 3 degrees to the next frame, then at rest again: half-way it may stand anywhere on those 3 degrees.
  const jerk = trackOf([40, 40, 43, 43]).at(1000 + 66 + 33);
  expect(jerk?.rotationDeg).toBeCloseTo(41.5, 9);
  expect(jerk?.sigmaDeg).toBeCloseTo(Math.hypot(0.01, 1.5 / Math.sqrt(3)), 9);
});

test('a crank that moves on before the next frame may have left its place by the signal', () => {
  const track = trackOf([40, 40, 40, 40, 43]);
  const last = 1000 + 3 * 66;
  expect(track.at(last)).toMatchObject({ rotationDeg: 40, sigmaDeg: 0.01, movementSigmaDeg: 0 });
  const halfWay = track.at(last + 33);
  expect(halfWay?.rotationDeg).toBe(40);
  expect(halfWay?.sigmaDeg).toBeCloseTo(Math.hypot(0.01, 1.5 / Math.sqrt(3)), 9);
});

test('the first readings after a pause stand for a signal just before them where they show the crank held', () => {
  const signal = 1000;
  expect(trackOf([75, 75, 75], signal + 120).at(signal)).toMatchObject({ rotationDeg: 75, sigmaDeg: 0.01 });
  expect(trackOf([75, 75], signal + 120).at(signal)).toBeNull();
  expect(trackOf([75, 77, 79], signal + 66).at(signal)).toBeNull();
  expect(trackOf([75, 75, 75], signal + 170).at(signal)).toBeNull();
});

test('a crank that was held counts on over a pause of the reader only where it is seen to be held still', () => {
  const track = trackOf(held);
  const last = track.last?.timeMs ?? 0;
  expect(track.at(last + 150)?.sigmaDeg).toBe(0.01);
  expect(track.at(last + 250)).toBeNull();
  track.add(last + 380, accepted(40.01));
  expect(track.at(last + 250)?.rotationDeg).toBeCloseTo(40, 9);
});

/** Readings at these times, seconds and degrees. */
function trackAt(points: readonly (readonly [number, number])[]): Track {
  const track = new Track();
  for (const [timeS, angle] of points) track.add(1000 * timeS, accepted(((angle % 360) + 360) % 360));
  return track;
}

test('a gap in a steady movement does not hide its way: the speeds on both sides bear it out', () => {
  const track = trackAt([
    [0, 0],
    [0.07, 5],
    [0.14, 10],
    [0.74, 50],
    [0.81, 55],
    [0.88, 55.5],
    [0.95, 55.5],
  ]);
  expect(track.approach(950)).toBe('clockwise');
});

test('a spin over a gap that ends on the other side leaves the way open', () => {
  const track = trackAt([
    [0, 0],
    [0.07, 14],
    [0.14, 28],
    [0.94, 248],
    [1.01, 262],
    [1.08, 262.5],
    [1.15, 262.5],
    [1.22, 262.5],
  ]);
  expect(track.approach(960)).toBe('none');
});

test('the session as read at a third of its frames: the way is right wherever one is named', (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  const track = new Track();
  const dwells = sessionDwells().filter(({ kind }) => kind !== 'reference');
  for (const { frame, time_s, rotation_deg } of sessionFrames()) {
    if (frame % 3 === 0) track.add(1000 * time_s, accepted(((rotation_deg % 360) + 360) % 360));
    for (const dwell of dwells) {
      if (frame !== dwell.end_frame) continue;
      const way = dwell.direction === 'forward' ? 'clockwise' : 'anticlockwise';
      // Only the one that was overshot and touched back may stay open.
      const isTouchedBack = dwell.name === 'transfers_close' && dwell.direction === 'backward';
      expect(track.approach(1000 * time_s), `${dwell.name}, ${dwell.direction}`).toBe(isTouchedBack ? 'none' : way);
    }
  }
});

test('the session, every other frame taken out: U covers the places between two frames', (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  const frames = sessionFrames();
  let covered = 0;
  let all = 0;
  for (const [index, { time_s, rotation_deg }] of frames.entries()) {
    const turnedDeg = (frames[index + 1]?.rotation_deg ?? Number.NaN) - (frames[index - 1]?.rotation_deg ?? Number.NaN);
    if (!(Math.abs(turnedDeg) > 0.1)) continue;
    const track = new Track();
    for (const [other, frame] of frames.entries()) {
      const isKnown = Math.abs(other - index) <= 10 && (other - index) % 2 !== 0;
      if (isKnown) track.add(1000 * frame.time_s, accepted(frame.rotation_deg));
    }
    const angle = track.at(1000 * time_s);
    if (angle === null) continue;
    all += 1;
    const awayDeg = ((((angle.rotationDeg - rotation_deg) % 360) + 540) % 360) - 180;
    if (Math.abs(awayDeg) <= 2 * angle.sigmaDeg) covered += 1;
  }
  expect(all).toBeGreaterThan(200);
  expect(covered / all).toBeGreaterThan(0.95);
});
