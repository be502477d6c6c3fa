import { mmPerInch } from '../../core/units.ts';
import type { Preferences } from '../state/preference-list.ts';

type Units = Pick<Preferences, 'lengthUnit' | 'decimalMark'>;

/** Sizes as text in the units and with the decimal mark of Preferences; all places kept, so that columns line up. */
export interface ShownSizes {
  /** "0.95 mm", "0.0374 in"; two places in mm unless said otherwise. */
  length(valueMm: number, decimals?: number): string;
  /** Without its unit, for columns that name it once. */
  bareLength(valueMm: number, decimals?: number): string;
  /** "612 mm2", "0.949 in2". */
  area(valueMm2: number): string;
  bareArea(valueMm2: number): string;
  /** A number in the unit that its text names. */
  number(value: number, decimals: number): string;
  /** With its sign in front, a minus being a minus. */
  signed(value: number, decimals: number): string;
  readonly lengthUnit: 'mm' | 'in';
  readonly areaUnit: 'mm²' | 'in²';
  /** From millimetres to the unit shown. */
  readonly perMm: number;
}

export function shownSizes({ lengthUnit, decimalMark }: Units): ShownSizes {
  const isInch = lengthUnit === 'inch';
  const perMm = isInch ? 1 / mmPerInch : 1;
  const number = (value: number, decimals: number): string => {
    const text = value.toFixed(decimals);
    const unsigned = /^-0(\.0+)?$/.test(text) ? text.slice(1) : text.replace('-', '−');
    return decimalMark === 'comma' ? unsigned.replace('.', ',') : unsigned;
  };
  const bareLength = (valueMm: number, decimals = 2) => number(valueMm * perMm, decimals + (isInch ? 2 : 0));
  const bareArea = (valueMm2: number) => number(valueMm2 * perMm ** 2, isInch ? 3 : 0);
  const unit = isInch ? 'in' : 'mm';
  return {
    length: (valueMm, decimals) => `${bareLength(valueMm, decimals)} ${unit}`,
    bareLength,
    area: (valueMm2) => `${bareArea(valueMm2)} ${unit}²`,
    bareArea,
    number,
    signed: (value, decimals) => {
      const text = number(value, decimals);
      return text.startsWith('−') || Number(value.toFixed(decimals)) === 0 ? text : `+${text}`;
    },
    lengthUnit: unit,
    areaUnit: `${unit}²`,
    perMm,
  };
}
