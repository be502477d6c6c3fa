import { atLeast, numbers, positive, refuse, sameLength } from '../checks.ts';
import { meanOf } from '../uncertainty/type-a.ts';
import { borderSlack, type Mm } from '../units.ts';

function diameters(field: string, values: readonly Mm[]): readonly Mm[] {
  const list = numbers(field, values);
  for (const [index, value] of list.entries()) positive(`${field}[${index + 1}]`, value);
  return list;
}

export interface PistonClearance {
  /** By the smallest bore. */
  readonly minimumClearanceMm: Mm;
  /** By the largest bore. */
  readonly maximumClearanceMm: Mm;
  readonly meanClearanceMm: Mm;
}

/**
 * Diametral clearance of a piston at the maker's gauge height. Makers differ in which bore they mean: ask before
 * judging.
 * @param boreXMm, boreYMm diameters on two axes, at least one in all, each greater than 0
 * @param pistonMm greater than 0
 * @throws missing, non_positive, insufficient_data, collision where the piston doesn't go in
 */
export function pistonClearance(boreXMm: readonly Mm[], boreYMm: readonly Mm[], pistonMm: Mm): PistonClearance {
  const all = [...diameters('boreX', boreXMm), ...diameters('boreY', boreYMm)];
  const bores = atLeast('boreX', all, 1, 'there is no bore to compare with');
  const piston = positive('pistonMm', pistonMm);
  const minimumClearanceMm = Math.min(...bores) - piston;
  if (minimumClearanceMm <= borderSlack) {
    const allowed = `smaller than the smallest bore, ${Math.min(...bores)} mm`;
    refuse('collision', 'pistonMm', piston, allowed, 'it would not go in; measure both at one temperature.');
  }
  return {
    minimumClearanceMm,
    maximumClearanceMm: Math.max(...bores) - piston,
    meanClearanceMm: meanOf(bores) - piston,
  };
}

export interface BoreForm {
  readonly taperXMm: Mm;
  readonly taperYMm: Mm;
  /** Largest difference of the diameters on the two axes at one height. */
  readonly maxOutOfRoundMm: Mm;
  readonly smallestMm: Mm;
  readonly largestMm: Mm;
}

const spread = (values: readonly number[]): number => Math.max(...values) - Math.min(...values);

/**
 * Taper and out-of-round of a bore measured on two axes at several heights. Out-of-round is a difference of diameters;
 * two axes miss a three-lobed bore.
 * @param boreXMm, boreYMm same heights in the same order, at least two, each greater than 0
 * @throws missing, non_positive, inconsistent, insufficient_data
 */
export function boreForm(boreXMm: readonly Mm[], boreYMm: readonly Mm[]): BoreForm {
  const x = diameters('boreX', boreXMm);
  const y = diameters('boreY', boreYMm);
  sameLength('boreX', x, 'boreY', y);
  atLeast('boreX', x, 2, 'one height cannot show taper');
  return {
    taperXMm: spread(x),
    taperYMm: spread(y),
    maxOutOfRoundMm: Math.max(...x.map((diameter, index) => Math.abs(diameter - (y[index] as number)))),
    smallestMm: Math.min(...x, ...y),
    largestMm: Math.max(...x, ...y),
  };
}
