import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { normalAbove, normalBetween } from '../../../core/numerics/normal.ts';
import {
  compareValues,
  conformanceProbability,
  conformity,
  readingsToDecide,
  type Verdict,
  verdicts,
  verdictWords,
} from '../../../core/uncertainty/conformity.ts';
import { finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const decide = (value: number, expanded: number, guardFactor?: number): Verdict =>
  conformity({ lower: 1, upper: 2, value, expanded, guardFactor }).decision;

describe('decision', () => {
  test('borders belong to the milder side, with a slack of 1e-9', () => {
    expect(decide(1.1, 0.1)).toBe('conforming');
    expect(decide(1.9, 0.1)).toBe('conforming');
    expect(decide(1.1 - 1e-9, 0.1)).toBe('conforming');
    expect(decide(1.1 - 1e-8, 0.1)).toBe('cannot_be_decided');
    expect(decide(1.9 + 1e-8, 0.1)).toBe('cannot_be_decided');
    expect(decide(0.9, 0.1)).toBe('cannot_be_decided');
    expect(decide(2.1, 0.1)).toBe('cannot_be_decided');
    expect(decide(0.9 - 1e-8, 0.1)).toBe('not_conforming');
    expect(decide(2.1 + 1e-8, 0.1)).toBe('not_conforming');
  });

  test('the guard band is a part of U and is said with the rule', () => {
    expect(decide(1.05, 0.1, 0.5)).toBe('conforming');
    expect(decide(1.05, 0.1, 0)).toBe('conforming');
    const result = conformity({ lower: 1, value: 1.5, expanded: 0.2, guardFactor: 0.83 });
    expect(result.guardBand).toBeCloseTo(0.166, 12);
    expect(result.rule).toBe('guard band 0.83 U, U = k u (ISO 14253-1:2017, JCGM 106:2012 8.3)');
    expect(result.canEverConform).toBe(true);
  });

  test('a tolerance under both guard bands lets nothing conform', () => {
    expect(conformity({ lower: 1, upper: 2, value: 1.5, expanded: 0.5 }).canEverConform).toBe(true);
    expect(conformity({ lower: 1, upper: 2, value: 1.5, expanded: 0.51 }).canEverConform).toBe(false);
  });

  test('one limit may be absent, both may not', () => {
    expect(conformity({ lower: null, upper: 2, value: -50, expanded: 0.1 }).decision).toBe('conforming');
    expect(conformity({ lower: 1, upper: undefined, value: 50, expanded: 0.1 }).decision).toBe('conforming');
    expect(refused(() => conformity({ value: 1, expanded: 0.1 }))).toBe('missing limits');
    expect(refused(() => conformity({ lower: Number.NaN, value: 1, expanded: 0.1 }))).toBe('missing lower');
    expect(refused(() => conformity({ lower: 2, upper: 2, value: 1, expanded: 0.1 }))).toBe('reversed_limits lower');
    expect(refused(() => conformity({ lower: 1, value: 1, expanded: -1 }))).toBe('negative expanded');
    expect(refused(() => conformity({ lower: 1, value: 1, expanded: 1, guardFactor: -1 }))).toBe(
      'negative guardFactor',
    );
    expect(refused(() => conformity({ lower: 1, value: Number.NaN, expanded: 1 }))).toBe('missing value');
    expect(refusal(() => conformity({ lower: 3, upper: 2, value: 1, expanded: 1 })).message).toBe(
      'Lower is 3; it must be less than the upper limit 2: check which limit is which.',
    );
  });

  test('exactly one verdict holds, it has words, and more uncertainty never makes a value conform', () => {
    fc.assert(
      fc.property(finite(0, 3), finite(0, 1), finite(0, 1), (value, expanded, more) => {
        const before = decide(value, expanded);
        expect(verdicts).toContain(before);
        expect(verdictWords[before].length).toBeGreaterThan(7);
        if (before !== 'conforming') expect(decide(value, expanded + more)).not.toBe('conforming');
      }),
    );
    expect(verdictWords).toEqual({
      conforming: 'conforms',
      not_conforming: 'does not conform',
      cannot_be_decided: "can't be decided",
    });
  });
});

describe('probability', () => {
  test.each([
    [0, 0.5],
    [1, 0.15865525393145707],
    [1.959963984540054, 0.025],
    [3, 0.0013498980316300933],
    [6, 9.865876450376946e-10],
    [2.8, 0.0025551303304279793],
    [2.84, 0.0022556766915424],
    [10, 7.61985302416047e-24],
  ])('the upper tail at %d is %d', (z, tail) => {
    expect(Math.abs(normalAbove(z) / tail - 1)).toBeLessThan(1e-12);
    expect(normalAbove(-z)).toBeCloseTo(1 - tail, 14);
  });

  test('tails add up and are ordered', () => {
    fc.assert(
      fc.property(finite(-9, 9), finite(-9, 9), (a, b) => {
        const [lower, upper] = a < b ? [a, b] : [b, a];
        const inside = normalBetween(lower, upper);
        expect(inside).toBeGreaterThanOrEqual(0);
        expect(inside + normalAbove(upper) + (1 - normalAbove(lower))).toBeCloseTo(1, 12);
      }),
    );
    expect(normalBetween(Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY)).toBe(1);
    expect(normalAbove(Number.NEGATIVE_INFINITY)).toBe(1);
    expect(normalAbove(Number.POSITIVE_INFINITY)).toBe(0);
    // Taken in the wrong tail these would be differences of two numbers close to 1 and lose half their digits.
    expect(Math.abs(normalBetween(6, 7) / 9.853078324938088e-10 - 1)).toBeLessThan(1e-12);
    expect(Math.abs(normalBetween(-7, -6) / 9.853078324938088e-10 - 1)).toBeLessThan(1e-12);
  });

  test('follows its limits', () => {
    expect(conformanceProbability({ lower: 1, value: 1, standardUncertainty: 0.1 })).toBe(0.5);
    expect(conformanceProbability({ upper: 1, value: 1, standardUncertainty: 0.1 })).toBe(0.5);
    expect(conformanceProbability({ lower: 0, upper: 2, value: 1, standardUncertainty: 1 })).toBeCloseTo(0.6827, 4);
    expect(refused(() => conformanceProbability({ lower: 1, value: 1, standardUncertainty: 0 }))).toBe(
      'non_positive standardUncertainty',
    );
    expect(refused(() => conformanceProbability({ lower: 1, value: Number.NaN, standardUncertainty: 1 }))).toBe(
      'missing value',
    );
  });
});

describe('comparison', () => {
  test('only a difference above its expanded uncertainty is real', () => {
    const pair = { valueA: 10, valueB: 20, uA: 3, uB: 4 };
    expect(compareValues(pair)).toEqual({
      difference: 10,
      standardUncertainty: 5,
      expanded: 10,
      distinguishable: false,
    });
    expect(compareValues({ ...pair, valueB: 20.001 }).distinguishable).toBe(true);
    expect(compareValues({ ...pair, valueB: -0.001 }).distinguishable).toBe(true);
    expect(compareValues({ ...pair, coverage: 1 })).toMatchObject({ expanded: 5, distinguishable: true });
    expect(refused(() => compareValues({ ...pair, uA: -1 }))).toBe('negative uA');
    expect(refused(() => compareValues({ ...pair, uB: -1 }))).toBe('negative uB');
    expect(refused(() => compareValues({ ...pair, coverage: 0 }))).toBe('non_positive coverage');
    expect(refused(() => compareValues({ ...pair, valueA: Number.NaN }))).toBe('missing valueA');
    expect(refused(() => compareValues({ ...pair, valueB: Number.NaN }))).toBe('missing valueB');
  });
});

describe('readings that would decide', () => {
  test('that many readings do decide, one fewer does not', () => {
    fc.assert(
      fc.property(finite(1.02, 1.3), finite(0.05, 0.4), finite(0, 0.01), (value, scatter, floor) => {
        const taken = 2;
        const wanted = readingsToDecide({ lower: 1, upper: 2, value, scatter, floor, taken });
        if (wanted === null) return;
        const decided = (n: number) => decide(value, 2 * Math.hypot(scatter / Math.sqrt(n), floor) - 1e-7);
        expect(decided(wanted)).toBe('conforming');
        if (wanted > taken + 1)
          expect(decide(value, 2 * Math.hypot(scatter / Math.sqrt(wanted - 1), floor) + 1e-6)).not.toBe('conforming');
      }),
    );
  });

  test('none is enough where repeats do not shrink the rest', () => {
    const input = { lower: 1, value: 1.1, scatter: 0.2, floor: 0.05, taken: 2 };
    expect(readingsToDecide(input)).toBeNull();
    expect(readingsToDecide({ ...input, floor: 0.06 })).toBeNull();
    expect(readingsToDecide({ ...input, floor: 0 })).toBe(16);
    expect(readingsToDecide({ ...input, floor: 0, guardFactor: 0.5 })).toBe(4);
    expect(readingsToDecide({ ...input, guardFactor: 0 })).toBe(2);
    expect(readingsToDecide({ ...input, value: 5, floor: 0 })).toBe(2);
    expect(readingsToDecide({ ...input, upper: 1.2, value: 1.1, floor: 0 })).toBe(16);
    expect(readingsToDecide({ ...input, upper: 1.3, value: 1.25, floor: 0 })).toBe(64);
    expect(refused(() => readingsToDecide({ ...input, scatter: 0 }))).toBe('non_positive scatter');
    expect(refused(() => readingsToDecide({ ...input, floor: -1 }))).toBe('negative floor');
    expect(refused(() => readingsToDecide({ ...input, taken: 0 }))).toBe('non_positive taken');
    expect(refused(() => readingsToDecide({ ...input, guardFactor: -1 }))).toBe('negative guardFactor');
  });
});
