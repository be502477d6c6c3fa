import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { circularMean, meanOfRepeats, unwrapped } from '../../../core/uncertainty/circular.ts';
import { wrapSigned, wrapTurn } from '../../../core/units.ts';
import { angles, finite } from '../../support/generators.ts';
import { refused } from '../../support/refusal.ts';

describe('mean of angles', () => {
  test('turning the wheel turns the mean with it', () => {
    fc.assert(
      fc.property(fc.array(finite(-20, 20), { minLength: 1, maxLength: 8 }), angles, (spread, turn) => {
        const still = circularMean(spread.map((reading) => wrapTurn(reading)));
        const turned = circularMean(spread.map((reading) => wrapTurn(reading + turn)));
        expect(Math.abs(wrapSigned(turned - still - turn))).toBeLessThan(1e-9);
        const plain = meanOfRepeats(spread.map((reading) => wrapTurn(reading + turn)));
        const average = spread.reduce((sum, reading) => sum + reading, 0) / spread.length;
        expect(Math.abs(wrapSigned(plain - average - turn))).toBeLessThan(1e-9);
      }),
    );
  });

  test('two readings have their middle, across zero too', () => {
    expect(circularMean([359, 3])).toBeCloseTo(1, 9);
    expect(meanOfRepeats([359, 3])).toBeCloseTo(1, 9);
    expect(meanOfRepeats([10])).toBe(10);
  });

  test('repeats are unwrapped to within half a turn of the first', () => {
    expect(unwrapped([359.5, 0.5, 358])).toEqual([359.5, 360.5, 358]);
    expect(unwrapped([])).toEqual([]);
    expect(refused(() => unwrapped([10, 190]))).toBe('singular readings');
    expect(refused(() => unwrapped([10, Number.NaN]))).toBe('missing readings[2]');
    expect(unwrapped([10, 189.9])).toEqual([10, expect.closeTo(189.9, 9)]);
  });

  test('no mean without readings or between opposite ones', () => {
    expect(refused(() => circularMean([]))).toBe('insufficient_data readings');
    expect(refused(() => meanOfRepeats([]))).toBe('insufficient_data readings');
    expect(refused(() => circularMean([20, 200]))).toBe('singular readings');
    expect(refused(() => circularMean([0, 120, 240]))).toBe('singular readings');
    expect(circularMean([0, 179])).toBeCloseTo(89.5, 9);
  });
});
