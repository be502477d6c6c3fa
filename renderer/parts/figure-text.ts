import type { Value } from '../../core/uncertainty/value.ts';
import { coverageFactor } from '../../core/uncertainty/value.ts';
import { mmPerInch } from '../../core/units.ts';
import type { Preferences } from '../state/preference-list.ts';
import { writtenUnit } from './unit-words.ts';

type UnitPreferences = Pick<Preferences, 'lengthUnit' | 'decimalMark'>;

/** A figure in the unit that the person reads lengths in; other units stay as they are. */
export function figureText(value: number, unit: string, decimals: number, preferences: UnitPreferences): string {
  const isInch = unit === 'mm' && preferences.lengthUnit === 'inch';
  const shown = isInch ? value / mmPerInch : value;
  // A thousandth of an inch is 25 times coarser than a thousandth of a millimetre: one more decimal keeps the step.
  const fixed = shown.toFixed(isInch ? decimals + 1 : decimals);
  const figure = preferences.decimalMark === 'comma' ? fixed.replace('.', ',') : fixed;
  return [figure.replace('-', '−'), unitText(unit, preferences)].filter((part) => part !== '').join(' ');
}

const mostFurtherPlaces = 3;

/** The expanded uncertainty of a result, without its unit, which stands beside the result. */
export function expandedText(value: Value, unit: string, decimals: number, preferences: UnitPreferences): string {
  const text = (places: number) =>
    figureText(coverageFactor * value.sigma, unit, places, preferences).split(' ')[0] ?? '';
  // An uncertainty that is there must not read as none: it takes as many places as its first figure needs.
  for (let places = decimals; places < decimals + mostFurtherPlaces; places += 1) {
    if (value.sigma === 0 || /[1-9]/.test(text(places))) return text(places);
  }
  return text(decimals + mostFurtherPlaces);
}

export function unitText(unit: string, preferences: UnitPreferences): string {
  return unit === 'mm' && preferences.lengthUnit === 'inch' ? 'in' : writtenUnit(unit);
}
