import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Edge, Reading, Turning, WheelSetup } from '../../../core/contract/readings.ts';
import { anglesAtDepth, crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import { eventKey } from '../../../core/mockup/frame-readings.ts';
import { durationKey } from '../../../core/mockup/timing-figures.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { wrapTurn } from '../../../core/units.ts';
import { BenchRecords } from '../../support/bench-records.ts';

/** Crank angles of the four edges; exhaust 176.8, transfers 123.4, blowdown 26.7. */
const truth: readonly [string, Edge, number][] = [
  ['e', 'opens', 91.6],
  ['t', 'opens', 118.3],
  ['t', 'closes', 241.7],
  ['e', 'closes', 268.4],
];

interface Bench {
  /** Rotation of the wheel in the picture at true TDC. */
  tdcRotationDeg: number;
  forwards: 'clockwise' | 'anticlockwise';
  modulusDeg: number;
  offsetMm: number;
}

function measured(bench: Bench, records = new BenchRecords()): MockUpWhole {
  const whole = records.mockUp({ forwards: bench.forwards, offsetMm: bench.offsetMm });
  const sign = bench.forwards === 'clockwise' ? 1 : -1;
  const at = (crankDeg: number) =>
    records.camera(whole, wrapTurn(bench.tdcRotationDeg + sign * crankDeg, bench.modulusDeg), bench.modulusDeg);
  const stop = anglesAtDepth(crankFrom({ strokeMm: 54.5, rodLengthMm: 110, offsetMm: bench.offsetMm }), 6);
  const readings: Reading[] = [
    records.stop(whole, 'forwards', at(-stop.upBtdcDeg)),
    records.stop(whole, 'backwards', at(stop.downAtdcDeg)),
  ];
  for (const turning of ['forwards', 'backwards'] satisfies Turning[]) {
    for (const [port, edge, crankDeg] of truth) readings.push(records.edge(whole, port, edge, turning, at(crankDeg)));
  }
  return { ...whole, readings };
}

const row = (result: ReturnType<typeof timingResult>, key: string) =>
  [...result.events, ...result.figures].find((one) => one.key === key);

function figureOf(result: ReturnType<typeof timingResult>, key: string): number | undefined {
  return result.figures.find((one) => one.key === key)?.value?.value;
}

describe('timing of a mock-up', () => {
  test('law: events do not depend on where the wheel sits, which way it turns, the offset or a scale that repeats', () => {
    fc.assert(
      fc.property(
        fc.record({
          tdcRotationDeg: fc.double({ min: 0, max: 359.99, noNaN: true }),
          forwards: fc.constantFrom('clockwise' as const, 'anticlockwise' as const),
          modulusDeg: fc.constantFrom(360, 180),
          offsetMm: fc.constantFrom(0, 1.2),
        }),
        (bench) => {
          const result = timingResult(measured(bench));
          expect(result.questions).toEqual([]);
          for (const [port, edge, crankDeg] of truth) {
            const event = result.events.find((one) => one.key === eventKey(port, edge));
            expect(event?.crank?.value).toBeCloseTo(crankDeg, 6);
            expect(event?.differenceDeg).toBeCloseTo(0, 6);
          }
          expect(figureOf(result, durationKey('e'))).toBeCloseTo(176.8, 6);
          expect(figureOf(result, durationKey('t'))).toBeCloseTo(123.4, 6);
          expect(figureOf(result, 'blowdown')).toBeCloseTo(26.7, 6);
        },
      ),
      { seed: 11, numRuns: 100 },
    );
  });

  const plain: Bench = { tdcRotationDeg: 7.35, forwards: 'clockwise', modulusDeg: 360, offsetMm: 0 };

  test('the offset correction is applied and said', () => {
    const { tdc } = timingResult(measured({ ...plain, offsetMm: 1.2 }));
    expect(tdc.correctionDeg).not.toBe(0);
    expect(tdc.sentence).toContain('for the offset');
  });

  test('contacts on the same side are refused with a sentence and leave the durations standing', () => {
    const records = new BenchRecords();
    const whole = measured(plain, records);
    const swapped = whole.readings.map((reading) =>
      reading.subject.what === 'stop_contact'
        ? {
            ...reading,
            subject: {
              ...reading.subject,
              turning: reading.subject.turning === 'forwards' ? ('backwards' as const) : ('forwards' as const),
            },
          }
        : reading,
    );
    const result = timingResult({ ...whole, readings: swapped });
    expect(result.tdc.isFound).toBe(false);
    expect(result.questions.join(' ')).toContain('the readings are swapped');
    expect(figureOf(result, durationKey('e'))).toBeCloseTo(176.8, 6);
  });

  test('a blade makes the bare port open earlier than it was read, by its thickness of travel', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    const stop = [
      records.stop(whole, 'forwards', records.camera(whole, 330)),
      records.stop(whole, 'backwards', records.camera(whole, 30)),
    ];
    const read = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 92), { bladeMm: 0.25 });
    const bareDeg = row(timingResult({ ...whole, readings: [...stop, read] }), eventKey('e', 'opens'));
    const value = bareDeg !== undefined && 'crank' in bareDeg ? (bareDeg.crank?.value ?? 0) : 0;
    const crank = crankFrom({ strokeMm: 54.5, rodLengthMm: 110 });
    expect(depthAt(crank, 92) - depthAt(crank, value)).toBeCloseTo(0.25, 9);
  });

  test('doubtful readings are kept, not used, and said', () => {
    const records = new BenchRecords();
    const whole = measured(plain, records);
    const last = whole.readings.at(-1);
    if (last === undefined) throw new Error('the bench has readings');
    const result = timingResult({ ...whole, marks: [records.mark(last, 'doubtful', 'wheel moved')] });
    expect(result.stamps).toHaveLength(whole.readings.length);
    expect(result.events.find((one) => one.key === eventKey('e', 'closes'))?.backwardsDeg).toBeNull();
    expect(result.questions.join(' ')).toContain('1 reading is doubtful');
  });

  test('a TDC check that comes out elsewhere says that something moved', () => {
    const records = new BenchRecords();
    const whole = measured(plain, records);
    const checks = [
      records.check(whole, 'forwards', records.camera(whole, 338.35)),
      records.check(whole, 'backwards', records.camera(whole, 38.35)),
    ];
    const result = timingResult({ ...whole, readings: [...whole.readings, ...checks] });
    expect(result.questions.join(' ')).toMatch(/drifted by 1\.00 deg/);
  });

  test('one direction only widens the uncertainty by half the slack over root three', () => {
    const whole = measured(plain);
    const forwardsOnly = whole.readings.filter(
      ({ subject }) => subject.what !== 'port_edge' || subject.turning === 'forwards',
    );
    const event = timingResult({ ...whole, readings: forwardsOnly }).events[0];
    const direction = event?.crank?.contributions.find(({ route }) => route === 'hysteresis');
    expect(direction?.effect).toBeCloseTo(0.25 / Math.sqrt(3), 12);
  });

  test('limits on a duration are judged with the uncertainty of the duration', () => {
    const records = new BenchRecords();
    const whole = measured(plain, records);
    const limits = (lower: number, upper: number) => ({
      ...whole,
      mockUp: {
        ...whole.mockUp,
        specifications: [
          {
            quantity: durationKey('e'),
            nominal: null,
            lower,
            upper,
            unit: 'deg',
            source: 'class sheet',
            sourceDate: '',
          },
        ],
      },
    });
    const verdict = (lower: number, upper: number) =>
      row(timingResult(limits(lower, upper)), durationKey('e'))?.judged.verdict;
    expect(verdict(175, 179)).toBe('conforming');
    expect(verdict(180, 184)).toBe('not_conforming');
    expect(verdict(176.7, 180)).toBe('cannot_be_decided');
  });

  test('after a new reference earlier stamps stand, new contacts are asked for, and figures span both by their own TDC', () => {
    const records = new BenchRecords();
    const whole = records.mockUp();
    const [first] = whole.setups;
    if (first === undefined) throw new Error('a mock-up without a set-up');
    const second = { ...first, id: records.id() };
    const setups = [first, second];
    const at = (setup: WheelSetup, crankDeg: number) => ({
      ...records.camera(whole, wrapTurn((setup === first ? 7.35 : 120) + crankDeg)),
      setupId: setup.id,
    });
    const contacts = (setup: WheelSetup) => [
      records.stop(whole, 'forwards', at(setup, -40)),
      records.stop(whole, 'backwards', at(setup, 40)),
    ];
    const edge = (setup: WheelSetup, name: Edge, crankDeg: number) =>
      records.edge(whole, 'e', name, 'forwards', at(setup, crankDeg));
    const before = [...contacts(first), edge(first, 'opens', 91.6), edge(first, 'closes', 268.4)];
    const alone = timingResult({ ...whole, setups: [first], readings: before });
    expect(alone.questions).toEqual([]);

    const asked = timingResult({ ...whole, setups, readings: before });
    expect(asked.questions).toEqual([expect.stringContaining('take the stop from both sides again')]);
    expect(asked.next).toEqual({ what: 'stop_contact', turning: 'forwards' });
    expect(figureOf(asked, durationKey('e'))).toBeCloseTo(176.8, 6);

    // Read in the new place before its TDC is found: nothing that has an angle is lost.
    const early = timingResult({ ...whole, setups, readings: [...before, edge(second, 'closes', 269)] });
    expect(figureOf(early, durationKey('e'))).toBeCloseTo(176.8, 6);

    const closed = edge(second, 'closes', 269);
    const result = timingResult({ ...whole, setups, readings: [...before, ...contacts(second), closed] });
    expect(result.questions).toEqual([]);
    expect(result.events.find(({ key }) => key === eventKey('e', 'closes'))?.crank?.value).toBeCloseTo(269, 6);
    const duration = result.figures.find(({ key }) => key === durationKey('e'));
    expect(duration?.value?.value).toBeCloseTo(177.4, 6);
    expect(duration?.how).toContain('its own set-up');
    // Each event and each TDC is in it, where one frame has the events alone.
    const [opens, closes] = (['opens', 'closes'] as const).map(
      (name) => result.events.find(({ key }) => key === eventKey('e', name))?.crank?.sigma ?? Number.NaN,
    );
    expect(duration?.value?.sigma).toBeCloseTo(Math.hypot(opens ?? Number.NaN, closes ?? Number.NaN), 9);
    const aloneSigma = alone.figures.find(({ key }) => key === durationKey('e'))?.value?.sigma ?? Number.NaN;
    expect(duration?.value?.sigma).toBeGreaterThan(aloneSigma);
  });
});
