import { createHash } from 'node:crypto';
import { v7 } from 'uuid';
import type { Id } from '../../core/contract/basics.ts';
import type { CsvMapping, CsvReading } from '../../core/contract/book-messages.ts';
import type { Handlers } from '../../core/contract/dispatch.ts';
import { type ReadingContent, readingContentSchema } from '../../core/contract/readings.ts';
import { InputError } from '../../core/errors.ts';
import { stepQuantity } from '../../core/mockup/steps.ts';
import { parseCsv } from '../archive/csv.ts';
import { addReading } from '../database/readings.ts';
import type { HandlerDependencies } from './dependencies.ts';

/** Rows that the mapping step shows. */
const shownRows = 20;
const mostRows = 50_000;

export function csvHandlers(deps: HandlerDependencies): Pick<Handlers, 'csv.inspect' | 'csv.import'> {
  return {
    async 'csv.inspect'({ text, as }) {
      refuseBinary(text);
      const mapping = guessMapping(text, as);
      const all = parseCsv(text, mapping.delimiter, mostRows + 1);
      const width = all.reduce((widest, row) => Math.max(widest, row.length), 0);
      const header = mapping.hasHeader ? (all[0] ?? []) : [];
      return {
        mapping,
        columns: Array.from({ length: width }, (_, index) => header[index]?.trim() || `column ${index + 1}`),
        rows: all.slice(mapping.hasHeader ? 1 : 0, shownRows + 1),
        rowCount: all.length - (mapping.hasHeader ? 1 : 0),
      };
    },
    /** Lines that can't be understood are told with their reason and left out; the others go in together. */
    async 'csv.import'({ importId, mockUpId, text, mapping, measuredBy, isRehearsal }) {
      refuseBinary(text);
      const rows = parseCsv(text, mapping.delimiter, mostRows + 1);
      const refused: { line: number; reason: string }[] = [];
      const readings: ReadingContent[] = [];
      const understood: CsvReading[] = [];
      const takenAt = new Date().toISOString();
      rows.forEach((row, index) => {
        if (index === 0 && mapping.hasHeader) return;
        const made = toReading(row, mapping, { id: rowId(importId, index), mockUpId, measuredBy, takenAt });
        if (typeof made === 'string') refused.push({ line: index + 1, reason: made });
        else {
          readings.push(made);
          if (understood.length < shownRows) understood.push(...asUnderstood(index + 1, made));
        }
      });
      if (rows.length > mostRows)
        refused.push({ line: mostRows + 1, reason: `only the first ${mostRows} lines are read` });
      const withoutUnit = readings.filter(lacksUnit).length;
      if (isRehearsal) return { added: readings.length, refused, withoutUnit, understood };
      const added = deps.books.book().write((writer) => {
        let count = 0;
        for (const reading of readings) {
          if (writer.get('SELECT 1 AS there FROM reading WHERE id = ?', reading.id) !== undefined) continue;
          addReading(writer, reading);
          count += 1;
        }
        return count;
      });
      deps.announce({ topic: 'mock_up_changed', id: mockUpId });
      return { added, refused, withoutUnit, understood };
    },
  };
}

/** A spreadsheet's own file, or text in an encoding with two bytes a character, would be cut into rubbish. */
function refuseBinary(text: string): void {
  if (!text.includes('\u0000')) return;
  throw new InputError({
    code: 'inconsistent',
    field: 'text',
    value: null,
    allowed: 'plain text as UTF-8',
    message:
      'This file is no plain table. In the program that made it, save it as CSV with UTF-8 and choose that file.',
  });
}

function lacksUnit({ subject }: ReadingContent): boolean {
  return subject.what === 'quantity' && subject.unit === '' && (stepQuantity(subject.quantity)?.unit ?? '') !== '';
}

function asUnderstood(line: number, { subject, note }: ReadingContent): CsvReading[] {
  if (subject.what !== 'quantity') return [];
  const { quantity, position, value, unit } = subject;
  return [{ line, quantity, position, value, unit, note }];
}

/** An id that is the same whenever the same line of the same import comes again. */
function rowId(importId: Id, index: number): Id {
  const msecs = Number.parseInt(importId.replaceAll('-', '').slice(0, 12), 16);
  return v7({
    msecs,
    seq: index,
    random: createHash('sha256').update(`${importId}/${index}`).digest().subarray(0, 16),
  });
}

interface Common {
  readonly id: Id;
  readonly mockUpId: Id;
  readonly measuredBy: string;
  readonly takenAt: string;
}

