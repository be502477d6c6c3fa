import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Specification } from '../../../core/contract/parts.ts';
import type { Reading, ReadingMark } from '../../../core/contract/readings.ts';
import { ignitionDegFromMm } from '../../../core/ignition/advance.ts';
import { type CheckResults, checkResults } from '../../../core/mockup/check-results.ts';
import { type StepId, stepIds } from '../../../core/mockup/step-shape.ts';
import { skippedQuantity } from '../../../core/mockup/steps.ts';
import { durationKey } from '../../../core/mockup/timing-figures.ts';
import { BenchRecords } from '../../support/bench-records.ts';

/** The barrel's own entry, 53.6, counts to 0.01 mm. */
const enteredBoreSigma = 0.01 / Math.sqrt(12);
const swept = ((Math.PI / 4) * 53.6 ** 2 * 54.5) / 1000;

/** A bench to type readings at: `read` adds one, `results` evaluates what there is. */
function bench(
  specifications: Specification[] = [],
  baseGasketMm: number | null = null,
  crankcaseVolumeBdcCc: number | null = null,
) {
  const records = new BenchRecords();
  const plain = records.mockUp({ specifications });
  if (plain.barrel.kind !== 'barrel' || plain.engine.kind !== 'engine') throw new Error('a part is missing');
  const whole: MockUpWhole = {
    ...plain,
    engine: { ...plain.engine, data: { ...plain.engine.data, crankcaseVolumeBdcCc } },
    mockUp: { ...plain.mockUp, baseGasketMm, headGasketMm: 0 },
    barrel: { ...plain.barrel, data: { ...plain.barrel.data, boreMm: 53.6 } },
    piston: {
      ...plain.barrel,
      kind: 'piston',
      name: 'Piston',
      data: {
        diameterMm: null,
        gaugeHeightMm: 12,
        skirtLengthMm: 38,
        domeVolumeCc: 0,
        massG: null,
        specifications: [],
      },
    },
  };
  const readings: Reading[] = [];
  const marks: ReadingMark[] = [];
  const keep = (reading: Reading): Reading => {
    readings.push(reading);
    return reading;
  };
  return {
    read: (quantity: string, value: number, position = '', unit = 'mm') =>
      keep(records.quantity(whole, quantity, value, { position, unit })),
    note: (quantity: string, position: string, note: string) =>
      keep(records.quantity(whole, quantity, 1, { position, unit: '', resolution: null, note })),
    stops() {
      keep(records.stop(whole, 'forwards', records.camera(whole, 329)));
      keep(records.stop(whole, 'backwards', records.camera(whole, 31)));
    },
    edges(turning: 'forwards' | 'backwards') {
      for (const [portId, edge, at] of [
        ['e', 'opens', 92],
        ['t', 'opens', 118],
        ['t', 'closes', 242],
        ['e', 'closes', 268],
      ] as const) {
        keep(records.edge(whole, portId, edge, turning, records.camera(whole, at)));
      }
    },
    mark: (reading: Reading, mark: ReadingMark['mark'], reason = 'test') =>
      marks.push(records.mark(reading, mark, reason)),
    markAll: (mark: ReadingMark['mark'], reason: string) =>
      marks.push(...readings.map((reading) => records.mark(reading, mark, reason))),
    results: (): CheckResults => checkResults({ ...whole, readings, marks }),
  };
}

const limits = (quantity: string, lower: number | null, upper: number | null): Specification => ({
  quantity,
  nominal: null,
  lower,
  upper,
  unit: 'mm',
  source: 'manual',
  sourceDate: '',
});

const stateOf = (results: CheckResults, id: StepId) => results.steps.find(({ step }) => step.id === id)?.state;
const rowOf = (results: CheckResults, key: string) => {
  const row = results.rows.find((one) => one.key === key);
  if (row === undefined) throw new Error(`there is no row ${key}`);
  return row;
};
const valueOfRow = (results: CheckResults, key: string) => rowOf(results, key).value?.value ?? Number.NaN;

describe('the steps of an empty mock-up', () => {
  test('are open, and the first of them is next', () => {
    const results = bench().results();
    expect(results.steps.map(({ step }) => step.id)).toEqual(stepIds);
    expect(results.steps.every(({ state }) => state === 'open')).toBe(true);
    expect(results.next?.step.id).toBe('box_check');
    expect(results.questions).toEqual([]);
  });

  test('every row is there from the start, open, under a key of its own', () => {
    const { rows } = bench().results();
    expect(new Set(rows.map(({ key }) => key)).size).toBe(rows.length);
    expect(rows.filter(({ value }) => value !== null)).toEqual([]);
  });
});

