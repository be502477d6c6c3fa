import type { StepQuantity } from '../../../core/mockup/step-shape.ts';
import { mmPerInch } from '../../../core/units.ts';
import type { Preferences } from '../../state/preference-list.ts';

/** Steps of metric instruments, and of those that are read in inches in their place. */
const inchSteps: readonly { readonly mm: number; readonly inch: number }[] = [
  { mm: 0.01, inch: 0.0005 },
  { mm: 0.02, inch: 0.001 },
  { mm: 0.05, inch: 0.002 },
];

/** The step that a reading of this quantity usually has, in the unit in which it is kept; null where it has none. */
export function usualStepOf(
  { kind, usualStep }: Pick<StepQuantity, 'kind' | 'usualStep'>,
  { lengthUnit }: Pick<Preferences, 'lengthUnit'>,
): number | null {
  if (kind !== 'length' || lengthUnit !== 'inch') return usualStep;
  const step = inchSteps.find(({ mm }) => mm === usualStep);
  return step === undefined ? usualStep : step.inch * mmPerInch;
}
