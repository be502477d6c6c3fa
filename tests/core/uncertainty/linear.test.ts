import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { differenceOf, meanValue, weightedSum } from '../../../core/uncertainty/linear.ts';
import { type Value, valueFrom } from '../../../core/uncertainty/value.ts';

const read = (value: number, step: number, calibration: number): Value =>
  valueFrom(value, [
    { from: 'step', effect: step, degreesOfFreedom: null, route: 'resolution' },
    { from: 'micrometer', effect: calibration, degreesOfFreedom: null, route: 'instrument' },
  ]);

describe('sums of values that were read with one instrument', () => {
  test("the instrument's own error cancels in a difference and stays whole in a mean", () => {
    const a = read(54.01, 0.003, 0.005);
    const b = read(53.99, 0.003, 0.005);
    expect(differenceOf(a, b).value).toBeCloseTo(0.02, 12);
    expect(differenceOf(a, b).sigma).toBeCloseTo(Math.hypot(0.003, 0.003), 12);
    expect(meanValue([a, b]).value).toBeCloseTo(54, 12);
    expect(meanValue([a, b]).sigma).toBeCloseTo(Math.hypot(0.003 / Math.SQRT2, 0.005), 12);
  });

  test('errors of different instruments are independent', () => {
    const a = read(54, 0, 0.003);
    const other = valueFrom(53.94, [
      { from: 'bore gauge', effect: 0.004, degreesOfFreedom: null, route: 'instrument' },
    ]);
    expect(differenceOf(a, other).sigma).toBeCloseTo(0.005, 12);
  });

  test('a sum scales with its weights and a value less itself keeps only what is independent', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -100, max: 100, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: -5, max: 5, noNaN: true }),
        (value, step, calibration, weight) => {
          const one = read(value, step, calibration);
          const scaled = weightedSum([{ weight, value: one }]);
          expect(scaled.value).toBeCloseTo(weight * value, 9);
          expect(scaled.sigma).toBeCloseTo(Math.abs(weight) * one.sigma, 9);
          expect(differenceOf(one, one).sigma).toBeCloseTo(Math.SQRT2 * step, 9);
        },
      ),
    );
  });
});
