import { describe, expect, test } from 'vitest';
import type { Quantity } from '../../../core/catalogue/describe.ts';
import { number, quantity } from '../../../core/catalogue/describe.ts';
import { defaultSimulation, evaluate, repeatableSimulation } from '../../../core/catalogue/evaluate.ts';
import { catalogue, evaluateQuantity, hasQuantity, quantityById } from '../../../core/catalogue.ts';
import { dimensions } from '../../../core/units.ts';
import { describedCatalogue } from '../../support/described-catalogue.ts';
import { refusal, refused } from '../../support/refusal.ts';

const mm = (value: unknown) => ({ value, unit: 'mm' });
const deg = (value: unknown) => ({ value, unit: 'deg' });
const crank = { stroke: mm(54), rod: mm(110) };
const resultOf = (id: string, given: Record<string, { value: unknown; unit?: string }>, output: string) =>
  evaluateQuantity(id, given).outputs.find(({ name }) => name === output)?.value;

describe('catalogue', () => {
  test('its names, titles, units and sources are as agreed', () => {
    expect(describedCatalogue()).toMatchSnapshot();
  });

  test('ids, input names and fields are each used once', () => {
    const ids = catalogue.map(({ id }) => id);
    expect(new Set(ids).size).toBe(ids.length);
    for (const { inputs } of catalogue) {
      const names = Object.values(inputs).map(({ name }) => name);
      expect(new Set(names).size).toBe(names.length);
    }
  });

  test('every input and output has a title and a known unit', () => {
    for (const { inputs, outputs, title, formula, source } of catalogue) {
      for (const text of [title, formula, source]) expect(text.length).toBeGreaterThan(2);
      for (const { title: name, dimension } of [...Object.values(inputs), ...Object.values(outputs)]) {
        expect(name.length).toBeGreaterThan(2);
        expect([...dimensions, 'any', null]).toContain(dimension);
      }
    }
  });

  test('rules of thumb say in which range they were stated, physics is never among them', () => {
    for (const { nature, subject, validity } of catalogue) {
      if (nature === 'rule_of_thumb') expect(validity).toBeDefined();
      expect(nature === 'rule_of_thumb' && subject !== 'rules_of_thumb').toBe(false);
    }
  });

  test('is searched by id', () => {
    expect(hasQuantity('kin_position')).toBe(true);
    expect(hasQuantity('toString')).toBe(false);
    expect(quantityById('kin_position').title).toBe('Piston position at a crank angle');
    expect(refusal(() => quantityById('kin_nothing')).message).toBe(
      'Quantity is "kin_nothing"; it must be a quantity of the catalogue: check its name.',
    );
  });
});

