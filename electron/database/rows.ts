import { BookError } from './book-errors.ts';
import { rowCheckSum, rowCheckSums, type SqlRow, type SqlValue } from './check-sum.ts';
import type { BookWriter } from './connection.ts';

/** Stores a whole row with its check sum. Table and column names are ours, never a user's. */
export function insertRow(writer: BookWriter, table: string, row: SqlRow): void {
  const names = Object.keys(row);
  const values = names.map((name) => row[name] as SqlValue);
  writer.run(
    `INSERT INTO ${table} (${names.join(', ')}, check_sum) VALUES (${names.map(() => '?').join(', ')}, ?)`,
    ...values,
    rowCheckSum(row),
  );
}

/** Replaces an editable row, check sum included. */
export function updateRow(writer: BookWriter, table: string, row: SqlRow & { id: string }): void {
  const names = Object.keys(row).filter((name) => name !== 'id');
  writer.run(
    `UPDATE ${table} SET ${names.map((name) => `${name} = ?`).join(', ')}, check_sum = ? WHERE id = ?`,
    ...names.map((name) => row[name] as SqlValue),
    rowCheckSum(row),
    row.id,
  );
}

/** True where the row is as it was stored; the row must hold all its columns. */
export function rowIsSound(row: SqlRow): boolean {
  return row['check_sum'] === rowCheckSum(row);
}

/**
 * Passes a row on if it is as it was stored.
 * @throws BookError `row_damaged`
 */
export function soundRow<Row extends object>(row: Row, what: string): Row {
  if (!rowIsSound(row as unknown as SqlRow)) throw damaged(what);
  return row;
}

/** The same for all rows of one query. @throws BookError `row_damaged` where any of them is damaged */
export function soundRows<Row extends object>(rows: Row[], what: string): Row[] {
  const sums = rowCheckSums(rows as unknown as SqlRow[]);
  rows.forEach((row, index) => {
    if ((row as unknown as SqlRow)['check_sum'] !== sums[index]) throw damaged(what);
  });
  return rows;
}

function damaged(what: string): BookError {
  return new BookError(
    'row_damaged',
    `${what} was damaged on the disk: its check sum does not fit.`,
    'Restore a backup from before the damage; nothing was changed.',
  );
}

export function notFound(what: string): BookError {
  return new BookError(
    'not_found',
    `${what} is not in the book.`,
    'Load the page again; it may have been opened from another book.',
  );
}

export function idTaken(what: string): BookError {
  return new BookError(
    'id_taken',
    `${what} was already stored with other content, so it was not stored again.`,
    'Load the page again and enter it anew.',
  );
}
