import { notNegative, positive, present, presentOr, refuse } from '../checks.ts';
import { normalBetween } from '../numerics/normal.ts';
import { borderSlack } from '../units.ts';
import { coverageFactor } from './value.ts';

export const verdicts = ['conforming', 'not_conforming', 'cannot_be_decided'] as const;
/** Three-way decision; shown as "conforms", "does not conform", "can't be decided". */
export type Verdict = (typeof verdicts)[number];

/** Words of each verdict for screen and paper. */
export const verdictWords: Readonly<Record<Verdict, string>> = {
  conforming: 'conforms',
  not_conforming: 'does not conform',
  cannot_be_decided: "can't be decided",
};

/** Limits of a quantity; either may be absent, not both. */
export interface Limits {
  readonly lower?: number | null | undefined;
  readonly upper?: number | null | undefined;
}

export interface ConformityInput extends Limits {
  readonly value: number;
  /** Expanded uncertainty U of the value, 0 or more. */
  readonly expanded: number;
  /** Guard band as a part of U, 1 where absent. */
  readonly guardFactor?: number | undefined;
}

export interface Conformity {
  readonly decision: Verdict;
  /** False where the tolerance is narrower than both guard bands: improve the measurement first. */
  readonly canEverConform: boolean;
  /** Width of the guard band g. */
  readonly guardBand: number;
  /** The rule used, to be shown with the verdict. */
  readonly rule: string;
}

function checkedLimits(limits: Limits): { lower: number; upper: number } {
  const lower = presentOr('lower', limits.lower, Number.NEGATIVE_INFINITY);
  const upper = presentOr('upper', limits.upper, Number.POSITIVE_INFINITY);
  if (lower === Number.NEGATIVE_INFINITY && upper === Number.POSITIVE_INFINITY) {
    refuse('missing', 'limits', undefined, 'a lower limit, an upper limit or both', 'enter the limit and its source.');
  }
  if (lower >= upper - borderSlack) {
    refuse('reversed_limits', 'lower', lower, `less than the upper limit ${upper}`, 'check which limit is which.');
  }
  return { lower, upper };
}

/**
 * Decides whether a value conforms to its limits, given its uncertainty.
 *
 * With g = r U: conforming where lower + g <= y <= upper - g, not conforming where y < lower - g or y > upper + g,
 * otherwise it can't be decided. Values on a border get the milder answer.
 * @throws missing, negative, reversed_limits
 * @source ISO 14253-1:2017; JCGM 106:2012, 8.3
 */
export function conformity(input: ConformityInput): Conformity {
  const value = present('value', input.value);
  const expanded = notNegative('expanded', input.expanded);
  const factor = notNegative('guardFactor', presentOr('guardFactor', input.guardFactor, 1));
  const { lower, upper } = checkedLimits(input);
  const guardBand = factor * expanded;
  const inside = value >= lower + guardBand - borderSlack && value <= upper - guardBand + borderSlack;
  const outside = value < lower - guardBand - borderSlack || value > upper + guardBand + borderSlack;
  return {
    decision: inside ? 'conforming' : outside ? 'not_conforming' : 'cannot_be_decided',
    canEverConform: upper - lower >= 2 * guardBand - borderSlack,
    guardBand,
    rule: `guard band ${factor} U, U = k u (ISO 14253-1:2017, JCGM 106:2012 8.3)`,
  };
}

/**
 * Probability that the true value lies within its limits, for a normal error.
 * @param standardUncertainty greater than 0
 * @throws missing, non_positive, reversed_limits
 * @source JCGM 106:2012, clause 7
 */
export function conformanceProbability(input: Limits & { value: number; standardUncertainty: number }): number {
  const value = present('value', input.value);
  const sigma = positive('standardUncertainty', input.standardUncertainty);
  const { lower, upper } = checkedLimits(input);
  return normalBetween((lower - value) / sigma, (upper - value) / sigma);
}

export interface Comparison {
  /** b - a. */
  readonly difference: number;
  readonly standardUncertainty: number;
  readonly expanded: number;
  /** True where the difference is larger than its expanded uncertainty. */
  readonly distinguishable: boolean;
}

/**
 * Are two measured values really different?
 * @param input two values with independent standard uncertainties, 0 or more, all in one unit
 * @throws missing, negative, non_positive
 * @source difference of independent values, u = sqrt(ua^2 + ub^2)
 */
export function compareValues(input: {
  valueA: number;
  valueB: number;
  uA: number;
  uB: number;
  coverage?: number | undefined;
}): Comparison {
  const difference = present('valueB', input.valueB) - present('valueA', input.valueA);
  const standardUncertainty = Math.hypot(notNegative('uA', input.uA), notNegative('uB', input.uB));
  const expanded = positive('coverage', presentOr('coverage', input.coverage, coverageFactor)) * standardUncertainty;
  return {
    difference,
    standardUncertainty,
    expanded,
    distinguishable: Math.abs(difference) > expanded + borderSlack,
  };
}

/**
 * How many readings, at the same scatter, would decide a value that can't be decided yet.
 * @param scatter standard uncertainty of one reading, greater than 0
 * @param floor part of the uncertainty that repeats don't shrink (reader, resolution, TDC), 0 or more
 * @param taken readings behind the present value
 * @returns total number of readings, or null where no number of them is enough
 * @throws missing, non_positive, negative, reversed_limits
 */
export function readingsToDecide(
  input: Limits & { value: number; scatter: number; floor: number; taken: number; guardFactor?: number | undefined },
): number | null {
  const value = present('value', input.value);
  const scatter = positive('scatter', input.scatter);
  const floor = notNegative('floor', input.floor);
  const taken = positive('taken', input.taken);
  const factor = notNegative('guardFactor', presentOr('guardFactor', input.guardFactor, 1)) * coverageFactor;
  const { lower, upper } = checkedLimits(input);
  const margin = Math.min(Math.abs(value - lower), Math.abs(upper - value));
  if (factor === 0) return taken;
  // Decided as soon as the guard band has shrunk to the distance from the nearest limit.
  const allowedSigma = margin / factor;
  const allowedScatter = allowedSigma ** 2 - floor ** 2;
  if (allowedScatter <= borderSlack * allowedSigma ** 2) return null;
  // A hair over a whole number is rounding, not another reading.
  return Math.max(taken, Math.ceil(scatter ** 2 / allowedScatter - 1e-6));
}
