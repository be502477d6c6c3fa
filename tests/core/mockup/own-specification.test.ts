import fc from 'fast-check';
import { expect, test } from 'vitest';
import { ownSpecification } from '../../../core/mockup/own-specification.ts';
import { refusal } from '../../support/refusal.ts';

const common = { quantity: 'duration:exhaust', unit: 'deg', decimals: 1, measuredOn: '2026-03-01' };
const members = (...values: number[]) =>
  values.map((value, index) => ({ name: `Barrel ${'ABCDEFGHI'[index]}`, value }));

test('three barrels: mean, and 4.30 s sqrt(4/3) on both sides, rounded outwards', () => {
  const limits = ownSpecification({ ...common, members: members(176, 180, 174) });
  // Mean 176.667, s = 3.0551: half width 15.169.
  expect(limits).toMatchObject({ nominal: 176.7, lower: 161.4, upper: 191.9, unit: 'deg', sourceDate: '2026-03-01' });
  expect(limits.source).toContain('Barrel A, Barrel B, Barrel C');
});

test('equal barrels leave no room, and rounding does not invent any', () => {
  expect(ownSpecification({ ...common, members: members(176.5, 176.5) })).toMatchObject({
    nominal: 176.5,
    lower: 176.5,
    upper: 176.5,
  });
});

test('one barrel has no spread, and nine are too many', () => {
  expect(refusal(() => ownSpecification({ ...common, members: members(176) })).code).toBe('insufficient_data');
  expect(refusal(() => ownSpecification({ ...common, members: members(1, 2, 3, 4, 5, 6, 7, 8, 9) })).code).toBe(
    'out_of_range',
  );
});

test('law: all members lie inside, the nominal in the middle, and a shift of all shifts the limits', () => {
  const value = fc.integer({ min: 1000, max: 3000 }).map((tenths) => tenths / 10);
  fc.assert(
    fc.property(fc.array(value, { minLength: 2, maxLength: 8 }), (values) => {
      const { nominal, lower, upper } = ownSpecification({ ...common, members: members(...values) });
      for (const one of values) {
        expect(one).toBeGreaterThanOrEqual((lower ?? Number.NaN) - 1e-9);
        expect(one).toBeLessThanOrEqual((upper ?? Number.NaN) + 1e-9);
      }
      expect(Math.abs((nominal ?? 0) - ((lower ?? 0) + (upper ?? 0)) / 2)).toBeLessThan(0.11);
      const moved = ownSpecification({ ...common, members: members(...values.map((one) => one + 10)) });
      expect((moved.upper ?? 0) - (upper ?? 0)).toBeCloseTo(10, 0);
    }),
    { seed: 13, numRuns: 200 },
  );
});
