import { notNegative, positive, present } from '../checks.ts';

/** Where an uncertainty comes from; stated wherever one is shown. */
export type UncertaintyRoute = 'repeats' | 'hysteresis' | 'resolution' | 'instrument' | 'propagated' | 'monte_carlo';

/** One term of an uncertainty budget. */
export interface Contribution {
  /** What contributes: "placement of the edge", "stroke". */
  readonly from: string;
  /** Signed effect of one standard uncertainty on the result, in the unit of the result. */
  readonly effect: number;
  /** Null where the term counts as known exactly. */
  readonly degreesOfFreedom: number | null;
  readonly route: UncertaintyRoute;
}

/** A result with its standard uncertainty; both in the same unit, which the holder names. */
export interface Value {
  readonly value: number;
  /** Standard uncertainty. */
  readonly sigma: number;
  /** Effective degrees of freedom; null where every term counts as exact. */
  readonly degreesOfFreedom: number | null;
  readonly contributions: readonly Contribution[];
}

/** Coverage factor of every uncertainty shown or printed: U = k u. */
export const coverageFactor = 2;

/** Below this, k = 2 covers noticeably less than 95 %: say so and ask for more readings. Our own choice. */
export const fewestEffectiveDegreesOfFreedom = 10;

/** Standard uncertainty and effective degrees of freedom of independent terms. */
export function sumOfContributions(contributions: readonly Contribution[]): {
  sigma: number;
  degreesOfFreedom: number | null;
} {
  let variance = 0;
  let fourthPower = 0;
  for (const { effect, degreesOfFreedom } of contributions) {
    variance += effect ** 2;
    if (degreesOfFreedom !== null) fourthPower += effect ** 4 / degreesOfFreedom;
  }
  return {
    sigma: Math.sqrt(variance),
    degreesOfFreedom: fourthPower > 0 ? variance ** 2 / fourthPower : null,
  };
}

/** Puts a result and the terms of its budget together. */
export function valueFrom(value: number, contributions: readonly Contribution[]): Value {
  return { value, ...sumOfContributions(contributions), contributions };
}

/** A number known exactly, or whose uncertainty is carried elsewhere. */
export function exactly(value: number): Value {
  return { value, sigma: 0, degreesOfFreedom: null, contributions: [] };
}

/** A number with one standard uncertainty. @throws missing, negative */
export function valueWith(value: number, sigma: number, from: string, route: UncertaintyRoute): Value {
  present('value', value);
  notNegative('sigma', sigma);
  return valueFrom(value, [{ from, effect: sigma, degreesOfFreedom: null, route }]);
}

/** Expanded uncertainty U = k u. @throws non_positive for the coverage factor */
export function expanded(sigma: number, coverage: number = coverageFactor): number {
  return positive('coverage', coverage) * notNegative('sigma', sigma);
}

/** True where k = 2 covers less than 95 % because the spread itself is known too badly. */
export function needsMoreReadings(degreesOfFreedom: number | null): boolean {
  return degreesOfFreedom !== null && degreesOfFreedom < fewestEffectiveDegreesOfFreedom;
}
