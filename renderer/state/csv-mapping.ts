import type { CsvMapping, CsvReading } from '../../core/contract/book-messages.ts';
import { inUnitOf } from '../../core/mockup/check-readings.ts';
import type { StepQuantity } from '../../core/mockup/step-shape.ts';
import { stepQuantity, steps } from '../../core/mockup/steps.ts';

/** What a column of the table can hold; `value` always stands in exactly one. */
export type ColumnRole = 'nothing' | 'value' | 'quantity' | 'position' | 'unit' | 'note' | 'taken_at';

export const columnRoles: readonly { readonly value: ColumnRole; readonly title: string }[] = [
  { value: 'nothing', title: 'Not used' },
  { value: 'value', title: 'The reading' },
  { value: 'quantity', title: 'What was read' },
  { value: 'position', title: 'Where it was read' },
  { value: 'unit', title: 'Unit' },
  { value: 'note', title: 'Note' },
  { value: 'taken_at', title: 'When' },
];

const columnKeys = {
  value: 'valueColumn',
  quantity: 'quantityColumn',
  position: 'positionColumn',
  unit: 'unitColumn',
  note: 'noteColumn',
  taken_at: 'takenAtColumn',
} as const satisfies Record<Exclude<ColumnRole, 'nothing'>, keyof CsvMapping>;

const namedRoles = Object.keys(columnKeys) as (keyof typeof columnKeys)[];

export function roleOf(mapping: CsvMapping, column: number): ColumnRole {
  return namedRoles.find((role) => mapping[columnKeys[role]] === column) ?? 'nothing';
}

/** Gives a column its role; a role stands in one column only, and the reading itself always in some. */
export function withRole(mapping: CsvMapping, column: number, role: ColumnRole): CsvMapping {
  const before = roleOf(mapping, column);
  if (before === 'value' && role !== 'value') return mapping;
  const freed = before === 'nothing' ? mapping : { ...mapping, [columnKeys[before]]: -1 };
  return role === 'nothing' ? freed : { ...freed, [columnKeys[role]]: column };
}

/** What the mapping still lacks before lines can be understood. */
export function mappingProblem(mapping: CsvMapping): string | null {
  if (mapping.quantityColumn < 0 && mapping.quantity.trim() === '') {
    return 'Say what was read: in a column of the table, or one quantity for all lines.';
  }
  return null;
}

/**
 * The mapping with one quantity for all lines. Its unit is taken where there is only one that it can have: a bare number of
 * a length or a volume may be metric or inch, and which is asked.
 */
export function withQuantity(mapping: CsvMapping, quantityId: string): CsvMapping {
  const known = stepQuantity(quantityId);
  const isTold = known !== null && known.kind !== 'length' && known.kind !== 'volume';
  return { ...mapping, quantity: quantityId, unit: isTold ? known.unit : mapping.unit };
}

/** What is asked before lines without a unit are stored. */
export function unitQuestion(withoutUnit: number): string | null {
  if (withoutUnit === 0) return null;
  const lines = withoutUnit === 1 ? '1 line has' : `${withoutUnit} lines have`;
  return `${lines} no unit: a bare number could be mm, inches or thou, cm3 or cubic inches. Say which unit it is.`;
}

/** Quantities that a table of numbers can bring: those read with an instrument. */
export const importableQuantities: readonly StepQuantity[] = steps
  .flatMap((step) => step.quantities)
  .filter((quantity) => quantity.kind !== 'picture' && quantity.kind !== 'words');

/** What is odd about a line although it can be stored. */
export function oddityOf(reading: CsvReading): string | null {
  const known = stepQuantity(reading.quantity);
  if (known === null) return 'no step of the checks knows this quantity: it is kept, but not used';
  const { positions } = known;
  if (positions !== 'each_port' && !positions.some((position) => position.id === reading.position)) {
    const places = positions.map((position) => position.id || 'none').join(', ');
    return `the checks know no such place (known: ${places}): it is kept, but not used`;
  }
  if (reading.unit === '' && known.unit !== '') return 'has no unit: say which';
  const value = inUnitOf(known, reading.value, reading.unit);
  if (value === null) {
    return `the checks want ${known.unit === '' ? 'no unit' : known.unit} and know no way there from "${reading.unit}": it is kept, but not used`;
  }
  const isFar = value < known.lower || value > known.upper;
  return isFar ? `is outside ${known.lower} to ${known.upper} ${known.unit}: a slip of the decimal mark?` : null;
}
