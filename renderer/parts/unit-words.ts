import { mmPerInch } from '../../core/units.ts';

/** Words for units as people type them, in lower case, with their size in the base unit of a field. */
export const millimetresPerUnit: Readonly<Record<string, number>> = {
  mm: 1,
  in: mmPerInch,
  inch: mmPerInch,
  inches: mmPerInch,
  '"': mmPerInch,
  thou: mmPerInch / 1000,
  µm: 0.001,
  μm: 0.001,
  um: 0.001,
};

export const cubicCentimetresPerUnit: Readonly<Record<string, number>> = {
  cm3: 1,
  'cm³': 1,
  cc: 1,
  ml: 1,
  in3: (mmPerInch / 10) ** 3,
  'in³': (mmPerInch / 10) ** 3,
};

export const degreesPerUnit: Readonly<Record<string, number>> = { deg: 1, '°': 1, degrees: 1 };

const writtenUnits: Readonly<Record<string, string>> = {
  '1': '',
  cm3: 'cm³',
  in3: 'in³',
  mm2: 'mm²',
  'deg mm2': 'deg·mm²',
  's mm2': 's·mm²',
  // The trade's own: 1 s·mm² for each cm³ is 1 s/m.
  's/m': 's·mm²/cm³',
};

/** A unit as it is shown and printed; the book and the formulas name it in plain letters. */
export function writtenUnit(unit: string): string {
  return writtenUnits[unit] ?? unit;
}
