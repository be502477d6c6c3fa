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

/** Compares every row with its check sum: finds what SQLite's own check can't see. @returns findings, empty where sound */
export function checkRows(reader: BookReader): string[] {
  const findings: string[] = [];
  for (const table of checkedTables) {
    let damaged = 0;
    try {
      for (const row of reader.each<SqlRow>(`SELECT * FROM ${table}`)) if (!rowIsSound(row)) damaged += 1;
    } catch (error) {
      findings.push(`${table} can't be read to its end: ${error instanceof Error ? error.message : String(error)}`);
    }
    if (damaged > 0) findings.push(`${damaged} rows of ${table} don't fit their check sum`);
  }
  return findings;
}