describe('evaluation', () => {
  test('takes every unit of a dimension', () => {
    const inch = {
      stroke: { value: 2, unit: 'in' },
      rod: { value: 4, unit: 'in' },
      crank_angle: { value: Math.PI / 2, unit: 'rad' },
    };
    const metric = { stroke: mm(50.8), rod: { value: 10.16, unit: 'cm' }, crank_angle: deg(90) };
    expect(resultOf('kin_position', inch, 'position')).toBeCloseTo(
      resultOf('kin_position', metric, 'position') as number,
      10,
    );
    const bare = { stroke: { value: 50.8 }, rod: { value: 101.6 }, crank_angle: { value: 90 } };
    expect(resultOf('kin_position', bare, 'position')).toBeCloseTo(
      resultOf('kin_position', metric, 'position') as number,
      10,
    );
    const readings = { value: [1.1, 1], unit: 'mm' };
    expect(resultOf('squish_stats', { readings }, 'mean')).toBeCloseTo(1.05, 12);
    expect(resultOf('squish_stats', { readings: { value: [40, 44], unit: 'thou' } }, 'mean')).toBeCloseTo(1.0668, 12);
    expect(refused(() => evaluateQuantity('squish_stats', { readings: { value: [40, 44], unit: 'deg' } }))).toBe(
      'inconsistent unit',
    );
  });

  test('a quantity that works in any unit keeps that of its first input', () => {
    const limits = {
      lower: mm(1),
      upper: { value: 0.2, unit: 'cm' },
      value: { value: 1500, unit: 'um' },
      expanded: mm(0.1),
    };
    expect(resultOf('conformity', limits, 'decision')).toBe('conforming');
    const inch = evaluateQuantity('type_a', { readings: { value: [1, 3], unit: 'in' } }).outputs[0];
    expect(inch).toMatchObject({ value: 2, unit: 'in', dimension: 'length' });
    expect(evaluateQuantity('type_a', { readings: { value: [1, 3] } }).outputs[0]).toMatchObject({
      unit: '1',
      dimension: 'ratio',
    });
    const turn = {
      forward: { value: 0.25 * (Math.PI / 180), unit: 'rad' },
      backward: deg(359.75),
      circular: { value: true },
    };
    const hysteresis = evaluateQuantity('hysteresis_uncertainty', turn).outputs[0];
    expect(hysteresis?.unit).toBe('deg');
    expect(hysteresis?.value).toBeCloseTo(0.5 / Math.sqrt(12), 9);
    const mixed = { value: mm(1), lower: deg(0), expanded: mm(0.1) };
    expect(refusal(() => evaluateQuantity('conformity', mixed)).message).toBe(
      'Unit is "deg, mm, mm"; it must be units of one kind, like deg: give all of them in comparable units.',
    );
    const unknown = { value: mm(1), lower: { value: 0, unit: 'ell' }, expanded: mm(0.1) };
    expect(refused(() => evaluateQuantity('conformity', unknown))).toBe('inconsistent unit');
    const kelvin = { half_width: { value: 2, unit: 'K' }, shape: { value: 'rectangular' } };
    expect(resultOf('type_b', kelvin, 'standard_uncertainty')).toBeCloseTo(2 / Math.sqrt(3), 12);
  });

  test.each([undefined, null, 'fifty', Number.NaN, Number.POSITIVE_INFINITY, [54], true])(
    '%s for a number is missing, before anything else is looked at',
    (value) => {
      expect(
        refused(() => evaluateQuantity('kin_position', { stroke: mm(-1), rod: mm(value), crank_angle: deg(0) })),
      ).toBe('missing rodLengthMm');
    },
  );

  test('an optional number may be absent or empty, but not text', () => {
    const position = (offset: unknown) => () =>
      evaluateQuantity('kin_position', { ...crank, crank_angle: deg(40), offset: mm(offset) });
    expect(position(null)().outputs[0]?.value).toBe(position(undefined)().outputs[0]?.value);
    expect(position(0)().outputs[0]?.value).toBe(position(undefined)().outputs[0]?.value);
    expect(refused(position('none'))).toBe('missing offsetMm');
    expect(refused(position(Number.NaN))).toBe('missing offsetMm');
  });

  test('lists, words and flags must be what they are', () => {
    expect(refused(() => evaluateQuantity('squish_stats', { readings: mm(1) }))).toBe('missing readingsMm');
    expect(refused(() => evaluateQuantity('squish_stats', { readings: mm([1, 'x']) }))).toBe('missing readingsMm[2]');
    expect(refused(() => evaluateQuantity('squish_stats', {}))).toBe('missing readingsMm');
    const typeB = (shape: unknown) => () => evaluateQuantity('type_b', { half_width: mm(1), shape: { value: shape } });
    expect(refusal(typeB(3)).message).toBe('Shape is 3; it must be a word: choose one.');
    expect(refused(typeB(null))).toBe('missing shape');
    expect(refused(typeB('round'))).toBe('out_of_range shape');
    const flag = (circular: unknown) => () =>
      evaluateQuantity('hysteresis_uncertainty', { forward: deg(1), backward: deg(2), circular: { value: circular } });
    expect(refusal(flag('yes')).message).toBe('Circular is "yes"; it must be yes or no: choose one.');
    expect(flag(false)().outputs).toHaveLength(1);
    expect(flag(undefined)().outputs).toHaveLength(1);
    const combine = (degrees: unknown) => () =>
      evaluateQuantity('combine', {
        sensitivities: { value: [1, 1] },
        uncertainties: mm([0.2, 0.1]),
        degrees_of_freedom: { value: degrees },
      });
    expect(combine([4, null])().outputs).toHaveLength(3);
    expect(combine(null)().outputs).toHaveLength(2);
    expect(refused(combine([4, 'many']))).toBe('missing degreesOfFreedom[2]');
    expect(refusal(combine(4)).message).toBe(
      'Degrees of freedom is 4; it must be a list of numbers: enter one for each input.',
    );
    expect(refusal(() => evaluateQuantity('kin_position', crank)).message).toBe(
      'Crank angle is empty; it must be given: enter crank angle after tdc first.',
    );
  });

  test('offset counts wherever stroke and rod do', () => {
    for (const { id, inputs } of catalogue) {
      const names = Object.values(inputs).map(({ name }) => name);
      if (names.includes('stroke') && names.includes('rod')) expect(names, id).toContain('offset');
    }
  });

  test('inputs that a quantity does not take are named', () => {
    expect(
      evaluateQuantity('kin_position', { ...crank, crank_angle: deg(1), colour: { value: 'red' } }).unusedInputs,
    ).toEqual(['colour']);
    expect(evaluateQuantity('kin_position', { ...crank, crank_angle: deg(1) }).unusedInputs).toEqual([]);
  });

  test('results that do not exist are left out, others keep their order', () => {
    const blowdown = evaluateQuantity('blowdown', { exhaust_open_atdc: deg(83.5), transfer_open_atdc: deg(116.5) });
    expect(blowdown.outputs.map(({ name }) => name)).toEqual(['blowdown']);
    const timed = evaluateQuantity('blowdown', {
      exhaust_open_atdc: deg(83.5),
      transfer_open_atdc: deg(116.5),
      speed: { value: 11_000 },
    });
    expect(timed.outputs.map(({ name, unit, period }) => [name, unit, period])).toEqual([
      ['blowdown', 'deg', null],
      ['blowdown_time', 's', null],
    ]);
    expect(timed.outputs[1]?.value).toBeCloseTo(5e-4, 12);
    const stop = evaluateQuantity('tdc_positive_stop', { stop_forward: deg(340), stop_backward: deg(20) });
    expect(stop.outputs.map(({ period }) => period)).toEqual([null, 360]);
  });

  test('a simulation comes out the same each time, and its settings can be given', () => {
    const given = {
      open_reading: deg(83),
      close_reading: deg(277),
      half_width_open: deg(0.25),
      half_width_close: deg(0.25),
    };
    const quick = () => repeatableSimulation(5, 200_000);
    const [once, again] = [
      evaluateQuantity('mc_duration', given, quick),
      evaluateQuantity('mc_duration', given, quick),
    ];
    expect(once.outputs.map(({ value }) => value)).toEqual(again.outputs.map(({ value }) => value));
    expect(defaultSimulation).toEqual({ seed: 20_261_125, trials: 1_000_000 });
    expect(repeatableSimulation().trials).toBe(1_000_000);
    expect(repeatableSimulation().generator()).toBe(repeatableSimulation().generator());
  });
});

