/** One line of a CSV table (RFC 4180); a cell that a spreadsheet could take for a formula is marked as text. */
export function csvLine(cells: readonly unknown[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(value: unknown): string {
  if (value === null || value === undefined) return '';
  if (typeof value === 'number') return String(value);
  const plain = typeof value === 'string' ? value : JSON.stringify(value);
  const text = /^[=+\-@\t\r]/.test(plain) && !/^[+-]?\d/.test(plain) ? `'${plain}` : plain;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/**
 * Splits CSV text into rows of cells; quotes may hold delimiters and line ends.
 * @param limit rows after which reading stops
 */
export function parseCsv(text: string, delimiter: string, limit: number = Number.POSITIVE_INFINITY): string[][] {
  const rows: string[][] = [];
  let row: string[] = [];
  let cell = '';
  let isQuoted = false;
  const source = text.replace(/^\ufeff/, '');
  for (let at = 0; at < source.length; at += 1) {
    const character = source[at] as string;
    if (isQuoted) {
      if (character !== '"') cell += character;
      else if (source[at + 1] === '"') {
        cell += '"';
        at += 1;
      } else isQuoted = false;
    } else if (character === '"' && cell === '') isQuoted = true;
    else if (character === delimiter) {
      row.push(cell);
      cell = '';
    } else if (character === '\n' || character === '\r') {
      if (character === '\r' && source[at + 1] === '\n') at += 1;
      row.push(cell);
      if (row.length > 1 || row[0] !== '') rows.push(row);
      if (rows.length >= limit) return rows;
      row = [];
      cell = '';
    } else cell += character;
  }
  row.push(cell);
  if (row.length > 1 || row[0] !== '') rows.push(row);
  return rows;
}
