import { notNegative, numbers } from '../checks.ts';

/**
 * How many robust deviations a repeat may lie from the median before it is marked. Chosen here: it leaves ordinary
 * scatter alone and finds the blade or the drum that was read wrong.
 */
export const outlierAtMultiples = 3;

/** Fewer repeats can't show which of them is the odd one. */
const fewestRepeats = 3;

/** Median absolute deviation of normal readings times this is their standard deviation. */
const normalScale = 1.4826;

function median(sorted: readonly number[]): number {
  const middle = sorted.length / 2;
  const upper = sorted[Math.floor(middle)] as number;
  return Number.isInteger(middle) ? (upper + (sorted[middle - 1] as number)) / 2 : upper;
}

const ascending = (values: readonly number[]): number[] => values.toSorted((a, b) => a - b);

/**
 * Which repeats of one reading stand apart from the others. They are marked for the builder's eye; nothing is dropped.
 * @param values repeats in any unit
 * @param step of the instrument in the same unit, 0 or more: differences of a few steps are nothing odd
 * @returns one entry a value; all false with fewer than three
 * @throws missing, negative
 * @source median and median absolute deviation; ISO 13528:2022, annex C for the scale
 */
export function outliersAmong(values: readonly number[], step: number): boolean[] {
  const list = numbers('values', values);
  const smallest = notNegative('step', step);
  if (list.length < fewestRepeats) return list.map(() => false);
  const centre = median(ascending(list));
  const deviations = list.map((value) => Math.abs(value - centre));
  const scale = Math.max(normalScale * median(ascending(deviations)), smallest);
  return deviations.map((deviation) => scale > 0 && deviation > outlierAtMultiples * scale);
}
