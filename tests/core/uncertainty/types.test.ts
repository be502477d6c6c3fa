import fc from 'fast-check';
import { sampleStandardDeviation } from 'simple-statistics';
import { describe, expect, test } from 'vitest';
import { doubtOfDeviation, meanOf, squaredDeviations, typeA } from '../../../core/uncertainty/type-a.ts';
import { hysteresisUncertainty, resolutionUncertainty, typeB } from '../../../core/uncertainty/type-b.ts';
import {
  exactly,
  expanded,
  needsMoreReadings,
  sumOfContributions,
  valueFrom,
  valueWith,
} from '../../../core/uncertainty/value.ts';
import { finite } from '../../support/generators.ts';
import { refused } from '../../support/refusal.ts';

const term = (effect: number, degreesOfFreedom: number | null = null) =>
  ({ from: 'x', effect, degreesOfFreedom, route: 'propagated' }) as const;

describe('repeats', () => {
  test('mean, scatter and uncertainty agree with another library', () => {
    fc.assert(
      fc.property(fc.array(finite(-400, 400), { minLength: 2, maxLength: 12 }), (readings) => {
        const result = typeA(readings);
        expect(result.standardDeviation).toBeCloseTo(sampleStandardDeviation(readings), 9);
        expect(result.standardUncertainty * Math.sqrt(readings.length)).toBeCloseTo(result.standardDeviation, 9);
        expect(result.degreesOfFreedom).toBe(readings.length - 1);
        expect(result.mean).toBeCloseTo(meanOf(readings), 9);
      }),
    );
  });

  test('repeating the same readings shrinks the uncertainty', () => {
    fc.assert(
      fc.property(fc.array(finite(80, 85), { minLength: 2, maxLength: 6 }), (readings) => {
        const once = typeA(readings);
        const fourfold = typeA([...readings, ...readings, ...readings, ...readings]);
        expect(fourfold.standardUncertainty).toBeLessThanOrEqual(once.standardUncertainty / 2 + 1e-12);
      }),
    );
  });

  test('a large common offset costs no digits', () => {
    expect(squaredDeviations([1e6 + 0.25, 1e6 - 0.25])).toBe(0.125);
  });

  test('one reading is not enough', () => {
    expect(refused(() => typeA([84]))).toBe('insufficient_data readings');
    expect(refused(() => doubtOfDeviation(1))).toBe('insufficient_data readings');
    expect(refused(() => doubtOfDeviation(Number.NaN))).toBe('insufficient_data readings');
  });

  test.each([
    [2, 0.7555],
    [3, 0.5227],
    [4, 0.422],
    [5, 0.363],
    [10, 0.2388],
  ])('the deviation of %d readings is itself doubtful by a known part', (count, doubt) => {
    expect(doubtOfDeviation(count)).toBeCloseTo(doubt, 4);
  });
});

describe('half-widths, steps and directions', () => {
  test('a scale and its directions give their textbook parts', () => {
    expect(typeB(0.6, 'rectangular')).toBeCloseTo(0.6 / Math.sqrt(3), 15);
    expect(typeB(0.6, 'triangular')).toBeCloseTo(0.6 / Math.sqrt(6), 15);
    expect(typeB(0.6, 'arcsine')).toBeCloseTo(0.6 / Math.sqrt(2), 15);
    expect(typeB(0, 'arcsine')).toBe(0);
    expect(resolutionUncertainty(1.2)).toBeCloseTo(1.2 / Math.sqrt(12), 15);
    expect(hysteresisUncertainty(84, 83)).toBeCloseTo(1 / Math.sqrt(12), 15);
    expect(hysteresisUncertainty(83, 84, false)).toBeCloseTo(1 / Math.sqrt(12), 15);
    expect(hysteresisUncertainty(0.25, 359.75, true)).toBeCloseTo(0.5 / Math.sqrt(12), 12);
    expect(hysteresisUncertainty(0.25, 359.75)).toBeCloseTo(359.5 / Math.sqrt(12), 12);
  });

  test('what cannot be is refused', () => {
    expect(refused(() => typeB(-1, 'arcsine'))).toBe('negative halfWidth');
    expect(refused(() => typeB(1, 'square' as 'arcsine'))).toBe('out_of_range shape');
    expect(refused(() => resolutionUncertainty(0))).toBe('non_positive resolution');
    expect(refused(() => hysteresisUncertainty(Number.NaN, 1))).toBe('missing forward');
    expect(refused(() => hysteresisUncertainty(1, Number.NaN))).toBe('missing backward');
  });
});

describe('a value with its budget', () => {
  test('adds independent terms in quadrature, whatever their sign', () => {
    const value = valueFrom(12, [term(0.3), term(-0.4)]);
    expect(value.sigma).toBeCloseTo(0.5, 15);
    expect(value.degreesOfFreedom).toBeNull();
    expect(value.value).toBe(12);
    expect(value.contributions).toHaveLength(2);
  });

  test('counts effective degrees of freedom from the terms that have some', () => {
    const { sigma, degreesOfFreedom } = sumOfContributions([term(0.2, 4), term(0.144)]);
    expect(degreesOfFreedom).toBeCloseTo(sigma ** 4 / (0.2 ** 4 / 4), 9);
    expect(sumOfContributions([term(0, 4), term(1)]).degreesOfFreedom).toBeNull();
    expect(sumOfContributions([]).sigma).toBe(0);
  });

  test('is exact, given or expanded', () => {
    expect(exactly(3)).toEqual({ value: 3, sigma: 0, degreesOfFreedom: null, contributions: [] });
    expect(valueWith(3, 0.1, 'caliper', 'instrument').contributions).toEqual([
      { from: 'caliper', effect: 0.1, degreesOfFreedom: null, route: 'instrument' },
    ]);
    expect(expanded(0.3)).toBe(0.6);
    expect(expanded(0.3, 3)).toBeCloseTo(0.9, 15);
    expect(refused(() => expanded(0.3, 0))).toBe('non_positive coverage');
    expect(refused(() => expanded(-0.3))).toBe('negative sigma');
    expect(refused(() => valueWith(Number.NaN, 0.1, 'x', 'repeats'))).toBe('missing value');
    expect(refused(() => valueWith(1, -0.1, 'x', 'repeats'))).toBe('negative sigma');
  });

  test('asks for more readings below ten effective degrees of freedom', () => {
    expect([null, 9.99, 10, 200].map(needsMoreReadings)).toEqual([false, true, false, false]);
  });
});