describe('how a step stands', () => {
  test('it is done when every place that it wants was read', () => {
    const { read, results } = bench();
    read('deck', 0.1, 'drive_side');
    expect(results().steps.find(({ step }) => step.id === 'deck_and_heights')).toMatchObject({
      state: 'open',
      read: 1,
      wanted: 2,
      missing: ['Deck, minus where proud, ignition side'],
    });
    read('deck', 0.12, 'ignition_side');
    expect(stateOf(results(), 'deck_and_heights')).toBe('done');
  });

  test('one of two ways is enough for the head volume and the ignition', () => {
    const { read, results } = bench();
    read('assembled_poured', 11, '', 'cm3');
    read('ignition_deg', 17, '', 'deg');
    expect(stateOf(results(), 'head_volume')).toBe('done');
    expect(stateOf(results(), 'ignition')).toBe('done');
  });

  test('true TDC and port events are done at the wheel, the events in both directions', () => {
    const { stops, edges, results } = bench();
    stops();
    edges('forwards');
    expect(stateOf(results(), 'true_tdc')).toBe('done');
    expect(results().steps.find(({ step }) => step.id === 'port_events')).toMatchObject({ read: 4, wanted: 8 });
    edges('backwards');
    expect(stateOf(results(), 'port_events')).toBe('done');
  });

  test('a skip is kept with its reason, passes to the next step, and is taken up by striking it', () => {
    const { note, mark, results } = bench();
    const skip = note(skippedQuantity, 'box_check', 'came in pieces');
    expect(results().steps[0]).toMatchObject({ state: 'skipped', reason: 'came in pieces' });
    expect(results().next?.step.id).toBe('flatness');
    mark(skip, 'struck');
    expect(results().next?.step.id).toBe('box_check');
  });

  test('void and doubtful readings reopen a step with their reason; reading again closes it', () => {
    const { read, markAll, results } = bench();
    read('stroke', 54.5);
    markAll('void', 'Crank was changed.');
    expect(results().steps.find(({ step }) => step.id === 'stroke_and_rod')).toMatchObject({
      state: 'void',
      reason: 'Crank was changed.',
    });
    read('stroke', 54.52);
    expect(stateOf(results(), 'stroke_and_rod')).toBe('done');
    const wheel = bench();
    wheel.stops();
    wheel.markAll('doubtful', 'Wheel moved.');
    expect(stateOf(wheel.results(), 'true_tdc')).toBe('doubtful');
  });

  test('a result outside its limits shows on the step, also where more is to be read', () => {
    const { read, results } = bench([limits('ring_end_gap', 0.2, 0.35)]);
    read('ring_end_gap', 0.45, 'upper');
    expect(rowOf(results(), 'ring_end_gap:upper').judged.verdict).toBe('not_conforming');
    expect(stateOf(results(), 'ring_end_gap')).toBe('out_of_limits');
  });

  test('an edge outside its limits shows on the step of the port events', () => {
    const { stops, edges, results } = bench([{ ...limits(durationKey('e'), 180, 190), unit: 'deg' }]);
    stops();
    edges('forwards');
    expect(stateOf(results(), 'port_events')).toBe('out_of_limits');
  });
});

