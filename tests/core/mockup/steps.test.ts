import { describe, expect, test } from 'vitest';
import { feelerSeriesInch, feelerSeriesMm } from '../../../core/mockup/feeler-series.ts';
import { stepGuidance } from '../../../core/mockup/step-guidance.ts';
import { stepIds } from '../../../core/mockup/step-shape.ts';
import { positionsOf, stepOf, stepQuantity, steps } from '../../../core/mockup/steps.ts';
import { readingGroups } from '../../../core/planner/void-table.ts';
import { dimensionsWithUnit } from '../../../core/units.ts';
import { BenchRecords } from '../../support/bench-records.ts';

describe('the steps of a mock-up', () => {
  test('stand in the order of the job, each once', () => {
    expect(steps.map(({ id }) => id)).toEqual(stepIds);
    for (const id of stepIds) expect(stepOf(id).id).toBe(id);
  });

  test('no quantity is read at two steps, and none hides another', () => {
    const ids = steps.flatMap(({ quantities }) => quantities.map(({ id }) => id));
    expect(new Set(ids).size).toBe(ids.length);
    for (const id of ids) expect(stepQuantity(id)?.id).toBe(id);
    expect(stepQuantity('of_a_later_version')).toBeNull();
  });

  test('every number has a range, a step to start from and a unit that the conversions know', () => {
    for (const quantity of steps.flatMap(({ quantities }) => quantities)) {
      if (quantity.kind === 'words' || quantity.kind === 'picture') continue;
      expect(quantity.lower, quantity.id).toBeLessThan(quantity.upper);
      expect(quantity.usualStep, quantity.id).toBeGreaterThan(0);
      if (quantity.kind !== 'plain') expect(dimensionsWithUnit(quantity.unit), quantity.id).toContain(quantity.kind);
    }
  });

  test('every group that a change can void is read at some step, but for what is drawn or filled elsewhere', () => {
    const read = new Set(steps.flatMap(({ quantities }) => quantities.map(({ group }) => group)));
    // Stop contacts are no quantity of a hand instrument; the port map is entered with the barrel.
    expect(readingGroups.filter((group) => !read.has(group))).toEqual(['true_tdc', 'port_map']);
  });

  test('what is read at each port has one place a port that has edges', () => {
    const whole = new BenchRecords().mockUp({
      ports: [
        { portId: 'e', kind: 'exhaust', label: 'Exhaust' },
        { portId: 'r', kind: 'intake_reed', label: 'Intake' },
      ],
    });
    const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
    const zeroed = stepQuantity('zeroed_duration');
    if (zeroed === null) throw new Error('there is no zeroed duration');
    expect(positionsOf(zeroed, ports)).toEqual([{ id: 'e', title: 'Exhaust' }]);
  });

  test('each says in whole sentences how, which mistake and which caution, and never promises safety', () => {
    for (const id of stepIds) {
      const { how, mistake, cautions } = stepGuidance[id];
      expect(cautions.length, id).toBeGreaterThan(0);
      for (const sentence of [how, mistake, ...cautions]) {
        expect(sentence, id).toMatch(/^[A-Z].*\.$/);
        expect(sentence, id).not.toMatch(/\bsafe\b|!/);
      }
    }
  });
});

describe('feeler blades', () => {
  test('rise without gaps or repeats from the thinnest to the thickest of the usual sets', () => {
    for (const [series, from, to] of [
      [feelerSeriesMm, 0.02, 1],
      [feelerSeriesInch, 0.0015, 0.035],
    ] as const) {
      expect(series.toSorted((a, b) => a - b)).toEqual(series);
      expect(new Set(series).size).toBe(series.length);
      expect([series[0], series.at(-1)]).toEqual([from, to]);
    }
    expect(feelerSeriesMm).toContain(0.35);
    expect(feelerSeriesInch).toContain(0.02);
  });
});
