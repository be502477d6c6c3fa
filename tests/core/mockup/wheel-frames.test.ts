import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { AngleReading, Edge, Reading, WheelSetup } from '../../../core/contract/readings.ts';
import { rotationFromReference } from '../../../core/mockup/edge-readings.ts';
import { eventKey } from '../../../core/mockup/frame-readings.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { type FoundFrame, wheelFrames } from '../../../core/mockup/wheel-frames.ts';
import { budgetDefaults } from '../../../core/uncertainty/event-budget.ts';
import { wrapTurn } from '../../../core/units.ts';
import { BenchRecords } from '../../support/bench-records.ts';

/** Rotation of the crank at true TDC from the reference of the first set-up. */
const tdcDeg = 201.4;
const edges: readonly [Edge, number][] = [
  ['opens', 91.6],
  ['closes', 268.4],
];
const stopDeg = 42;

type Way = 'clockwise' | 'anticlockwise';

/** A mock-up whose camera was knocked: each further set-up counts on from the one before at the angle given. */
function knocked(forwards: Way, continuesAtDeg: readonly number[]) {
  const records = new BenchRecords();
  const whole = records.mockUp({ forwards });
  const first = firstOf(whole);
  const setups = [first];
  for (const atDeg of continuesAtDeg) {
    const before = setups.at(-1) ?? first;
    setups.push({ ...first, id: records.id(), continuesSetupId: before.id, continuesAtDeg: atDeg });
  }
  const sign = forwards === 'clockwise' ? 1 : -1;
  /** The camera's reading of a crank angle with the n-th set-up, whose reference lies where its knock found the crank. */
  const read = (index: number, crankDeg: number, modulusDeg = 360): AngleReading => {
    const referenceDeg = continuesAtDeg.slice(0, index).reduce((sum, atDeg) => sum + atDeg, 0);
    const rotationDeg = wrapTurn(tdcDeg + sign * crankDeg - referenceDeg, modulusDeg);
    return { ...records.camera(whole, rotationDeg, modulusDeg), setupId: setups[index]?.id ?? '' };
  };
  const contacts = (index: number, modulusDeg = 360): Reading[] => [
    records.stop(whole, 'forwards', read(index, -stopDeg, modulusDeg)),
    records.stop(whole, 'backwards', read(index, stopDeg, modulusDeg)),
  ];
  const both = (index: number, modulusDeg = 360): Reading[] =>
    edges.flatMap(([edge, crankDeg]) =>
      (['forwards', 'backwards'] as const).map((turning) =>
        records.edge(whole, 'e', edge, turning, read(index, crankDeg, modulusDeg)),
      ),
    );
  return { records, whole, setups, read, contacts, both };
}

function firstOf(whole: MockUpWhole): WheelSetup {
  const [first] = whole.setups;
  if (first === undefined) throw new Error('a mock-up without a set-up');
  return first;
}

function framesOf(whole: MockUpWhole, setups: readonly WheelSetup[], readings: readonly Reading[]) {
  const questions: string[] = [];
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const frames = wheelFrames(setups, joinStamps(readings, []), ports, null, budgetDefaults, questions);
  return { frames, questions };
}

/** Crank angles of all readings of an edge. */
function cranksOf(frame: FoundFrame | undefined, edge: Edge): number[] {
  const read = frame?.edges.get(eventKey('e', edge));
  const tdc = frame?.tdc?.tdcReadingDeg.value;
  if (read === undefined || tdc === undefined) throw new Error('no such edge, or no TDC');
  return [...read.forwards, ...read.backwards].map(({ angleDeg }) => wrapTurn(angleDeg - tdc));
}

