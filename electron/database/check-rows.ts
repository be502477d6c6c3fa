import type { SqlRow } from './check-sum.ts';
import type { BookReader } from './connection.ts';
import { rowIsSound } from './rows.ts';
import { createSlices, throwIfStopped, unwatchedWork, type Work } from './work.ts';

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
/** Rows fetched by one query. */
const rowsAtOnce = 200;

/**
 * Compares every row with its check sum: finds what SQLite's own check can't see.
 * @returns findings, empty where sound
 * @throws EnvironmentError `stopped`
 */
export async function checkRows(reader: BookReader, work: Work = unwatchedWork): Promise<string[]> {
  const findings: string[] = [];
  const slices = createSlices(work);
  const expected = new Map(checkedTables.map((table) => [table, highestRow(reader, table)]));
  const all = [...expected.values()].reduce((sum, rows) => sum + rows, 0);
  let before = 0;
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
        if (!slices.isOver()) continue;
        work.report(
          'Comparing every row with its check sum; stamping can go on',
          all === 0 ? null : (before + (last ?? 0)) / all,
        );
        await slices.pause();
      }
    } catch (error) {
      throwIfStopped(work);
      findings.push(`${table} can't be read to its end: ${error instanceof Error ? error.message : String(error)}`);
    }
    before += expected.get(table) ?? 0;
    if (damaged > 0) findings.push(`${damaged} rows of ${table} don't fit their check sum`);
  }
  return findings;
}

/** Rows are numbered from 1 with few gaps, and counting them would read the whole table. */
function highestRow(reader: BookReader, table: string): number {
  try {
    return reader.get<{ last: number | null }>(`SELECT max(rowid) AS last FROM ${table}`)?.last ?? 0;
  } catch {
    // Damage is told where the rows are read.
    return 0;
  }
}