describe('uncertainty and provenance of a result', () => {
  const given = {
    stroke: { value: 54, unit: 'mm', sigma: 0.02 },
    rod: { value: 11, unit: 'cm', sigma: 0.005 },
    crank_angle: { value: 90, unit: 'deg', sigma: 0.1, degreesOfFreedom: 4, readings: [{ id: 'r1', shown: '90.0' }] },
  };

  test('inputs with an uncertainty give results with one', () => {
    const [position] = evaluateQuantity('kin_position', given).outputs;
    const moved = (by: Partial<Record<'stroke' | 'rod' | 'crank_angle', number>>) =>
      resultOf(
        'kin_position',
        {
          stroke: mm(54 + (by.stroke ?? 0)),
          rod: mm(110 + (by.rod ?? 0)),
          crank_angle: deg(90 + (by.crank_angle ?? 0)),
        },
        'position',
      ) as number;
    const effects = [
      (moved({ stroke: 0.02 }) - moved({ stroke: -0.02 })) / 2,
      (moved({ rod: 0.05 }) - moved({ rod: -0.05 })) / 2,
      (moved({ crank_angle: 0.1 }) - moved({ crank_angle: -0.1 })) / 2,
    ];
    expect(position?.uncertain?.sigma).toBeCloseTo(Math.hypot(...effects), 9);
    expect(position?.uncertain?.contributions.map(({ from }) => from)).toEqual([
      'Stroke',
      'Rod length, centre to centre',
      'Crank angle after TDC',
    ]);
    expect(evaluateQuantity('kin_position', { ...crank, crank_angle: deg(90) }).outputs[0]?.uncertain).toBeNull();
  });

  test('says formula, source, readings and shares, largest first', () => {
    const provenance = evaluateQuantity('kin_position', given).outputs[0]?.provenance;
    expect(provenance).toMatchObject({
      title: 'Piston position at a crank angle',
      nature: 'derived',
      result: { unit: 'mm' },
      inputs: [
        { name: 'stroke', title: 'Stroke', value: 54, unit: 'mm', sigma: 0.02, readings: [] },
        { name: 'rod', value: 11, unit: 'cm', sigma: 0.005 },
        { name: 'crank_angle', unit: 'deg', readings: [{ id: 'r1', shown: '90.0' }] },
      ],
    });
    expect(provenance?.formula).toContain('x(φ)');
    expect(provenance?.source).toContain('slider-crank');
    const shares = provenance?.uncertainty?.contributions.map(({ share }) => share) ?? [];
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
    expect(shares).toEqual(shares.toSorted((a, b) => b - a));
    expect(provenance?.uncertainty).toMatchObject({ coverage: 2, routes: ['propagated'] });
    expect(provenance?.uncertainty?.expanded).toBeCloseTo(2 * (provenance?.uncertainty?.sigma ?? 0), 12);
    expect(provenance?.remarks.join()).toMatch(/effective degrees of freedom: k = 2 covers less than 95 %/);
  });

  test('each entry of a list carries its own uncertainty', () => {
    const readings = { value: [1, 1.2], unit: 'mm', sigma: 0.01 };
    const [mean] = evaluateQuantity('squish_stats', { readings }).outputs;
    expect(mean?.uncertain?.sigma).toBeCloseTo(0.01 / Math.SQRT2, 9);
    expect(mean?.uncertain?.contributions.map(({ from }) => from)).toEqual([
      'Squish readings, 1',
      'Squish readings, 2',
    ]);
    const [word] = evaluateQuantity('conformity', {
      lower: mm(1),
      value: { ...mm(2), sigma: 0.1 },
      expanded: mm(0.2),
    }).outputs;
    expect(word).toMatchObject({ value: 'conforming', unit: '', dimension: null, uncertain: null });
    expect(word?.provenance).not.toHaveProperty('uncertainty');
  });

  test('an entry that decides nothing contributes nothing', () => {
    const readings = { value: [1, 1.2, 1.1], unit: 'mm', sigma: 0.01 };
    const largest = evaluateQuantity('squish_stats', { readings }).outputs.find(({ name }) => name === 'maximum');
    expect(largest?.uncertain?.contributions.map(({ effect }) => Math.abs(effect) > 1e-6)).toEqual([
      false,
      true,
      false,
    ]);
  });

  test('words have no unit, and physics needs no remark', () => {
    const given = { half_width: { ...mm(1), sigma: 0.1 }, shape: { value: 'rectangular', sigma: 3 } };
    const [output] = evaluateQuantity('type_b', given).outputs;
    expect(output?.provenance.inputs.map(({ name, unit }) => [name, unit])).toEqual([
      ['half_width', 'mm'],
      ['shape', ''],
    ]);
    expect(output?.provenance.remarks).toEqual([]);
    expect(output?.uncertain?.contributions).toHaveLength(1);
  });

  test('a wheel reading that wraps keeps a small uncertainty', () => {
    const stop = { stop_forward: { ...deg(340), sigma: 0.2 }, stop_backward: { ...deg(20), sigma: 0.2 } };
    expect(evaluateQuantity('tdc_positive_stop', stop).outputs[1]?.uncertain?.sigma).toBeCloseTo(0.1 * Math.SQRT2, 9);
  });

  test('an uncertainty is converted as a difference, not as a temperature', () => {
    const gas = {
      gamma: { value: 1.35 },
      gas_constant: { value: 288 },
      temperature: { value: 700, unit: 'K', sigma: 7 },
    };
    const [speed] = evaluateQuantity('sound_speed', gas).outputs;
    expect((speed?.uncertain?.sigma ?? 0) / (speed?.value as number)).toBeCloseTo(0.005, 5);
    expect(refused(() => evaluateQuantity('sound_speed', { ...gas, gamma: { value: 1.35, sigma: Number.NaN } }))).toBe(
      'missing gamma sigma',
    );
    expect(
      evaluateQuantity('sound_speed', { ...gas, temperature: { value: 700, unit: 'K', sigma: 0 } }).outputs[0]
        ?.uncertain,
    ).toBeNull();
  });

  test('rules of thumb carry their range into the panel', () => {
    const rule = evaluateQuantity('ring_flutter_limit', { ring_thickness: mm(1.2) }).outputs[0]?.provenance;
    expect(rule?.nature).toBe('rule_of_thumb');
    expect(rule?.remarks).toEqual(['Stated for ring thickness 0.99 to 3.17 mm.']);
    expect(rule?.source).toContain('Jennings');
  });

  test('a quantity of its own goes through the same door', () => {
    const doubled: Quantity = quantity({
      id: 'doubled',
      title: 'Doubled',
      subject: 'fits',
      formula: '2x',
      source: 'arithmetic',
      nature: 'derived',
      inputs: { x: number('x', 'Number', 'ratio') },
      outputs: { twice: { title: 'Twice', dimension: 'ratio' } },
      run: ({ x }) => ({ twice: 2 * x }),
    });
    expect(evaluate(doubled, { x: { value: 50, unit: '%' } }).outputs[0]?.value).toBe(1);
  });
});
