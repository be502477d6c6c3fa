/** Limits from a workshop's own measured barrels, where the maker gives none. */

import { refuse } from '../checks.ts';
import type { Specification } from '../contract/parts.ts';
import { typeA } from '../uncertainty/type-a.ts';

/**
 * Student's t for 95 % between both limits, by degrees of freedom from 1.
 * @source JCGM 100:2008, table G.2
 */
const studentT: readonly number[] = [12.71, 4.3, 3.18, 2.78, 2.57, 2.45, 2.36];

export interface OwnMember {
  readonly name: string;
  readonly value: number;
}

/**
 * Limits within which the next barrel of the same kind lies with a probability of 95 %, as far as these few tell:
 * mean -/+ t s sqrt(1 + 1/n). With three barrels that is some five times their spread, with eight some two and a half.
 * @param members two to eight measured values of one quantity, in one unit
 * @param decimals to which the limits are rounded, outwards
 * @param measuredOn day on which the values were taken together, as it shall stand beside the limits
 * @throws insufficient_data, out_of_range
 * @source ISO 16269-8:2004, prediction interval for one further observation of a normal population
 */
export function ownSpecification(input: {
  readonly quantity: string;
  readonly unit: string;
  readonly members: readonly OwnMember[];
  readonly decimals: number;
  readonly measuredOn: string;
}): Specification {
  const { members, decimals } = input;
  if (members.length > studentT.length + 1) {
    refuse('out_of_range', 'barrels', members.length, `at most ${studentT.length + 1}`, 'leave some of them out.');
  }
  const { mean, standardDeviation, degreesOfFreedom } = typeA(members.map(({ value }) => value));
  const t = studentT[degreesOfFreedom - 1] as number;
  const half = t * standardDeviation * Math.sqrt(1 + 1 / members.length);
  const step = 10 ** -decimals;
  // A hair of rounding must not push a limit a whole step outwards.
  const outwards = (value: number, round: (x: number) => number) =>
    Number((round(value / step) * step).toFixed(decimals));
  return {
    quantity: input.quantity,
    nominal: Number(mean.toFixed(decimals)),
    lower: outwards(mean - half, (x) => Math.floor(x + 1e-6)),
    upper: outwards(mean + half, (x) => Math.ceil(x - 1e-6)),
    unit: input.unit,
    source: `own barrels ${members.map(({ name }) => name).join(', ')}: mean and spread of ${members.length}, 95 % for the next one`,
    sourceDate: input.measuredOn,
  };
}
