import { atLeast } from '../checks.ts';

export interface TypeA {
  readonly mean: number;
  /** Of one reading, with n - 1. */
  readonly standardDeviation: number;
  /** Of the mean. */
  readonly standardUncertainty: number;
  readonly degreesOfFreedom: number;
}

export function meanOf(values: readonly number[]): number {
  let sum = 0;
  for (const value of values) sum += value;
  return sum / values.length;
}

/** Sum of squared deviations from the mean; two passes, since readings differ in their last digits only. */
export function squaredDeviations(values: readonly number[]): number {
  const mean = meanOf(values);
  let sum = 0;
  for (const value of values) sum += (value - mean) ** 2;
  return sum;
}

/**
 * Evaluation by repeats: mean, scatter of one reading and standard uncertainty of the mean.
 * @param readings at least two, in any unit; the results have the same unit
 * @throws missing, insufficient_data
 * @source JCGM 100:2008, 4.2
 */
export function typeA(readings: readonly number[]): TypeA {
  const values = atLeast('readings', readings, 2, 'one reading shows no scatter');
  const degreesOfFreedom = values.length - 1;
  const standardDeviation = Math.sqrt(squaredDeviations(values) / degreesOfFreedom);
  return {
    mean: meanOf(values),
    standardDeviation,
    standardUncertainty: standardDeviation / Math.sqrt(values.length),
    degreesOfFreedom,
  };
}

/**
 * Relative standard deviation of a standard deviation estimated from n normal readings: 0.76 for n = 2, 0.24 for n = 10.
 * @throws missing, insufficient_data
 * @source JCGM 100:2008, table E.1, by the exact law s proportional to chi with n - 1 degrees of freedom
 */
export function doubtOfDeviation(readings: number): number {
  if (!(readings >= 2)) atLeast('readings', [], 2, 'one reading shows no scatter');
  // c4 = sqrt(2/(n-1)) gamma(n/2)/gamma((n-1)/2), by its recursion from c4(2) = sqrt(2/pi).
  let ratio = 1 / Math.sqrt(Math.PI);
  for (let n = 3; n <= readings; n++) ratio = (n - 2) / (2 * ratio);
  const c4 = Math.sqrt(2 / (readings - 1)) * ratio;
  return Math.sqrt(1 - c4 ** 2) / c4;
}
