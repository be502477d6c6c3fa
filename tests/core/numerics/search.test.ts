import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { highest } from '../../../core/numerics/search.ts';
import { finite } from '../../support/generators.ts';

describe('highest point', () => {
  test('of a hill is its top, wherever it stands', () => {
    fc.assert(
      fc.property(finite(-1, 1), finite(0.5, 20), (top, steepness) => {
        const found = highest((x) => 3 - steepness * (x - top) ** 2, -1, 1);
        expect(found.at).toBeCloseTo(top, 6);
        expect(found.value).toBeCloseTo(3, 12);
      }),
    );
  });

  test('may be an end of the interval', () => {
    expect(highest((x) => x, 0, 2)).toEqual({ at: 2, value: 2 });
    expect(highest((x) => 1 - x, 0, 2)).toEqual({ at: 0, value: 1 });
  });

  test('of two hills is the higher one', () => {
    const hills = (x: number) => Math.exp(-((x - 1) ** 2) * 20) + 1.1 * Math.exp(-((x - 3) ** 2) * 20);
    expect(highest(hills, 0, 4).at).toBeCloseTo(3, 5);
  });

  test('the grid may be chosen', () => {
    let calls = 0;
    const count = (x: number) => {
      calls += 1;
      return -((x - 0.3) ** 2);
    };
    highest(count, 0, 1, 10);
    const few = calls;
    calls = 0;
    highest(count, 0, 1, 1000);
    expect(calls - few).toBeGreaterThan(900);
  });
});
