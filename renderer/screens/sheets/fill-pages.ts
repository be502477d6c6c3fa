/**
 * Rows of a table on as many pages as they need, each page as full as it may be.
 * @param linesOf height of a row in single lines
 * @param mostLines lines that a page holds
 * @param mostOnLast lines that the last page holds beside what stands below the table; never more than `mostLines`
 * @param mayEndPage false for a row that must not stand last on its page, such as the title of a group
 */
export function fillPages<R>(
  rows: readonly R[],
  linesOf: (row: R) => number,
  mostLines: number,
  mostOnLast: number,
  mayEndPage: (row: R) => boolean = () => true,
): readonly (readonly R[])[] {
  const pages: R[][] = [];
  let rest = [...rows];
  while (heightOf(rest, linesOf) > mostOnLast && rest.length > 1) {
    let count = 0;
    let lines = 0;
    // At least one row a page, and at least one left for the last.
    for (const row of rest.slice(0, -1)) {
      lines += linesOf(row);
      if (count > 0 && lines > mostLines) break;
      count += 1;
    }
    while (count > 1 && !mayEndPage(rest[count - 1] as R)) count -= 1;
    pages.push(rest.slice(0, count));
    rest = rest.slice(count);
  }
  return [...pages, rest];
}

function heightOf<R>(rows: readonly R[], linesOf: (row: R) => number): number {
  return rows.reduce((sum, row) => sum + linesOf(row), 0);
}

/** What a further line of a wrapped cell adds, in rows of a single line. */
const furtherLine = 0.75;

/** Height of a table's row in rows of a single line, from the texts of its cells and the letters that each column holds. */
export function rowLines(cells: readonly (readonly [text: string, lettersOnLine: number])[]): number {
  const lines = cells.map(([text, letters]) => Math.ceil(text.length / letters));
  return 1 + furtherLine * (Math.max(1, ...lines) - 1);
}
