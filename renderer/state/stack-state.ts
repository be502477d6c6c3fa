import type { MockUp } from '../../core/contract/parts.ts';
import type { PlanChange } from '../../core/contract/plans.ts';
import type { MockUpSizes } from '../../core/planner/mock-up-figures.ts';
import type { StackState } from '../drawings/stack-drawing.tsx';

/** The stack of a mock-up for its drawing; with a change, the sizes are those after it. */
export function stackState(
  sizes: MockUpSizes,
  { baseGasketMm, headGasketMm }: Pick<MockUp, 'baseGasketMm' | 'headGasketMm'>,
  change: PlanChange = {},
): StackState {
  const thickness = (fittedMm: number | null, byMm: number | undefined) =>
    fittedMm === null ? null : fittedMm + (byMm ?? 0);
  return {
    baseGasketMm: thickness(baseGasketMm, change.baseGasketChangeMm),
    headGasketMm: thickness(headGasketMm, change.headGasketChangeMm),
    deckMm: sizes.deckMm ?? null,
    squishMm: sizes.squishMm ?? null,
    clearanceVolumeCc: sizes.clearanceVolumeCc ?? null,
  };
}
