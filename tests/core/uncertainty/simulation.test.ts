import { describe, expect, test } from 'vitest';
import { simulatedDuration, simulatedEdgeDepth } from '../../../core/ports/simulated.ts';
import { normalFrom, rectangularFrom, seededGenerator } from '../../../core/uncertainty/generator.ts';
import { fewestTrials, monteCarlo } from '../../../core/uncertainty/monte-carlo.ts';
import { ratioWithUncertainty } from '../../../core/volumes/ratio.ts';
import { simulatedRatio } from '../../../core/volumes/simulated.ts';
import { refusal, refused } from '../../support/refusal.ts';

const settings = (seed = 7) => ({ generator: seededGenerator(seed), trials: fewestTrials });
const take = (generator: () => number, count: number): number[] => Array.from({ length: count }, generator);

describe('generator', () => {
  test('the same seed gives the same stream, neighbouring seeds do not', () => {
    expect(take(seededGenerator(1), 5)).toEqual(take(seededGenerator(1), 5));
    expect(take(seededGenerator(1), 5)).not.toEqual(take(seededGenerator(2), 5));
    expect(take(seededGenerator(0), 3)).toEqual([0.5604549275080162, 0.736232598794307, 0.9390039084927794]);
  });

  test('is uniform in its first, second and joint moments', () => {
    const numbers = take(seededGenerator(42), 200_000);
    expect(Math.min(...numbers.slice(0, 10_000))).toBeGreaterThanOrEqual(0);
    expect(numbers.every((number) => number >= 0 && number < 1)).toBe(true);
    const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
    expect(mean(numbers)).toBeCloseTo(0.5, 2);
    expect(mean(numbers.map((number) => number ** 2))).toBeCloseTo(1 / 3, 2);
    expect(mean(numbers.slice(1).map((number, index) => number * (numbers[index] as number)))).toBeCloseTo(0.25, 2);
    const cells = new Array<number>(16).fill(0);
    for (const number of numbers) cells[Math.floor(number * 16)] = (cells[Math.floor(number * 16)] as number) + 1;
    const chiSquare = cells.reduce((sum, count) => sum + (count - 12_500) ** 2 / 12_500, 0);
    expect(chiSquare).toBeLessThan(37.7);
  });

  test('the fine digits move too', () => {
    const fine = take(seededGenerator(3), 1000).map((number) => (number * 2 ** 40) % 1);
    expect(new Set(fine).size).toBeGreaterThan(900);
  });

  test('normal numbers have the moments of the normal law, in pairs that do not depend on each other', () => {
    const numbers = take(normalFrom(seededGenerator(5)), 200_000);
    const mean = (power: number) => numbers.reduce((sum, value) => sum + value ** power, 0) / numbers.length;
    expect(mean(1)).toBeCloseTo(0, 2);
    expect(mean(2)).toBeCloseTo(1, 1);
    expect(mean(3)).toBeCloseTo(0, 1);
    expect(Math.abs(mean(4) - 3)).toBeLessThan(0.1);
    let joint = 0;
    for (let index = 0; index < numbers.length; index += 2)
      joint += (numbers[index] as number) * (numbers[index + 1] as number);
    expect(Math.abs(joint / 100_000)).toBeLessThan(0.015);
  });

  test('normal numbers come in pairs, both of one radius', () => {
    const given = [0.3, 0.1, 0.6, 0.2];
    const normal = normalFrom(() => given.shift() ?? 0);
    const radius = Math.sqrt(-2 * Math.log(0.7));
    expect(normal()).toBeCloseTo(radius * Math.cos(0.2 * Math.PI), 12);
    expect(normal()).toBeCloseTo(radius * Math.sin(0.2 * Math.PI), 12);
    expect(normal()).toBeCloseTo(Math.sqrt(-2 * Math.log(0.4)) * Math.cos(0.4 * Math.PI), 12);
  });

  test('rectangular numbers fill their width', () => {
    const numbers = take(rectangularFrom(seededGenerator(5), 0.25), 10_000);
    expect(Math.max(...numbers)).toBeLessThan(0.25);
    expect(Math.max(...numbers)).toBeGreaterThan(0.249);
    expect(Math.min(...numbers)).toBeGreaterThanOrEqual(-0.25);
    expect(Math.min(...numbers)).toBeLessThan(-0.249);
  });
});

