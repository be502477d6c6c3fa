import { type ComparedMockUp, type ComparedRow, compareGroups, differenceFrom } from '../../../core/mockup/compare.ts';
import { shownTime } from '../../parts/time-text.ts';
import type { Preferences } from '../../state/preference-list.ts';
import { fillPages } from '../sheets/fill-pages.ts';
import {
  type CompareSheetCell,
  type CompareSheetData,
  type CompareSheetRow,
  sheetCautions,
} from '../sheets/sheet-data.ts';
import { cellExpanded, cellText, columnTitle, differenceText, unitOfRow } from './compare-words.ts';

/** Rows of two lines that a page holds beside its head and foot. */
const rowsOnPage = { A4: 26, Letter: 23 } as const;
/** The last page also holds how to read it, and the cautions. */
const rowsOnLastPage = { A4: 22, Letter: 19 } as const;

interface CompareSheetInput {
  readonly mockUps: readonly ComparedMockUp[];
  readonly rows: readonly ComparedRow[];
  readonly preferences: Preferences;
  readonly version: string;
  readonly printedAt: string;
}

/** The compare sheet: the rows that are shown, in the order of the columns. */
export function compareSheetData(input: CompareSheetInput): CompareSheetData {
  const { mockUps, rows, preferences, version, printedAt } = input;
  const paper = preferences.paperSize;
  const all = compareGroups.flatMap((group): CompareSheetRow[] => {
    const own = rows.filter((row) => row.group === group);
    return own.length === 0
      ? []
      : [{ quantity: group, isGroup: true, cells: [] }, ...own.map((row) => sheetRow(row, preferences))];
  });
  const builds = [...new Set(mockUps.map(({ whole }) => whole.build.title))];
  return {
    kind: 'compare',
    paper,
    title: 'Side by side',
    subtitle: mockUps.map(({ whole }) => whole.barrel.name).join(', '),
    job: [
      { name: builds.length === 1 ? 'Job' : 'Jobs', value: builds.join(', ') },
      { name: 'Measured by', value: [...new Set(mockUps.map(({ whole }) => whole.build.measuredBy))].join(', ') },
      { name: 'Reference', value: mockUps[0] === undefined ? '' : columnTitle(mockUps[0]) },
    ],
    columns: mockUps.map(columnTitle),
    pages: fillPages(
      all,
      () => 1,
      rowsOnPage[paper],
      rowsOnLastPage[paper],
      ({ isGroup }) => !isGroup,
    ),
    method: [
      'The first column is the reference; below each other value stands the difference from it.',
      '"Real": the difference is larger than its expanded uncertainty (k = 2). "Within U": it may be chance.',
      "Disc: conforms to its limits. Square on its corner: does not conform. Open ring: can't be decided.",
    ],
    cautions: sheetCautions,
    footer: `Portsight ${version}, drawn ${shownTime(printedAt)}`,
  };
}

function sheetRow(row: ComparedRow, preferences: Preferences): CompareSheetRow {
  const unit = row.isCrankAngle ? '' : unitOfRow(row, preferences);
  return {
    quantity: unit === '' ? row.title : `${row.title}, ${unit}`,
    isGroup: false,
    cells: row.cells.map(({ value, judged }, index): CompareSheetCell => {
      const difference = index === 0 ? null : differenceFrom(row, 0, index);
      return {
        value:
          value === null
            ? 'open'
            : `${cellText(row, value.value, preferences)} ${cellExpanded(row, value, preferences)}`.trim(),
        difference:
          difference === null
            ? ''
            : `${differenceText(row, difference.difference, preferences)} ${difference.distinguishable ? 'real' : 'within U'}`,
        verdict: judged.verdict,
      };
    }),
  };
}
