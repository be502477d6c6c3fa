import { resolutionUncertainty } from '../uncertainty/type-b.ts';
import { exactly, type Value, valueWith } from '../uncertainty/value.ts';
import { stepQuantity } from './steps.ts';

/** Figures that stand with a part or the mock-up, each with the reading that it stands in for. */
const entries = {
  bore: 'bore_along_pin',
  piston: 'piston_diameter',
  'head gasket': 'head_gasket_crushed',
  'head volume': 'head_poured',
  dome: 'dome_poured',
  'crankcase volume': 'crankcase_poured',
} as const;

/**
 * A figure that was entered instead of being read. Nobody noted how finely it was read, so it carries the step to which
 * its quantity is usually read.
 * @param value null or absent where nothing was entered; 0 says that there is none of it, and is exact
 */
export function asEntered(name: keyof typeof entries, value: number | null | undefined): Value | null {
  if (value === null || value === undefined) return null;
  const quantity = stepQuantity(entries[name]);
  const step = quantity?.usualStep ?? null;
  if (value === 0 || quantity === null || step === null) return exactly(value);
  return valueWith(value, resolutionUncertainty(step), `${name} as entered, to ${step} ${quantity.unit}`, 'resolution');
}
