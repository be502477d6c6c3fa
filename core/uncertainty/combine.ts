import { atLeast, notNegative, numbers, positive, presentOr, refuse, sameLength } from '../checks.ts';
import { coverageFactor, sumOfContributions } from './value.ts';

export interface CombineInput {
  /** Change of the result per unit of each input; signs don't matter. */
  readonly sensitivities: readonly number[];
  /** Standard uncertainties, 0 or more. */
  readonly uncertainties: readonly number[];
  /** One entry an input, null where it counts as known exactly; absent: all exact. */
  readonly degreesOfFreedom?: readonly (number | null)[] | undefined;
  /** Coverage factor k, 2 where absent. */
  readonly coverage?: number | undefined;
  /** Correlation of each pair of inputs, -1 to 1; absent: independent. */
  readonly correlations?: readonly (readonly number[])[] | undefined;
}

export interface Combined {
  readonly combined: number;
  readonly expanded: number;
  /** Absent where every input that contributes is known exactly. */
  readonly effectiveDegreesOfFreedom?: number;
}

function degreesAt(list: readonly (number | null)[] | undefined, index: number): number | null {
  const entry = list?.[index];
  return entry === undefined || entry === null ? null : positive(`degreesOfFreedom[${index + 1}]`, entry);
}

/**
 * Combined and expanded standard uncertainty of a result that depends on several inputs.
 * @throws missing, insufficient_data, inconsistent where lists differ in length, negative, non_positive, out_of_range
 * @source JCGM 100:2008, 5.1.2 (10), 5.2.2 (13), 6.2.1, G.4.1 (Welch-Satterthwaite)
 */
export function combine(input: CombineInput): Combined {
  const sensitivities = atLeast('sensitivities', input.sensitivities, 1, 'there is nothing to combine');
  const uncertainties = numbers('uncertainties', input.uncertainties);
  sameLength('uncertainties', uncertainties, 'sensitivities', sensitivities);
  if (input.degreesOfFreedom !== undefined) {
    sameLength('degreesOfFreedom', input.degreesOfFreedom, 'sensitivities', sensitivities);
  }
  const coverage = positive('coverage', presentOr('coverage', input.coverage, coverageFactor));
  const contributions = sensitivities.map((sensitivity, index) => ({
    from: `input ${index + 1}`,
    effect: sensitivity * notNegative(`uncertainties[${index + 1}]`, uncertainties[index]),
    degreesOfFreedom: degreesAt(input.degreesOfFreedom, index),
    route: 'propagated' as const,
  }));
  const independent = sumOfContributions(contributions);
  const sigma =
    input.correlations === undefined
      ? independent.sigma
      : correlatedSigma(
          contributions.map(({ effect }) => effect),
          input.correlations,
        );
  return {
    combined: sigma,
    expanded: coverage * sigma,
    // With correlated inputs the formula of the effective degrees of freedom doesn't hold, so none are given.
    ...(independent.degreesOfFreedom === null || input.correlations !== undefined
      ? {}
      : { effectiveDegreesOfFreedom: independent.degreesOfFreedom }),
  };
}

/**
 * Standard uncertainty of a sum of correlated effects.
 * @param effects signed effect of one standard uncertainty of each input on the result
 * @param correlations square table of the pairs' correlation coefficients
 * @throws inconsistent where the table isn't square, isn't symmetric or can't belong to real errors; out_of_range
 * @source JCGM 100:2008, 5.2.2 (13)
 */
export function correlatedSigma(effects: readonly number[], correlations: readonly (readonly number[])[]): number {
  sameLength('correlations', correlations, 'inputs', effects);
  let variance = 0;
  for (const [row, effect] of effects.entries()) {
    const line = numbers(`correlations[${row + 1}]`, correlations[row]);
    sameLength(`correlations[${row + 1}]`, line, 'inputs', effects);
    for (const [column, other] of effects.entries()) {
      const coefficient = row === column ? 1 : (line[column] as number);
      if (Math.abs(coefficient) > 1) {
        refuse('out_of_range', 'correlations', coefficient, 'from -1 to 1', 'check the table.');
      }
      if (coefficient !== (correlations[column]?.[row] ?? coefficient) && row !== column) {
        refuse('inconsistent', 'correlations', coefficient, 'the same in both halves of the table', 'check the table.');
      }
      variance += effect * other * coefficient;
    }
  }
  if (variance < -1e-12 * effects.reduce((sum, effect) => sum + effect ** 2, 0)) {
    refuse('inconsistent', 'correlations', variance, 'a table that errors can have', 'check the table.');
  }
  return Math.sqrt(Math.max(0, variance));
}