describe.each(['clockwise', 'anticlockwise'] as const)('forwards %s', (forwards) => {
  test('edges stamped before and after a knock are the same events of one frame', () => {
    const { whole, setups, contacts, both } = knocked(forwards, [318.25]);
    const { frames, questions } = framesOf(whole, setups, [...contacts(0), ...both(0), ...both(1)]);
    expect(questions).toEqual([]);
    expect(frames).toHaveLength(1);
    expect(frames[0]?.frameId).toBe(setups[0]?.id);
    expect(frames[0]?.tdc?.tdcReadingDeg.value).toBeCloseTo(wrapTurn(forwards === 'clockwise' ? tdcDeg : -tdcDeg), 9);
    for (const [edge, crankDeg] of edges) {
      const cranks = cranksOf(frames[0], edge);
      expect(cranks).toHaveLength(4);
      for (const one of cranks) expect(one).toBeCloseTo(crankDeg, 9);
    }
  });

  test('a chain of two carries TDC from its first set-up, or a contact from each, to its last', () => {
    const { whole, setups, contacts, both } = knocked(forwards, [318.25, 77.5]);
    const [forwardContact] = contacts(0);
    const [, backwardContact] = contacts(1);
    if (forwardContact === undefined || backwardContact === undefined) throw new Error('no contacts');
    for (const stops of [contacts(0), contacts(2), [forwardContact, backwardContact]]) {
      const { frames } = framesOf(whole, setups, [...stops, ...both(2)]);
      expect(frames).toHaveLength(1);
      for (const [edge, crankDeg] of edges) {
        for (const one of cranksOf(frames[0], edge)) expect(one).toBeCloseTo(crankDeg, 9);
      }
    }
  });

  test('a scale that repeats after half a turn counts on as well', () => {
    const { whole, setups, contacts, both } = knocked(forwards, [318.25, 77.5]);
    const { frames } = framesOf(whole, setups, [...contacts(0, 180), ...both(1, 180), ...both(2, 180)]);
    for (const [edge, crankDeg] of edges) {
      for (const one of cranksOf(frames[0], edge)) expect(one).toBeCloseTo(crankDeg, 9);
    }
  });

  test('on a scale that repeats after a quarter turn nothing is guessed: its readings are asked about and count for nothing', () => {
    const { whole, setups, contacts, both } = knocked(forwards, []);
    const lost = framesOf(whole, setups, [...contacts(0, 90), ...both(0, 90)]);
    expect(lost.frames).toEqual([]);
    expect(lost.questions).toHaveLength(1);
    expect(lost.questions[0]).toMatch(new RegExp(`^${2 + 2 * edges.length} readings were taken on a scale`));
    // Others of the same place, read with certainty, count on as they are.
    const { frames, questions } = framesOf(whole, setups, [...contacts(0), ...both(0), ...both(0, 90)]);
    expect(questions).toHaveLength(1);
    for (const [edge, crankDeg] of edges) {
      const cranks = cranksOf(frames[0], edge);
      expect(cranks).toHaveLength(2);
      for (const one of cranks) expect(one).toBeCloseTo(crankDeg, 9);
    }
  });

  test('a stamp has a place from the reference of every set-up of its chain, and none from that of another', () => {
    const { whole, setups, read, records } = knocked(forwards, [318.25, 77.5]);
    const apart = { ...firstOf(whole), id: records.id() };
    const all = [...setups, apart];
    for (const from of [0, 1, 2]) {
      for (const [index, setup] of setups.entries()) {
        const there = read(index, 91.6);
        const shown = rotationFromReference(read(from, 91.6), setup, all);
        expect(shown).toBeCloseTo(there.by === 'camera' ? there.rotationDeg : Number.NaN, 9);
      }
      expect(rotationFromReference(read(from, 91.6), apart, all)).toBeNull();
    }
  });
});

test('a new reference that carries nothing on is a frame of its own, without the TDC of the earlier one', () => {
  const { records, whole, setups, contacts, both, read } = knocked('clockwise', []);
  const apart = { ...firstOf(whole), id: records.id() };
  const before = [...contacts(0), ...both(0)];
  const after = records.edge(whole, 'e', 'opens', 'forwards', { ...read(0, 91.6), setupId: apart.id });
  const { frames } = framesOf(whole, [...setups, apart], [...before, after]);
  expect(frames.map(({ frameId }) => frameId)).toEqual([setups[0]?.id, apart.id]);
  expect(frames[0]?.tdc).not.toBeNull();
  expect(frames[1]?.tdc).toBeNull();
});

test('a damaged book whose set-ups carry each other on in a ring, or a missing one, still gives frames', () => {
  const { whole, setups, contacts, both } = knocked('clockwise', [10, 20]);
  const last = setups[2];
  if (last === undefined) throw new Error('a chain of two');
  const readings = [...contacts(0), ...both(0), ...both(1), ...both(2)];
  const ring = setups.map((one, index) =>
    index === 0 ? { ...one, continuesSetupId: last.id, continuesAtDeg: 30 } : one,
  );
  const countOf = (frames: readonly FoundFrame[]) =>
    frames
      .flatMap((frame) => [...frame.edges.values()])
      .reduce((sum, edge) => sum + edge.forwards.length + edge.backwards.length, 0);
  expect(countOf(framesOf(whole, ring, readings).frames)).toBe(12);
  const onItself = setups.map((one) => ({ ...one, continuesSetupId: one.id, continuesAtDeg: 30 }));
  expect(framesOf(whole, onItself, readings).frames).toHaveLength(3);
  // The middle of the chain is lost: its own stamps have no set-up, and the last one stands alone.
  const { frames } = framesOf(whole, [firstOf(whole), last], readings);
  expect(frames.map(({ frameId }) => frameId)).toEqual([setups[0]?.id, last.id]);
});
