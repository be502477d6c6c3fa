import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { outliersAmong } from '../../../core/uncertainty/outliers.ts';
import { refused } from '../../support/refusal.ts';

describe('repeats that stand apart', () => {
  test('a misread drum among three is marked, ordinary scatter is not', () => {
    expect(outliersAmong([0.87, 0.88, 1.37], 0.01)).toEqual([false, false, true]);
    expect(outliersAmong([0.87, 0.88, 0.9], 0.01)).toEqual([false, false, false]);
    expect(outliersAmong([0.8, 0.9, 0.91, 1.6], 0.01)).toEqual([false, false, false, true]);
    expect(outliersAmong([1.37, 0.87, 0.86, 0.88, 0.87], 0.01)).toEqual([true, false, false, false, false]);
  });

  test('repeats on one mark but for one step raise nothing', () => {
    expect(outliersAmong([0.3, 0.3, 0.35], 0.05)).toEqual([false, false, false]);
    expect(outliersAmong([0.3, 0.3, 0.45], 0.05)).toEqual([false, false, false]);
    expect(outliersAmong([0.3, 0.3, 0.5], 0.05)).toEqual([false, false, true]);
  });

  test('equal repeats without a step raise nothing, and two can not tell which is odd', () => {
    expect(outliersAmong([1, 1, 1], 0)).toEqual([false, false, false]);
    expect(outliersAmong([1, 9], 0.01)).toEqual([false, false]);
    expect(outliersAmong([], 0.01)).toEqual([]);
  });

  test('marks follow their reading whatever the order, and a common shift changes nothing', () => {
    const values = fc.array(fc.integer({ min: 0, max: 400 }), { minLength: 3, maxLength: 9 });
    fc.assert(
      fc.property(values, fc.integer({ min: -1000, max: 1000 }), (steps, shift) => {
        const list = steps.map((count) => count / 4);
        const marked = outliersAmong(list, 0.25);
        expect(outliersAmong(list.toReversed(), 0.25)).toEqual(marked.toReversed());
        expect(
          outliersAmong(
            list.map((value) => value + shift),
            0.25,
          ),
        ).toEqual(marked);
        expect(marked.filter(Boolean).length).toBeLessThan(list.length / 2);
      }),
    );
  });

  test('refuses what is no number', () => {
    expect(refused(() => outliersAmong([1, Number.NaN, 2], 0.1))).toBe('missing values[2]');
    expect(refused(() => outliersAmong([1, 2, 3], -1))).toBe('negative step');
  });
});
