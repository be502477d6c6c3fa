import type { StepQuantity } from '../../../core/mockup/step-shape.ts';
import { type FieldKind, readTypedNumber } from '../../parts/typed-number.ts';
import type { Preferences } from '../../state/preference-list.ts';

/** The kind of field in which a quantity is typed; words and pictures have none of their own. */
export function numberKind({ kind }: StepQuantity): FieldKind {
  return kind === 'words' || kind === 'picture' ? 'plain' : kind;
}

/** What was typed, with the unit that a bare number had, so that it can be read later without the preferences. */
export function asTyped(
  text: string,
  quantity: StepQuantity,
  preferences: Pick<Preferences, 'lengthUnit' | 'decimalMark'>,
): string {
  const shown = quantity.unit === 'mm' && preferences.lengthUnit === 'inch' ? 'in' : quantity.unit;
  const kind = numberKind(quantity);
  const read = readTypedNumber(text, kind, kind === 'plain' ? '' : shown);
  return read.ok && read.unitWasTyped ? text.trim() : `${text.trim()} ${shown}`.trim();
}

/** End less start of one scale, without the tail of digits that a difference of two decimals can have. */
export function differenceOf(start: number, end: number): number {
  return Number((end - start).toFixed(6));
}
