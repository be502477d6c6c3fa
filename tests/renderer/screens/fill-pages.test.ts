import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fillPages, rowLines } from '../../../renderer/screens/sheets/fill-pages.ts';

describe('rows on pages', () => {
  it('keeps every row once and in order, and no page is fuller than it may be', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 4 }), { maxLength: 80 }),
        fc.integer({ min: 8, max: 20 }),
        fc.integer({ min: 0, max: 6 }),
        (lines, most, forFoot) => {
          const rows = lines.map((height, index) => ({ height, index }));
          const pages = fillPages(rows, ({ height }) => height, most, most - forFoot);
          expect(pages.flat()).toEqual(rows);
          for (const [number, page] of pages.entries()) {
            const height = page.reduce((sum, row) => sum + row.height, 0);
            expect(height).toBeLessThanOrEqual(number === pages.length - 1 ? Math.max(most - forFoot, 4) : most);
          }
        },
      ),
    );
  });

  it('fills the first page before it begins a second one, and leaves at least one row for the last', () => {
    const rows = Array.from({ length: 9 }, (_, index) => index);
    expect(fillPages(rows, () => 1, 5, 5)).toEqual([
      [0, 1, 2, 3, 4],
      [5, 6, 7, 8],
    ]);
    expect(fillPages(rows.slice(0, 5), () => 1, 5, 3)).toEqual([[0, 1, 2, 3], [4]]);
    expect(fillPages([], () => 1, 5, 3)).toEqual([[]]);
  });

  it('never ends a page with a title', () => {
    const rows = ['title', 'a', 'b', 'title', 'c', 'd'];
    const isNoTitle = (row: string) => row !== 'title';
    expect(fillPages(rows, () => 1, 4, 3, isNoTitle)).toEqual([
      ['title', 'a', 'b'],
      ['title', 'c', 'd'],
    ]);
  });

  it('counts the lines of the cell that wraps most', () => {
    expect(rowLines([['short', 10]])).toBe(1);
    expect(rowLines([['', 10]])).toBe(1);
    expect(
      rowLines([
        ['twenty-one letters, so', 10],
        ['eleven lett', 10],
      ]),
    ).toBe(2.5);
  });
});
