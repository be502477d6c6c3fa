import type { SizesOfMockUp } from '../../core/mockup/sizes.ts';
import { type FigureItem, figureItems } from '../../core/planner/figure-list.ts';
import { mockUpFigures } from '../../core/planner/mock-up-figures.ts';
import { uncertainOf } from '../../core/planner/uncertain-figures.ts';
import type { Value } from '../../core/uncertainty/value.ts';

/** A figure of the mock-up with its uncertainty. */
export interface FoundFigure {
  readonly item: FigureItem;
  readonly value: Value;
}

/** All figures of a mock-up by their keys. */
export function foundFigures({ sizes, uncertainties }: SizesOfMockUp): ReadonlyMap<string, FoundFigure> {
  if (sizes === null) return new Map();
  const take = uncertainOf(sizes, uncertainties, mockUpFigures);
  return new Map(
    figureItems(sizes).flatMap((item) => {
      const value = take((figures) => item.pick(figures));
      return value === null ? [] : [[item.key, { item, value }] as const];
    }),
  );
}
