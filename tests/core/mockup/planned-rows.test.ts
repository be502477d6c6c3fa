import { describe, expect, test } from 'vitest';
import type { Specification } from '../../../core/contract/parts.ts';
import { plannedRows, type Trend } from '../../../core/mockup/planned-rows.ts';
import type { SizesOfMockUp } from '../../../core/mockup/sizes.ts';
import { mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { kartMockUp } from '../../support/example-mock-up.ts';
import { refused } from '../../support/refusal.ts';

const found: SizesOfMockUp = {
  sizes: { ...kartMockUp, deckMm: 0.2 },
  uncertainties: { squishMm: 0.01, edgeDepthMm: { exhaust: 0.02 } },
  edgeDepths: [],
  deckMm: null,
  missing: [],
  remarks: [],
};

function limits(quantity: string, lower: number | null, upper: number | null): Specification {
  return { quantity, nominal: null, lower, upper, unit: '', source: 'rule book', sourceDate: '' };
}

function trendOf(
  specification: Specification,
  change: Parameters<typeof plannedRows>[1],
  key = specification.quantity,
): Trend {
  const rows = plannedRows(found, change, new Map([[specification.quantity, specification]]));
  const row = rows.find(({ item }) => item.key === key);
  if (row === undefined) throw new Error(`no row ${key}`);
  return row.trend;
}

describe('a plan against the limits', () => {
  // The squish is 0.95 mm with U 0.02 mm.
  test.each<[string, number | null, number | null, number, Trend]>([
    ['out of limits into them', 0.6, 0.9, 0.2, 'better'],
    ['inside, then too small', 0.9, 1.2, 0.2, 'worse'],
    ['inside and stays inside', 0.6, 1.2, 0.2, 'same'],
    ['outside, but nearer', null, 0.7, 0.1, 'better'],
    ['outside and further', 1.2, null, 0.1, 'worse'],
    ['clear of the limit, then too near to tell', 0.74, null, 0.2, 'worse'],
    ['too near to tell, then clear', null, 0.96, 0.1, 'better'],
  ])('%s', (_what, lower, upper, headCutMm, trend) => {
    expect(trendOf(limits('squish', lower, upper), { headCutMm })).toBe(trend);
  });

  test('limits of the smallest squish come before those of any squish', () => {
    const both = new Map([
      ['squish', limits('squish', 0.9, 1)],
      ['squish_minimum', limits('squish_minimum', 0.6, 0.8)],
    ]);
    const row = plannedRows(found, { headCutMm: 0.2 }, both).find(({ item }) => item.key === 'squish');
    expect(row?.judgedBefore.verdict).toBe('not_conforming');
    expect(row?.judgedAfter.verdict).toBe('conforming');
  });

  test('limits of an edge are read from its own dead centre', () => {
    // Skirt intake: opens before TDC, so that a later opening is a smaller number.
    const opens = -(mockUpFigures(kartMockUp).ports[7]?.opensAtdcDeg ?? 0);
    const wants = limits('event:intake:opens', opens + 1, null);
    expect(trendOf(wants, { edgeGroundMm: { intake: 1 } })).toBe('better');
    expect(trendOf(wants, { baseGasketChangeMm: 0.5 })).toBe('worse');
  });

  test('without limits nobody judges, and what does not change is not marked as changed', () => {
    const rows = plannedRows(found, { headCutMm: 0.1 }, new Map());
    expect(new Set(rows.map(({ trend }) => trend))).toEqual(new Set(['not_judged']));
    expect(rows.filter(({ isChanged }) => isChanged).map(({ item }) => item.key)).toEqual([
      'squish',
      'squish_velocity',
      'clearance_volume',
      'full_stroke_ratio',
      'trapped_ratio',
    ]);
    expect(plannedRows(found, {}, new Map()).some(({ isChanged }) => isChanged)).toBe(false);
  });

  test('what can not be built is refused, what is not known has no rows', () => {
    expect(refused(() => plannedRows(found, { headCutMm: 0.95 }, new Map()))).toBe('collision squishMm');
    expect(plannedRows({ ...found, sizes: null }, { headCutMm: 0.1 }, new Map())).toEqual([]);
  });
});
