/** A plan held against the limits of its mock-up: every figure before and after, what gets worse and what better. */
import type { Specification } from '../contract/parts.ts';
import { InputError } from '../errors.ts';
import type { MockUpChange } from '../planner/effects.ts';
import type { FigureItem } from '../planner/figure-list.ts';
import { type UncertainEffect, uncertainEffects } from '../planner/uncertain-effect.ts';
import { quotedEvent } from '../ports/events.ts';
import type { PortKind } from '../ports/kinds.ts';
import type { Value } from '../uncertainty/value.ts';
import { borderSlack } from '../units.ts';
import { type Judged, judged } from './judge.ts';
import type { SizesOfMockUp } from './sizes.ts';

/** How a figure moves against its limits. `not_judged`: it has none, so nobody but the builder can say. */
export type Trend = 'better' | 'worse' | 'same' | 'not_judged';

export interface PlannedRow extends UncertainEffect {
  /** False where the difference is rounding only. */
  readonly isChanged: boolean;
  readonly judgedBefore: Judged;
  readonly judgedAfter: Judged;
  readonly trend: Trend;
}

const rank = { conforming: 2, cannot_be_decided: 1, not_conforming: 0 } as const;
/** Below this part of the figure a difference is rounding of the way there and back. */
const roundingPart = 1e-9;

/**
 * What a change does to every figure that the mock-up has.
 * @returns empty where not one figure can be worked out
 * @throws as `plannedEffect`: parts that would touch, a port that would never open
 */
export function plannedRows(
  found: SizesOfMockUp,
  change: MockUpChange,
  specifications: ReadonlyMap<string, Specification>,
): readonly PlannedRow[] {
  const { sizes, uncertainties } = found;
  if (sizes === null) return [];
  const kindOf = (portId: string | null) => sizes.ports.find((port) => port.portId === portId)?.kind ?? null;
  return uncertainEffects(sizes, uncertainties, change).map((effect) => {
    const { item, before, after, difference } = effect;
    const specification = specificationOf(item, specifications);
    const stand = (value: Value | null): Standing => {
      const limited = asLimited(item, kindOf(item.portId), value);
      return { value: limited?.value ?? null, judged: judged(specification, limited) };
    };
    const was = stand(before);
    const is = stand(after);
    const size = Math.max(1, Math.abs(before.value));
    const isChanged = difference === null || Math.abs(difference.value) > roundingPart * size;
    return {
      ...effect,
      isChanged,
      judgedBefore: was.judged,
      judgedAfter: is.judged,
      trend: trendOf(specification, was, is),
    };
  });
}

function specificationOf(item: FigureItem, specifications: ReadonlyMap<string, Specification>): Specification | null {
  return item.limitKeys.map((key) => specifications.get(key)).find((one) => one !== undefined) ?? null;
}

/** Limits of an edge are written from its own dead centre, figures count from TDC forwards. */
function asLimited(item: FigureItem, kind: PortKind | null, value: Value | null) {
  if (value === null) return null;
  if ((item.kind !== 'opens' && item.kind !== 'closes') || kind === null) {
    return { value: value.value, sigma: value.sigma, repeats: null };
  }
  try {
    return { value: quotedEvent(kind, item.kind, value.value), sigma: value.sigma, repeats: null };
  } catch (error) {
    // A port that the change drives past a dead centre has no place among its limits.
    if (error instanceof InputError) return null;
    throw error;
  }
}

interface Standing {
  /** As its limits are written. */
  readonly value: number | null;
  readonly judged: Judged;
}

/** By verdict first; with the same verdict, by how far outside its limits the figure lies. */
function trendOf(specification: Specification | null, before: Standing, after: Standing): Trend {
  const [was, is] = [before.judged.verdict, after.judged.verdict];
  if (specification === null || !(was in rank) || !(is in rank)) return 'not_judged';
  const by = rank[is as keyof typeof rank] - rank[was as keyof typeof rank];
  if (by !== 0) return by > 0 ? 'better' : 'worse';
  const nearer = outside(specification, before.value) - outside(specification, after.value);
  if (Math.abs(nearer) <= borderSlack) return 'same';
  return nearer > 0 ? 'better' : 'worse';
}

/** How far past the nearer limit; 0 inside. */
function outside({ lower, upper }: Specification, value: number | null): number {
  if (value === null) return 0;
  return Math.max(0, lower === null ? 0 : lower - value, upper === null ? 0 : value - upper);
}