/** @returns the reading, or why the line can't be one */
function toReading(row: readonly string[], mapping: CsvMapping, common: Common): ReadingContent | string {
  const cell = (column: number, otherwise: string) => (column < 0 ? otherwise : (row[column] ?? '').trim());
  const typedText = cell(mapping.valueColumn, '');
  const value = parseNumber(typedText, mapping.decimal);
  if (value === null) return `"${typedText.slice(0, 40)}" is not a number with a decimal ${mapping.decimal}`;
  const takenAtText = cell(mapping.takenAtColumn, '');
  const takenAtMs = takenAtText === '' ? null : parseTime(takenAtText);
  if (takenAtMs !== null && Number.isNaN(takenAtMs))
    return `"${takenAtText.slice(0, 40)}" is not a time such as 2026-03-01 14:05`;
  const parsed = readingContentSchema.safeParse({
    id: common.id,
    mockUpId: common.mockUpId,
    subject: {
      what: 'quantity',
      quantity: cell(mapping.quantityColumn, mapping.quantity),
      position: cell(mapping.positionColumn, ''),
      value,
      unit: cell(mapping.unitColumn, '') || mapping.unit,
      typedText,
    },
    signal: 'typed',
    takenAt: takenAtMs === null ? common.takenAt : new Date(takenAtMs).toISOString(),
    measuredBy: common.measuredBy,
    note: cell(mapping.noteColumn, ''),
  });
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  return `${issue?.path.at(-1)?.toString() ?? 'the line'}: ${issue?.message ?? 'is not as expected'}`;
}

/**
 * A day or a time with the year first, as its own zone says or else as this computer's. Any other order is refused:
 * whether 03/04 is in March or in April can't be told, and a guess would be kept for good.
 * @returns milliseconds, or NaN
 */
export function parseTime(text: string): number {
  const parts = /^(\d{4})-(\d\d)-(\d\d)(?:[T ](\d\d:\d\d(?::\d\d(?:[.,]\d+)?)?)\s*(Z|[+-]\d\d:?\d\d)?)?$/.exec(text);
  if (parts === null) return Number.NaN;
  const [, year, month, day, time = '00:00', zone = ''] = parts;
  const parsed = Date.parse(`${year}-${month}-${day}T${time.replace(',', '.')}${zone}`);
  // 31 February would pass for 3 March.
  return new Date(Number(year), Number(month) - 1, Number(day)).getDate() === Number(day) ? parsed : Number.NaN;
}

/** A number as written in the table; the other sign is never taken for the decimal one, nor dropped. */
export function parseNumber(text: string, decimal: CsvMapping['decimal']): number | null {
  const pattern = decimal === 'comma' ? /^[+-]?\d+(,\d+)?$/ : /^[+-]?\d+(\.\d+)?([eE][+-]?\d+)?$/;
  // Programs that write figures for people use the true minus sign.
  const plain = text.replace(/^\u2212/, '-');
  return pattern.test(plain) ? Number(plain.replace(',', '.')) : null;
}

/**
 * First proposal of the mapping step; the user looks at it before anything is stored.
 * @param as how the user wants the text cut, or null where it is to be guessed
 */
export function guessMapping(text: string, as: Pick<CsvMapping, 'delimiter' | 'hasHeader'> | null = null): CsvMapping {
  const delimiters = [';', '\t', ','] as const;
  const widths = delimiters.map((delimiter) => parseCsv(text, delimiter, 5).map((row) => row.length));
  const best = widths.findIndex((lengths) => (lengths[0] ?? 0) > 1 && lengths.every((length) => length === lengths[0]));
  const delimiter = as?.delimiter ?? delimiters[best < 0 ? 2 : best] ?? ',';
  const rows = parseCsv(text, delimiter, 50);
  const looksNumeric = (cell: string) => /^[+\u2212-]?\d+([.,]\d+)?$/.test(cell.trim());
  const hasHeader = as?.hasHeader ?? (rows.length > 1 && !(rows[0] ?? []).some(looksNumeric));
  const body = hasHeader ? rows.slice(1) : rows;
  const header = hasHeader ? (rows[0] ?? []).map((cell) => cell.trim().toLowerCase()) : [];
  const named = (...names: string[]) => header.findIndex((cell) => names.includes(cell.replace(unitInBrackets, '')));
  const numeric = (body[0] ?? []).findIndex((_, column) => body.every((row) => looksNumeric(row[column] ?? '')));
  const valueColumn = named('value', 'reading', 'measured', 'result');
  const readingColumn = valueColumn >= 0 ? valueColumn : Math.max(0, numeric);
  const cells = body.map((row) => row[readingColumn] ?? '');
  return {
    delimiter,
    // A comma inside a cell is a decimal one whatever parts the cells: "1,234" as a thousand is refused, not guessed.
    decimal: cells.some((cell) => cell.includes(',')) ? 'comma' : 'point',
    hasHeader,
    valueColumn: readingColumn,
    quantityColumn: named('quantity', 'what', 'name'),
    quantity: '',
    unitColumn: named('unit'),
    unit: unitInTitle(header[readingColumn] ?? ''),
    positionColumn: named('position', 'place', 'where'),
    noteColumn: named('note', 'notes', 'remark'),
    takenAtColumn: named('taken_at', 'time', 'date'),
  };
}

const unitInBrackets = /\s*[([]\s*([^()[\]]+?)\s*[)\]]$/;

/** The unit that a column's title says in brackets at its end: "gap (mm)"; empty where it says none that is known. */
function unitInTitle(title: string): string {
  const unit = unitInBrackets.exec(title)?.[1] ?? '';
  return ['mm', 'in', 'thou', 'deg', 'cm3'].includes(unit) ? unit : '';
}
