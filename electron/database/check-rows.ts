import { setImmediate } from 'node:timers/promises';
import type { SqlRow } from './check-sum.ts';
import type { BookReader } from './connection.ts';
import { rowIsSound } from './rows.ts';

const checkedTables = [
  'change_log',
  'customer',
  'customer_version',
  'part',
  'build',
  'mock_up',
  'picture',
  'wheel_setup',
  'wheel_setup_state',
  'reading',
  'reading_mark',
  'sheet',
];

type NumberedRow = SqlRow & { 'row number': number };
/** Rows looked at before other work gets its turn. */
const rowsAtOnce = 200;

/** Compares every row with its check sum: finds what SQLite's own check can't see. @returns findings, empty where sound */
export async function checkRows(reader: BookReader): Promise<string[]> {
  const findings: string[] = [];
  for (const table of checkedTables) {
    let damaged = 0;
    try {
      for (let last: number | null = 0; last !== null; ) {
        const rows: NumberedRow[] = reader.all<NumberedRow>(
          `SELECT rowid AS "row number", * FROM ${table} WHERE rowid > ? ORDER BY rowid LIMIT ${rowsAtOnce}`,
          last,
        );
        for (const { 'row number': _, ...row } of rows) if (!rowIsSound(row as SqlRow)) damaged += 1;
        last = rows.at(-1)?.['row number'] ?? null;
        // Stamps get their turn in between.
        await setImmediate();
      }
    } catch (error) {
      findings.push(`${table} can't be read to its end: ${error instanceof Error ? error.message : String(error)}`);
    }
    if (damaged > 0) findings.push(`${damaged} rows of ${table} don't fit their check sum`);
  }
  return findings;
}