describe('simulation', () => {
  test('reports mean, deviation and the ends of the middle 95 %', () => {
    let trial = 0;
    const result = monteCarlo(() => 1 + ((trial++ * 7919) % fewestTrials), fewestTrials);
    expect(result.mean).toBe((fewestTrials + 1) / 2);
    expect(result.standardDeviation).toBeCloseTo(Math.sqrt((fewestTrials * (fewestTrials + 1)) / 12), 6);
    expect(result.intervalLow).toBe(0.025 * fewestTrials);
    expect(result.intervalHigh).toBe(0.975 * fewestTrials + 1);
    expect(result.trials).toBe(fewestTrials);
  });

  test('refuses too few trials', () => {
    expect(refused(() => monteCarlo(() => 1, fewestTrials - 1))).toBe('out_of_range trials');
    expect(refused(() => monteCarlo(() => 1, fewestTrials + 0.5))).toBe('out_of_range trials');
    expect(refusal(() => monteCarlo(() => 1, 10)).message).toBe(
      'Trials is 10; it must be a whole number of 200000 or more: fewer leave the ends open.',
    );
  });

  test('a duration keeps its readings and the triangle of its two errors', () => {
    const input = { openReadingDeg: 350, closeReadingDeg: 170, halfWidthOpenDeg: 0.3, halfWidthCloseDeg: 0.3 };
    const result = simulatedDuration(input, settings());
    expect(result.mean).toBeCloseTo(180, 2);
    expect(result.standardDeviation).toBeCloseTo(0.3 * Math.sqrt(2 / 3), 2);
    expect(result.intervalHigh - result.mean).toBeCloseTo(0.6 * (1 - Math.sqrt(0.05)), 2);
    const oneSided = simulatedDuration({ ...input, halfWidthOpenDeg: 0 }, settings());
    expect(oneSided.standardDeviation).toBeCloseTo(0.3 / Math.sqrt(3), 2);
    const otherSide = simulatedDuration({ ...input, halfWidthCloseDeg: 0 }, settings());
    expect(otherSide.standardDeviation).toBeCloseTo(0.3 / Math.sqrt(3), 2);
    expect(refused(() => simulatedDuration({ ...input, openReadingDeg: 360 }, settings()))).toBe(
      'out_of_range openReadingDeg',
    );
    expect(refused(() => simulatedDuration({ ...input, closeReadingDeg: -1 }, settings()))).toBe(
      'out_of_range closeReadingDeg',
    );
    expect(refused(() => simulatedDuration({ ...input, halfWidthOpenDeg: -1 }, settings()))).toBe(
      'negative halfWidthOpenDeg',
    );
    expect(refused(() => simulatedDuration({ ...input, halfWidthCloseDeg: -1 }, settings()))).toBe(
      'negative halfWidthCloseDeg',
    );
  });

  test('a ratio agrees with its derivatives while the uncertainties are small', () => {
    const input = { boreMm: 54, strokeMm: 50, clearanceVolumeCc: 10, uBoreMm: 0.1, uStrokeMm: 0.1, uClearanceCc: 0.02 };
    const known = ratioWithUncertainty(input);
    const result = simulatedRatio(input, settings());
    expect(result.mean).toBeCloseTo(known.ratio, 2);
    expect(Math.abs(result.standardDeviation / known.standardUncertainty - 1)).toBeLessThan(0.01);
    expect(refused(() => simulatedRatio({ ...input, uClearanceCc: 9 }, settings()))).toBe('out_of_range uClearanceCc');
    expect(refused(() => simulatedRatio({ ...input, uBoreMm: 50 }, settings()))).toBe('out_of_range uClearanceCc');
    expect(refused(() => simulatedRatio({ ...input, uStrokeMm: 50 }, settings()))).toBe('out_of_range uClearanceCc');
    for (const field of ['uBoreMm', 'uStrokeMm', 'uClearanceCc'] as const) {
      expect(refused(() => simulatedRatio({ ...input, [field]: -1 }, settings()))).toBe(`negative ${field}`);
    }
    for (const field of ['boreMm', 'strokeMm', 'clearanceVolumeCc'] as const) {
      expect(refused(() => simulatedRatio({ ...input, [field]: 0 }, settings()))).toBe(`non_positive ${field}`);
    }
  });

  test('an edge depth maps the ends of the angle', () => {
    const crank = { strokeMm: 54, rodLengthMm: 110 };
    const result = simulatedEdgeDepth(crank, 83.5, 0.5, settings());
    expect(result.intervalLow).toBeCloseTo(27.0359, 2);
    expect(result.intervalHigh).toBeCloseTo(27.4935, 2);
    expect(refused(() => simulatedEdgeDepth(crank, 180, 0.5, settings()))).toBe('out_of_range openAtdcDeg');
    expect(refused(() => simulatedEdgeDepth(crank, 83.5, -0.5, settings()))).toBe('negative halfWidthDeg');
  });
});
