import { cubicCentimetresPerUnit, degreesPerUnit, millimetresPerUnit } from './unit-words.ts';

/** What a field measures; decides which unit words it understands. */
export type FieldKind = 'length' | 'angle' | 'volume' | 'plain';

/** How a typed number reads: the value in the field's base unit (mm, deg, cm3 or none), or what to mend. */
export type TypedNumber =
  | { readonly ok: true; readonly value: number; readonly unit: string; readonly unitWasTyped: boolean }
  | { readonly ok: false; readonly reason: string };

/**
 * Reads what a person typed: comma or point, a unit word behind the number (`0.0345in`, `34.5 thou`, `22 mm`),
 * and inch fractions (`1/16 in`, `1 1/16 in`). A comma is a decimal mark and is never dropped.
 * @param text as typed
 * @param kind what the field measures
 * @param unitIfNone unit that a bare number has, for instance `mm`
 */
export function readTypedNumber(text: string, kind: FieldKind, unitIfNone: string): TypedNumber {
  const trimmed = text.trim().replaceAll('−', '-').replaceAll('\u00a0', ' ');
  const shape = /^([+-]?)\s*(?:(\d+)\s+(?=\d+\s*\/))?([\d.,]*)(?:\s*\/\s*(\d+))?\s*(.*)$/.exec(trimmed);
  if (trimmed === '' || shape === null) return { ok: false, reason: 'Type a number.' };
  const [, sign = '', whole, digits = '', divisor, word = ''] = shape;
  const number = readDigits(digits);
  if (number === null) return { ok: false, reason: reasonFor(digits, trimmed) };
  if (/^\d/.test(word) || (divisor !== undefined && /[.,]/.test(digits))) {
    return { ok: false, reason: 'Write one number, or a fraction such as 1/16 in.' };
  }
  if (divisor !== undefined && Number(divisor) === 0) return { ok: false, reason: "A fraction can't be divided by 0." };
  const unit = word.trim() === '' ? unitIfNone : word.trim().toLowerCase();
  const factor = factorOf(kind, unit);
  if (factor === null)
    return { ok: false, reason: `"${word.trim()}" is not a unit for this field: ${unitsFor(kind)}.` };
  const magnitude = Number(whole ?? 0) + (divisor === undefined ? number : number / Number(divisor));
  const value = (sign === '-' ? -magnitude : magnitude) * factor;
  return { ok: true, value, unit, unitWasTyped: word.trim() !== '' };
}

/**
 * Units of a length in which a bare number would be possible although it isn't in the field's own: the question to ask back.
 * @param isPossible whether a length in mm fits the field
 */
export function unitsThatFit(
  typed: TypedNumber,
  kind: FieldKind,
  isPossible: (lengthMm: number) => boolean,
): readonly string[] {
  if (!typed.ok || typed.unitWasTyped || kind !== 'length') return [];
  const bare = typed.value / (millimetresPerUnit[typed.unit] ?? 1);
  return ['mm', 'in', 'thou'].filter(
    (unit) => unit !== typed.unit && isPossible(bare * (millimetresPerUnit[unit] ?? 1)),
  );
}

/** A value as text for a field: at most `decimals` places, no trailing zeros, with the wanted decimal mark. */
export function writeNumber(value: number, decimals: number, mark: 'point' | 'comma' = 'point'): string {
  const fixed = value.toFixed(decimals);
  const short = fixed.includes('.') ? fixed.replace(/\.?0+$/, '') : fixed;
  const unsignedZero = /^-0$/.test(short) ? '0' : short;
  return mark === 'comma' ? unsignedZero.replace('.', ',') : unsignedZero;
}

function readDigits(digits: string): number | null {
  if (!/\d/.test(digits) || (digits.match(/[.,]/g) ?? []).length > 1) return null;
  return Number(digits.replace(',', '.'));
}

function reasonFor(digits: string, whole: string): string {
  if (/[.,].*[.,]/.test(digits))
    return 'Use one comma or point, for the decimals only, and nothing between the thousands.';
  return `"${whole}" is not a number.`;
}

function factorOf(kind: FieldKind, unit: string): number | null {
  const table = tableOf(kind);
  return Object.hasOwn(table, unit) ? (table[unit] ?? null) : null;
}

function tableOf(kind: FieldKind): Readonly<Record<string, number>> {
  switch (kind) {
    case 'length':
      return millimetresPerUnit;
    case 'volume':
      return cubicCentimetresPerUnit;
    case 'angle':
      return degreesPerUnit;
    case 'plain':
      return { '': 1 };
  }
}

function unitsFor(kind: FieldKind): string {
  switch (kind) {
    case 'length':
      return 'it takes mm, in or thou';
    case 'volume':
      return 'it takes cm3, cc, ml or in3';
    case 'angle':
      return 'it takes degrees';
    case 'plain':
      return 'it takes a bare number';
  }
}
