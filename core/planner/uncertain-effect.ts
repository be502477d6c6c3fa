import type { Value } from '../uncertainty/value.ts';
import { type MockUpChange, plannedEffect } from './effects.ts';
import { type FigureItem, figureItems } from './figure-list.ts';
import type { MockUpSizes } from './mock-up-figures.ts';
import { type SizeUncertainties, uncertainOf } from './uncertain-figures.ts';

/** One figure before and after a change. The uncertainty of the difference is its own: what both share cancels. */
export interface UncertainEffect {
  readonly item: FigureItem;
  readonly before: Value;
  /** Null where the change leaves nothing to work it out from. */
  readonly after: Value | null;
  readonly difference: Value | null;
}

/**
 * What a change does to every figure, each with its uncertainty. The change itself counts as exact.
 * @throws as `plannedEffect`; negative for an uncertainty below 0
 */
export function uncertainEffects(
  sizes: MockUpSizes,
  uncertainties: SizeUncertainties,
  change: MockUpChange,
): readonly UncertainEffect[] {
  const take = uncertainOf(sizes, uncertainties, (moved) => plannedEffect(moved, change));
  return figureItems(sizes).flatMap((item) => {
    const before = take((effect) => item.pick(effect.before));
    if (before === null) return [];
    const after = take((effect) => item.pick(effect.after));
    const difference = take((effect) => {
      const [from, to] = [item.pick(effect.before), item.pick(effect.after)];
      return from === null || to === null ? null : to - from;
    });
    return [{ item, before, after, difference }];
  });
}
