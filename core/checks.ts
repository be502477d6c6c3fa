/**
 * Checks at the entry of a formula. Each returns the number it has checked, or throws an `InputError` that names the
 * field, the value and the allowed range. Field names end in their unit (`strokeMm`), which gives the message its unit.
 */
import { InputError, type InputErrorCode, shownValue } from './errors.ts';
import { borderSlack } from './units.ts';

const unitOfSuffix: Readonly<Record<string, string>> = {
  Mm: 'mm',
  Mm2: 'mm²',
  Deg: 'deg',
  Cc: 'cm³',
  Rpm: 'rev/min',
  Mps: 'm/s',
  Mps2: 'm/s²',
  Celsius: '°C',
  K: 'K',
  G: 'g',
  Kw: 'kW',
  GPa: 'GPa',
};

/** Parts of field names that read differently on screen. */
const spelledOut: Readonly<Record<string, string>> = {
  atdc: 'after TDC',
  btdc: 'before TDC',
  tdc: 'TDC',
  bdc: 'BDC',
  u: 'uncertainty of',
};

/** Splits `rodLengthMm` into the words "rod length" and the unit "mm". */
export function wordsOfField(field: string): { words: string; unit: string } {
  const parts = field
    .replaceAll(/([a-z0-9])([A-Z])/g, '$1 $2')
    .split(/[ _]/)
    .filter((part) => part !== '');
  const unit = parts.length > 1 ? unitOfSuffix[parts.at(-1) ?? ''] : undefined;
  const named = unit === undefined ? parts : parts.slice(0, -1);
  const words = named.map((part) => spelledOut[part.toLowerCase()] ?? part.toLowerCase()).join(' ');
  return { words, unit: unit ?? '' };
}

function withUnit(text: string, unit: string): string {
  return unit === '' ? text : `${text} ${unit}`;
}

/** Throws an `InputError` whose sentence is put together from its parts. */
export function refuse(code: InputErrorCode, field: string, value: unknown, allowed: string, mend: string): never {
  const { words, unit } = wordsOfField(field);
  const shown = typeof value === 'number' ? withUnit(shownValue(value), unit) : shownValue(value);
  // A border that was computed has more digits than anybody can use.
  const range = allowed.replaceAll(/\d+\.\d{7,}/g, (digits) => shownValue(Number(digits)));
  const message = `${words.charAt(0).toUpperCase()}${words.slice(1)} is ${shown}; it must be ${range}: ${mend}`;
  throw new InputError({ code, field, value, allowed: range, message });
}

/** @throws missing where it is absent, NaN, infinite or no number at all */
export function present(field: string, value: unknown): number {
  if (typeof value !== 'number' || !Number.isFinite(value)) {
    refuse('missing', field, value, 'a finite number', 'enter it, or measure it first.');
  }
  return value;
}

/** Absent counts as the default; anything else must be a number. */
export function presentOr(field: string, value: unknown, fallback: number): number {
  return value === undefined || value === null ? fallback : present(field, value);
}

/** @throws missing, non_positive */
export function positive(field: string, value: unknown): number {
  const number = present(field, value);
  if (number <= borderSlack) {
    const { unit } = wordsOfField(field);
    refuse('non_positive', field, value, withUnit('greater than 0', unit), 'check the reading and its sign.');
  }
  return number;
}

/** @throws missing, negative */
export function notNegative(field: string, value: unknown): number {
  const number = present(field, value);
  if (number < -borderSlack) {
    const { unit } = wordsOfField(field);
    refuse('negative', field, value, withUnit('0', unit).concat(' or more'), 'enter the size without a sign.');
  }
  return number;
}

/** Both borders excluded, with the usual slack. @throws missing, out_of_range */
export function between(field: string, value: unknown, lower: number, upper: number, mend: string): number {
  const number = present(field, value);
  if (number <= lower + borderSlack || number >= upper - borderSlack) {
    const { unit } = wordsOfField(field);
    const allowed = withUnit(`between ${shownValue(lower)} and ${shownValue(upper)}`, unit);
    refuse('out_of_range', field, value, `${allowed}, both excluded`, mend);
  }
  return number;
}

/** Both borders included, with the usual slack. @throws missing, out_of_range */
export function within(field: string, value: unknown, lower: number, upper: number, mend: string): number {
  const number = present(field, value);
  if (number < lower - borderSlack || number > upper + borderSlack) {
    const { unit } = wordsOfField(field);
    const allowed = withUnit(`from ${shownValue(lower)} to ${shownValue(upper)}`, unit);
    refuse('out_of_range', field, value, allowed, mend);
  }
  return number;
}

/** A reading of a wheel that rises from 0 to just under 360. @throws missing, out_of_range */
export function wheelReading(field: string, value: unknown): number {
  const number = present(field, value);
  if (number < 0 || number >= 360) {
    refuse('out_of_range', field, value, 'from 0 to just under 360 deg', 'give 360 as 0 and count upwards from 0.');
  }
  return number;
}

/** A list of finite numbers. @throws missing where the list or one of its numbers is absent */
export function numbers(field: string, values: unknown): readonly number[] {
  if (!Array.isArray(values)) refuse('missing', field, values, 'a list of numbers', 'enter the readings.');
  return values.map((value: unknown, index) => present(`${field}[${index + 1}]`, value));
}

/** @throws missing, insufficient_data */
export function atLeast(field: string, values: unknown, count: number, why: string): readonly number[] {
  const list = numbers(field, values);
  if (list.length < count) {
    const allowed = `at least ${count} reading${count === 1 ? '' : 's'}`;
    refuse('insufficient_data', field, list, allowed, `${why}; take ${count - list.length} more.`);
  }
  return list;
}

/** Whole number of like things, 1 where absent. @throws missing, non_positive, out_of_range */
export function countOf(field: string, value: unknown): number {
  const number = positive(field, presentOr(field, value, 1));
  if (Math.abs(number - Math.round(number)) > borderSlack) {
    refuse('out_of_range', field, value, 'a whole number', 'count them again.');
  }
  return Math.round(number);
}

/** @throws inconsistent where two lists that belong together differ in length */
export function sameLength(field: string, values: readonly unknown[], other: string, others: readonly unknown[]): void {
  if (values.length !== others.length) {
    const { words } = wordsOfField(other);
    refuse(
      'inconsistent',
      field,
      values,
      `as long as ${words} (${others.length})`,
      'give one value of each for every place.',
    );
  }
}
