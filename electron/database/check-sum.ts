import { crc32 } from 'node:zlib';

export type SqlValue = string | number | null | Uint8Array;
export type SqlRow = Record<string, SqlValue>;

/**
 * Check value over a row: SQLite itself doesn't notice a flipped bit inside a stored value.
 * Columns without a value don't count, so that a column added later leaves old rows valid.
 * @param row all columns of the row by name, without `check_sum` itself
 * @returns CRC-32 over names and values in the order of the names, 0 .. 2^32 - 1
 */
export function rowCheckSum(row: SqlRow): number {
  const plain: (string | number)[] = [];
  let sum = 0;
  for (const name of Object.keys(row).sort(byCodeUnit)) {
    if (name === 'check_sum') continue;
    const value = row[name];
    if (value === null || value === undefined) continue;
    if (typeof value === 'object') sum = crc32(value, sum);
    else plain.push(name, value);
  }
  return crc32(JSON.stringify(plain), sum);
}

/** The same order on every computer, whatever its language. */
function byCodeUnit(first: string, second: string): number {
  return first < second ? -1 : 1;
}
