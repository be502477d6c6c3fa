import { type Contribution, type Value, valueFrom } from './value.ts';

/** A term of a sum: its factor and what is multiplied by it. */
export interface WeightedValue {
  readonly weight: number;
  readonly value: Value;
}

/**
 * Weighted sum of measured values, such as a mean or a difference.
 *
 * An instrument's own error is one error in everything that was read with it: terms of the route `instrument` with the
 * same name add up before they are squared, so that it stays whole in a mean and cancels in a difference. All other
 * terms count as independent.
 * @param terms at least one
 * @source JCGM 100:2008, 5.1.2 and 5.2.2 (16)
 */
export function weightedSum(terms: readonly WeightedValue[]): Value {
  const common = new Map<string, Contribution>();
  const independent: Contribution[] = [];
  for (const { weight, value } of terms) {
    for (const term of value.contributions) {
      const effect = weight * term.effect;
      if (term.route !== 'instrument') {
        independent.push({ ...term, effect });
        continue;
      }
      const before = common.get(term.from);
      common.set(term.from, { ...term, effect: effect + (before?.effect ?? 0) });
    }
  }
  const sum = terms.reduce((total, { weight, value }) => total + weight * value.value, 0);
  return valueFrom(sum, [...independent, ...common.values()]);
}

/** Mean of values that count alike. @param values at least one */
export function meanValue(values: readonly Value[]): Value {
  return weightedSum(values.map((value) => ({ weight: 1 / values.length, value })));
}

/** First less second. */
export function differenceOf(first: Value, second: Value): Value {
  return weightedSum([
    { weight: 1, value: first },
    { weight: -1, value: second },
  ]);
}
