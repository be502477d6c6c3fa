import { notNegative, present, refuse, sameLength } from '../checks.ts';
import { InputError } from '../errors.ts';
import { wrapSigned } from '../units.ts';
import { correlatedSigma } from './combine.ts';
import { type Contribution, type UncertaintyRoute, type Value, valueFrom } from './value.ts';

/** An input of a formula with its standard uncertainty. */
export interface UncertainInput {
  readonly name: string;
  readonly value: number;
  /** 0 where it counts as known exactly. */
  readonly sigma: number;
  readonly degreesOfFreedom: number | null;
  readonly route: UncertaintyRoute;
}

export interface PropagationOptions {
  /** Set for results that wrap, such as a wheel reading at 360. */
  readonly period?: number | undefined;
  /** Correlation of each pair of inputs; absent: independent. */
  readonly correlations?: readonly (readonly number[])[] | undefined;
}

/** Result of the formula, or null where the shifted input is one it refuses (a depth past the travel). */
function attempt(formula: (inputs: readonly number[]) => number, inputs: readonly number[]): number | null {
  try {
    return formula(inputs);
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

/**
 * Carries the uncertainty of the inputs through a formula.
 *
 * Each input is moved by its own standard uncertainty to either side; half the change of the result is its contribution.
 * So the step is the uncertainty itself, and no derivative has to be written out. Where the formula refuses one side,
 * the change to the other side is taken.
 * @throws missing, negative, out_of_range where the formula refuses both sides, what the formula itself throws
 * @source JCGM 100:2008, 5.1.3 note 2 and 5.2.2 (13)
 */
export function propagate(
  formula: (inputs: readonly number[]) => number,
  inputs: readonly UncertainInput[],
  options: PropagationOptions = {},
): Value {
  const centre = inputs.map(({ name, value }) => present(name, value));
  const value = formula(centre);
  const change = (to: number, from: number): number =>
    options.period === undefined ? to - from : wrapSigned(to - from, options.period);
  const contributions: Contribution[] = inputs.map(({ name, sigma, degreesOfFreedom, route }, index) => {
    const step = notNegative(`${name} uncertainty`, sigma);
    if (step === 0) return { from: name, effect: 0, degreesOfFreedom, route };
    const shifted = (by: number): number | null =>
      attempt(
        formula,
        centre.map((entry, position) => (position === index ? entry + by : entry)),
      );
    const above = shifted(step);
    const below = shifted(-step);
    if (above === null && below === null) {
      const mend = 'its uncertainty reaches past everything that is possible on both sides.';
      refuse('out_of_range', name, centre[index], 'possible within its uncertainty', mend);
    }
    const effect =
      above === null
        ? change(value, below as number)
        : below === null
          ? change(above, value)
          : change(above, below) / 2;
    return { from: name, effect, degreesOfFreedom, route };
  });
  const result = valueFrom(value, contributions);
  if (options.correlations === undefined) return result;
  sameLength('correlations', options.correlations, 'inputs', inputs);
  const effects = contributions.map(({ effect }) => effect);
  // The effective degrees of freedom hold for independent inputs only.
  return { ...result, sigma: correlatedSigma(effects, options.correlations), degreesOfFreedom: null };
}
