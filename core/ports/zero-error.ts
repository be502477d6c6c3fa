import { stopOffsetError } from '../crank/dead-centre.ts';
import type { CrankGeometry } from '../crank/geometry.ts';
import { compareValues } from '../uncertainty/conformity.ts';
import { durationOf } from '../uncertainty/event-budget.ts';
import { type Value, valueFrom } from '../uncertainty/value.ts';
import { wrapSigned } from '../units.ts';
import { depthFromDuration } from './edge-height.ts';

/**
 * What the wheel shows at true TDC, from the two events of a crown-controlled port: a check that needs no stop.
 * @param opens, closes rising angles of the events, TDC not taken out
 * @param geometry with its offset the middle of the two isn't BDC; without geometry the offset counts as 0
 * @returns in [-180, 180)
 * @throws missing, non_positive, rod_too_short, out_of_range
 * @source (open + close)/2 - 180 - the error of the middle of two equal heights
 */
export function zeroErrorFromPort(opens: Value, closes: Value, geometry?: CrankGeometry): Value {
  const duration = durationOf(opens, closes).value;
  const correction =
    geometry === undefined
      ? 0
      : stopOffsetError(geometry, depthFromDuration(geometry, duration).edgeDepthMm).midpointErrorDeg;
  const half = (value: Value, name: string) =>
    value.contributions.map((term) => ({ ...term, from: `${name}: ${term.from}`, effect: term.effect / 2 }));
  return valueFrom(wrapSigned(opens.value + duration / 2 - 180 - correction), [
    ...half(opens, 'opening'),
    ...half(closes, 'closing'),
  ]);
}

/** A zero error and where it was found: "positive stop", "exhaust". */
export interface ZeroErrorSource {
  readonly name: string;
  /** In [-180, 180). */
  readonly zeroErrorDeg: Value;
}

export interface ZeroErrorDisagreement {
  readonly first: string;
  readonly second: string;
  /** Second less first, in [-180, 180). */
  readonly differenceDeg: number;
  readonly expandedDeg: number;
}

/**
 * Do the zero errors found from the stop and from each port agree within their uncertainties? If not, the wheel slipped,
 * sits off-centre, a wrong edge was read, or there is an offset that nobody entered.
 * @returns the pairs that differ by more than their expanded uncertainty, the worst first
 */
export function zeroErrorDisagreements(sources: readonly ZeroErrorSource[]): ZeroErrorDisagreement[] {
  const pairs = sources.flatMap((first, index) => sources.slice(index + 1).map((second) => ({ first, second })));
  return pairs
    .map(({ first, second }) => ({
      names: { first: first.name, second: second.name },
      compared: compareValues({
        valueA: 0,
        valueB: wrapSigned(second.zeroErrorDeg.value - first.zeroErrorDeg.value),
        uA: first.zeroErrorDeg.sigma,
        uB: second.zeroErrorDeg.sigma,
      }),
    }))
    .filter(({ compared }) => compared.distinguishable)
    .map(({ names, compared }) => ({
      ...names,
      differenceDeg: compared.difference,
      expandedDeg: compared.expanded,
    }))
    .toSorted((a, b) => Math.abs(b.differenceDeg) - Math.abs(a.differenceDeg));
}
