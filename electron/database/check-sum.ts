import { crc32 } from 'node:zlib';

export type SqlValue = string | number | null | Uint8Array;
export type SqlRow = Record<string, SqlValue>;

/**
 * Check value over a row: SQLite itself doesn't notice a flipped bit inside a stored value.
 * Columns without a value don't count, so that a column added later leaves old rows valid.
 * @param row all columns of the row by name; `check_sum` itself is passed over
 * @returns CRC-32 over names and values in the order of the names, 0 .. 2^32 - 1
 */
export function rowCheckSum(row: SqlRow): number {
  return checkSumOver(sortedColumns(row), row);
}

/** The same for many rows of one query, which have the same columns: their order is looked up once. */
export function rowCheckSums(rows: readonly SqlRow[]): number[] {
  const [first] = rows;
  if (first === undefined) return [];
  const columns = sortedColumns(first);
  return rows.map((row) => checkSumOver(columns, row));
}

function checkSumOver(columns: readonly string[], row: SqlRow): number {
  let text = '';
  let sum = 0;
  for (const name of columns) {
    const value = row[name];
    if (value === null || value === undefined) continue;
    if (typeof value === 'object') sum = crc32(value, sum);
    // One text for one call: a call for each column would take longer than the sum itself.
    else text += `${name}=${value}${columnEnd}`;
  }
  return crc32(text, sum);
}

/** Keeps `ab` + `c` and `a` + `bc` apart; no text of a person holds it. */
const columnEnd = '\u001f';

/** Sorting takes longer than the sum, and there are only as many kinds of row as tables. */
const knownOrders = new Map<string, readonly string[]>();

function sortedColumns(row: SqlRow): readonly string[] {
  const names = Object.keys(row);
  const key = names.join();
  const known = knownOrders.get(key);
  if (known !== undefined) return known;
  const sorted = names.filter((name) => name !== 'check_sum').sort(byCodeUnit);
  knownOrders.set(key, sorted);
  return sorted;
}

/** The same order on every computer, whatever its language. */
function byCodeUnit(first: string, second: string): number {
  return first < second ? -1 : 1;
}
