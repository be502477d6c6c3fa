import { expect, test } from 'vitest';
import { type AngleReading, readingSchema } from '../../../core/contract/readings.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { approachToEdge, toneOfApproach } from '../../../renderer/state/bench-approach.ts';
import {
  cameraAngle,
  measuredTurning,
  otherWayNotice,
  reReadAngle,
  turningNotice,
} from '../../../renderer/state/bench-run.ts';
import { phraseOf, spokenAngle } from '../../../renderer/state/bench-voice.ts';
import type { AcceptedStamp } from '../../../renderer/wheel-worker/messages.ts';
import { reading } from '../../support/stand-in-bench.ts';

const id = (last: number): string => `0190a000-0000-7000-8000-00000000000${last}`;

const forwardsAt100 = readingSchema.parse({
  id: id(1),
  workplaceId: id(2),
  createdAt: '2026-03-01T10:00:00.000Z',
  mockUpId: id(3),
  subject: {
    what: 'port_edge',
    portId: 'exhaust',
    edge: 'opens',
    turning: 'forwards',
    criterion: { kind: 'first_light' },
    angle: { by: 'camera', setupId: id(4), rotationDeg: 100, sigmaDeg: 0.01, modulusDeg: 360, provisional: false },
  },
  signal: 'key',
  takenAt: '2026-03-01T10:00:00.000Z',
});
const stamps = joinStamps([forwardsAt100], []);
/** The reference in use is that of one set-up, which carries no other on. */
const from = (setupId: string) => (angle: AngleReading) =>
  angle.by === 'camera' && angle.setupId === setupId ? angle.rotationDeg : null;
const backwards = { what: 'port_edge', portId: 'exhaust', edge: 'opens', turning: 'backwards' } as const;

test('the way left to an edge that was read in the other direction is told until it is reached and passed', () => {
  const toGo = (rotationDeg: number) => approachToEdge(backwards, stamps, from(id(4)), rotationDeg, 'anticlockwise');
  expect(toGo(100.8)?.sentence).toBe('0.8 degrees to go');
  expect(toGo(100.1)?.sentence).toBe('at the edge');
  expect(toGo(98.5)?.sentence).toBe('1.5 degrees past');
  expect(toGo(140)).toBeNull();
});

test('an edge not yet read in the other direction, or on another setting of the wheel, has no way to tell', () => {
  expect(approachToEdge({ ...backwards, turning: 'forwards' }, stamps, from(id(4)), 99, 'clockwise')).toBeNull();
  expect(approachToEdge({ ...backwards, edge: 'closes' }, stamps, from(id(4)), 101, 'anticlockwise')).toBeNull();
  expect(approachToEdge(backwards, stamps, from(id(5)), 101, 'anticlockwise')).toBeNull();
  expect(approachToEdge(backwards, [], from(id(4)), 101, 'anticlockwise')).toBeNull();
});

test('a struck stamp is no guide', () => {
  const mark = {
    id: id(6),
    workplaceId: id(2),
    createdAt: '2026-03-01T10:01:00.000Z',
    readingId: id(1),
    mark: 'struck',
    reason: '',
  } as const;
  expect(approachToEdge(backwards, joinStamps([forwardsAt100], [mark]), from(id(4)), 101, 'anticlockwise')).toBeNull();
});

test('the tone grows higher and quicker towards the edge and falls below it when past', () => {
  const tones = [18, 9, 3, 0.5].map(toneOfApproach);
  expect(tones.map(({ hz }) => hz)).toEqual(tones.map(({ hz }) => hz).toSorted((a, b) => a - b));
  expect(tones.map(({ everyMs }) => everyMs)).toEqual(tones.map(({ everyMs }) => everyMs).toSorted((a, b) => b - a));
  expect(toneOfApproach(0).hz).toBeGreaterThan(toneOfApproach(0.5).hz);
  expect(toneOfApproach(-1).hz).toBeLessThan(toneOfApproach(18).hz);
});

test('the way round that the camera saw counts where it is certain, and a disagreement is said', () => {
  expect(measuredTurning('clockwise', 'clockwise')).toBe('forwards');
  expect(measuredTurning('clockwise', 'anticlockwise')).toBe('backwards');
  expect(measuredTurning('none', 'clockwise')).toBeNull();
  expect(measuredTurning('clockwise', null)).toBeNull();
  expect(otherWayNotice(backwards, null)).toBeNull();
  expect(otherWayNotice(backwards, 'backwards')).toBeNull();
  expect(otherWayNotice(backwards, 'forwards')?.sentence).toContain('turning forwards, not backwards as asked for');
});

test('the voice says what was taken, its angle from top, and what comes next', () => {
  expect(spokenAngle(118.46)).toBe('118.5 after top');
  expect(spokenAngle(268.4)).toBe('91.6 before top');
  const event = { kind: 'stamped', reading: forwardsAt100, wanted: { ...backwards, turning: 'forwards' } } as const;
  expect(phraseOf(event, { ports: [], crankDeg: 91.6, next: backwards })).toBe(
    'Port opens: 91.6 after top. Next: Port opens, turning backwards.',
  );
  expect(phraseOf(event, { ports: [], crankDeg: null, next: null })).toBe('Port opens: taken. All done.');
  expect(phraseOf({ kind: 'given_back' }, { ports: [], crankDeg: null, next: null })).toBe('Given back.');
});

const whileTurning: AcceptedStamp = {
  ok: true,
  rotationDeg: 359.9,
  sigmaDeg: Math.hypot(0.1, 0.2),
  movement: { turnedDeg: 0.4, sigmaDeg: 0.2 },
  modulusDeg: 360,
  isProvisional: true,
  frames: 2,
  approach: 'none',
  motion: 'turning',
};

test('a picture read again tells where the crank stood in it, and the stamp where it had turned to by the signal', () => {
  const read = reading(359.7, false);
  if (!read.accepted) throw new Error('the stand-in refused');
  const again = reReadAngle(cameraAngle(id(4), whileTurning), read);
  expect(again.rotationDeg).toBeCloseTo(0.1, 9);
  expect(again.sigmaDeg).toBeCloseTo(Math.hypot(0.004, 0.2), 9);
  expect(again).toMatchObject({ provisional: false, movement: { turnedDeg: 0.4, sigmaDeg: 0.2 } });

  const held = cameraAngle(id(4), { ...whileTurning, sigmaDeg: 0.1, movement: null });
  expect(held).not.toHaveProperty('movement');
  expect(reReadAngle(held, read)).toMatchObject({ rotationDeg: 359.7, sigmaDeg: 0.004 });
});

test('a stamp that its movement leaves less certain than a careful eye would is told at once', () => {
  expect(turningNotice(whileTurning)?.sentence).toContain('turning at the signal');
  expect(turningNotice({ ...whileTurning, movement: { turnedDeg: 3, sigmaDeg: 0.1 } })).toBeNull();
  expect(turningNotice({ ...whileTurning, movement: null })).toBeNull();
});
