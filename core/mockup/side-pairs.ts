import type { Port } from '../contract/parts.ts';
import { type FigureItem, type FigureKind, figureItems, portFigureKey } from '../planner/figure-list.ts';
import { mockUpFigures } from '../planner/mock-up-figures.ts';
import { uncertainOf } from '../planner/uncertain-figures.ts';
import { coverageFactor, type Value } from '../uncertainty/value.ts';
import type { SizesOfMockUp } from './sizes.ts';

/** One figure of a pair of ports: drive side less ignition side. */
export interface SideDifference {
  readonly item: FigureItem;
  readonly difference: Value;
  /** True where the difference is larger than its U (k = 2). */
  readonly isReal: boolean;
}

export interface SidePair {
  readonly drive: Port;
  readonly ignition: Port;
  /** By kind of figure; what one of the two doesn't have is missing. */
  readonly differences: ReadonlyMap<FigureKind, SideDifference>;
}

/** Ports of one kind that were read on each side by itself, in the order of the list. */
export function sidePairs(ports: readonly Port[]): readonly { drive: Port; ignition: Port }[] {
  const taken = new Set<string>();
  return ports
    .filter(({ side }) => side === 'drive_side')
    .flatMap((drive) => {
      const ignition = ports.find(
        ({ portId, side, kind }) => side === 'ignition_side' && kind === drive.kind && !taken.has(portId),
      );
      if (ignition === undefined) return [];
      taken.add(ignition.portId);
      return [{ drive, ignition }];
    });
}

/**
 * How the two sides differ, each difference with its own uncertainty: bore, stroke and deck are in both and cancel.
 */
export function sideDifferences(found: SizesOfMockUp, ports: readonly Port[]): readonly SidePair[] {
  const { sizes, uncertainties } = found;
  const pairs = sidePairs(ports);
  if (sizes === null || pairs.length === 0) return [];
  const items = new Map(figureItems(sizes).map((item) => [item.key, item]));
  const take = uncertainOf(sizes, uncertainties, mockUpFigures);
  return pairs.map(({ drive, ignition }) => {
    const differences = new Map<FigureKind, SideDifference>();
    for (const item of items.values()) {
      if (item.portId !== drive.portId) continue;
      const other = items.get(portFigureKey(item.kind, ignition.portId));
      const difference = take((figures) => {
        const [first, second] = [item.pick(figures), other?.pick(figures) ?? null];
        return first === null || second === null ? null : first - second;
      });
      if (difference === null) continue;
      const isReal = Math.abs(difference.value) > coverageFactor * difference.sigma;
      differences.set(item.kind, { item, difference, isReal });
    }
    return { drive, ignition, differences };
  });
}