describe('results of the loose parts', () => {
  test('taper, out-of-round and both clearances follow from bore and piston', () => {
    const { read, results } = bench();
    const along = { top: 53.62, middle: 53.61, bottom: 53.59 };
    const across = { top: 53.6, middle: 53.6, bottom: 53.58 };
    for (const [at, value] of Object.entries(along)) read('bore_along_pin', value, at);
    for (const [at, value] of Object.entries(across)) read('bore_across_pin', value, at);
    read('piston_diameter', 53.54);
    const found = results();
    expect(valueOfRow(found, 'bore')).toBeCloseTo(53.6, 10);
    expect(valueOfRow(found, 'bore_taper_along_pin')).toBeCloseTo(0.03, 10);
    expect(valueOfRow(found, 'bore_taper_across_pin')).toBeCloseTo(0.02, 10);
    expect(valueOfRow(found, 'bore_out_of_round')).toBeCloseTo(0.02, 10);
    expect(valueOfRow(found, 'piston_clearance')).toBeCloseTo(0.08, 10);
    expect(valueOfRow(found, 'piston_clearance_smallest')).toBeCloseTo(0.04, 10);
    expect(stateOf(found, 'clearance')).toBe('done');
    // Two readings to a hundredth: u = 0.01/sqrt(12) each.
    expect(rowOf(found, 'piston_clearance').value?.sigma).toBeCloseTo(0.01 / Math.sqrt(6), 10);
  });

  test('a piston that would not go in is asked about', () => {
    const { read, results } = bench();
    read('bore_along_pin', 53.5, 'top');
    read('piston_diameter', 53.54);
    expect(results().questions.join()).toMatch(/not smaller than the smallest bore/);
  });

  test('the ring shows the taper of the bore by the circumference', () => {
    const { read, results } = bench();
    read('ring_end_gap', 0.35, 'upper');
    read('ring_end_gap', 0.25, 'lower');
    expect(valueOfRow(results(), 'bore_taper_by_ring')).toBeCloseTo(0.1 / Math.PI, 10);
    expect(rowOf(results(), 'ring_end_gap:upper').advice[0]?.lower).toBeCloseTo(0.0035 * 53.6, 10);
  });

  test('gasket crush is new less crushed, and another fitted size is said', () => {
    const { read, results } = bench([], 0.5);
    read('base_gasket_new', 0.5, '1');
    read('base_gasket_crushed', 0.45, '1');
    read('base_gasket_crushed', 0.43, '2');
    expect(valueOfRow(results(), 'base_gasket_crushed')).toBeCloseTo(0.44, 10);
    expect(valueOfRow(results(), 'base_gasket_crush')).toBeCloseTo(0.06, 10);
    expect(rowOf(results(), 'base_gasket_crushed').remark).toMatch(/0.5 mm/);
    expect(stateOf(results(), 'gaskets')).toBe('done');
  });

  test("a stroke that contradicts the engine's entry is asked about, one within its uncertainty is not", () => {
    const { read, results } = bench();
    read('stroke', 54.503);
    expect(results().questions).toEqual([]);
    const other = bench();
    other.read('stroke', 54);
    expect(other.results().questions.join()).toMatch(/Stroke: measured 54.00 mm, the engine's entry says 54.5 mm/);
  });
});

describe('results of the stack', () => {
  test('squish gives mean, smallest, spread and both tilts with their direction', () => {
    const { read, results } = bench();
    for (const [at, value] of [
      ['0', 0.9],
      ['90', 1.0],
      ['180', 1.0],
      ['270', 0.9],
    ] as const) {
      read('squish', value, at);
    }
    const found = results();
    expect(valueOfRow(found, 'squish_mean')).toBeCloseTo(0.95, 10);
    expect(valueOfRow(found, 'squish_minimum')).toBeCloseTo(0.9, 10);
    expect(valueOfRow(found, 'squish_spread')).toBeCloseTo(0.1, 10);
    expect(valueOfRow(found, 'squish_tilt_front_rear')).toBeCloseTo(-0.1, 10);
    expect(valueOfRow(found, 'squish_tilt_left_right')).toBeCloseTo(0.1, 10);
    // Slopes of 0.1 over the bore both ways: their resultant points half-way between.
    expect(valueOfRow(found, 'squish_tilt')).toBeCloseTo(0.1 * Math.SQRT2, 10);
    expect(rowOf(found, 'squish_tilt').remark).toMatch(/towards 135 deg/);
    expect(found.sizes.squishMm?.value).toBe(0.9);
  });

  test('equal gaps have no tilt, known no better than the gaps allow', () => {
    const { read, results } = bench();
    for (const position of ['0', '90', '180', '270']) read('squish', 1, position);
    const found = results();
    const tilt = rowOf(found, 'squish_tilt').value;
    expect(tilt?.value).toBeCloseTo(0, 12);
    // Opposite gaps lie a bore apart, so along one axis the tilt is their difference, as certain as that.
    expect(tilt?.sigma).toBeCloseTo(rowOf(found, 'squish_tilt_front_rear').value?.sigma ?? Number.NaN, 6);
  });

  test('head, deck and gasket give the volume over the piston and both ratios', () => {
    const { read, stops, edges, results } = bench();
    read('head_poured', 11.4, '', 'cm3');
    read('plate_hole_volume', 0.5, '', 'cm3');
    read('deck', 0.2, 'drive_side');
    read('deck', 0.2, 'ignition_side');
    stops();
    edges('forwards');
    const found = results();
    const clearance = 10.9 + ((Math.PI / 4) * 53.6 ** 2 * 0.2) / 1000;
    expect(valueOfRow(found, 'head_volume')).toBeCloseTo(10.9, 10);
    expect(valueOfRow(found, 'clearance_volume')).toBeCloseTo(clearance, 8);
    expect(valueOfRow(found, 'full_stroke_ratio')).toBeCloseTo(1 + swept / clearance, 8);
    const trapped = valueOfRow(found, 'trapped_ratio');
    expect(trapped).toBeGreaterThan(1);
    expect(trapped).toBeLessThan(valueOfRow(found, 'full_stroke_ratio'));
    // r - 1 is swept over V, swept goes with the bore's square: the bore was entered, to 0.01; the stroke counts as exact.
    const volume = rowOf(found, 'clearance_volume').value;
    expect(rowOf(found, 'full_stroke_ratio').value?.sigma).toBeCloseTo(
      (swept / clearance) * Math.hypot((volume?.sigma ?? 0) / clearance, (2 * enteredBoreSigma) / 53.6),
      5,
    );
  });

  test('a crankcase volume that was entered counts to the whole cm3, as one that is poured does', () => {
    const { results } = bench([], null, 310);
    const ratio = rowOf(results(), 'crankcase_ratio').value;
    expect(ratio?.value).toBeCloseTo(1 + swept / 310, 10);
    const ofVolume = (swept / 310) * (1 / Math.sqrt(12) / 310);
    const ofBore = (swept / 310) * ((2 * enteredBoreSigma) / 53.6);
    expect(ratio?.sigma).toBeCloseTo(Math.hypot(ofVolume, ofBore), 7);
    expect(ratio?.contributions.map(({ route }) => route)).toEqual(['propagated', 'propagated']);
  });

  test('filled assembled, the plug hole is taken off, and a contradiction to the parts is asked about', () => {
    const { read, results } = bench();
    read('assembled_poured', 15, '', 'cm3');
    expect(rowOf(results(), 'assembled_volume').remark).toMatch(/plug hole is counted as nothing/);
    read('plug_hole_volume', 2.25, '', 'cm3');
    expect(valueOfRow(results(), 'clearance_volume')).toBeCloseTo(12.75, 10);
    read('head_poured', 10.9, '', 'cm3');
    read('deck', 0.2, 'drive_side');
    expect(results().questions.join()).toMatch(/filled assembled it is 1.40 cm3 more/);
  });

  test('deck keeps its sign and shows rock', () => {
    const { read, results } = bench();
    read('deck', -0.1, 'drive_side');
    read('deck', -0.04, 'ignition_side');
    expect(valueOfRow(results(), 'deck_mean')).toBeCloseTo(-0.07, 10);
    expect(valueOfRow(results(), 'deck_difference')).toBeCloseTo(-0.06, 10);
  });

  test('ignition goes both ways between dial and wheel; a slanting plug hole is taken out', () => {
    const { read, results } = bench();
    read('ignition_mm', 2);
    const straight = ignitionDegFromMm({ strokeMm: 54.5, rodLengthMm: 110 }, 2);
    expect(valueOfRow(results(), 'ignition_deg')).toBeCloseTo(straight, 9);
    read('plug_hole_slant', 60, '', 'deg');
    expect(valueOfRow(results(), 'ignition_mm')).toBeCloseTo(1, 9);
    const wheel = bench();
    wheel.read('ignition_deg', 17, '', 'deg');
    expect(
      ignitionDegFromMm({ strokeMm: 54.5, rodLengthMm: 110 }, valueOfRow(wheel.results(), 'ignition_mm')),
    ).toBeCloseTo(17, 9);
    wheel.read('ignition_mm', 2);
    expect(wheel.results().questions.join()).toMatch(/Ignition: the dial gives/);
    // It stands on the card that can answer it, and on no other.
    const asking = wheel.results().steps.filter(({ questions }) => questions.length > 0);
    expect(asking.map(({ step }) => step.id)).toEqual(['ignition']);
  });

  test('a duration by zeroing checks the one from the events without any TDC', () => {
    const { read, edges, stops, results } = bench();
    stops();
    edges('forwards');
    read('zeroed_duration', 176, 'e', 'deg');
    expect(valueOfRow(results(), 'zeroed_difference:e')).toBeCloseTo(0, 8);
    expect(results().questions).toEqual([]);
    const off = bench();
    off.stops();
    off.edges('forwards');
    off.read('zeroed_duration', 179, 'e', 'deg');
    expect(off.results().questions.join()).toMatch(/Exhaust: the duration by zeroing differs by 3.0 deg/);
  });
});
