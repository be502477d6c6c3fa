import type { CheckResults, StepResult } from '../../../core/mockup/check-results.ts';
import type { CheckRow } from '../../../core/mockup/check-rows.ts';
import { isUsable, type Stamp } from '../../../core/mockup/stamps.ts';
import { expandedText, figureText, unitText } from '../../parts/figure-text.ts';
import { limitsText } from '../../parts/limits-text.ts';
import { stepStateWords } from '../../parts/step-mark.tsx';
import type { Preferences } from '../../state/preference-list.ts';
import { rowLines } from './fill-pages.ts';
import type { ChecksSheetData, ChecksSheetRow, ChecksSheetStep } from './sheet-data.ts';
import { type SheetInput, sheetHead } from './timing-sheet-data.ts';

/** Cautions that stand on every sheet of checks. */
const checksCautions: readonly string[] = [
  'Readings hold for the parts, gaskets and torque of this mock-up; after any change measure again.',
  "Clearances, torque, wear limits and ignition follow the maker's manual, the rules that apply to the engine, and a qualified engine builder.",
  'What is skipped, void or in doubt above was not checked: look at it before the engine is run.',
];

/** Height that a page has for its table, in single lines; on the last one the method stands below it. */
const linesOnPage = { A4: 43, Letter: 39 } as const;
const linesOfMethod = 4;
const headingLines = 1.2;
/** Letters that fit into a column before it wraps. */
const columnLetters = { quantity: 44, readings: 18, limits: 26 } as const;
/** Readings printed with a result; what is more stands in the book. */
const mostReadings = 8;

/** Everything read at the checks, with what follows from it, as text. @returns a sentence where there is nothing yet */
export function checksSheetData(checks: CheckResults, input: SheetInput): ChecksSheetData | string {
  if (checks.steps.every(({ places }) => places.every(({ isRead }) => !isRead))) {
    return 'Nothing was read with hand instruments yet: the cards of Checks fill this sheet.';
  }
  return {
    kind: 'checks',
    ...sheetHead('Checks', input),
    pages: pagesOf(
      checks.steps.map((step) => stepOnPaper(step, input.preferences)),
      linesOnPage[input.preferences.paperSize],
    ),
    cautions: checksCautions,
    method: [
      'Result: mean of the readings that count; readings struck out, void or in doubt stay in the book.',
      'U = k u with k = 2: scatter of repeats, step of the scale, calibration of the instrument; JCGM 100:2008 (GUM).',
      "Verdict: conforms or does not conform where the value clears its limit by more than U (ISO 14253-1), else it can't be decided.",
    ],
  };
}

function stepOnPaper(result: StepResult, preferences: Preferences): ChecksSheetStep {
  const { step, state, reason } = result;
  const rows = result.rows.filter(({ value, judged }) => value !== null || judged.specification !== null);
  return {
    title: step.title,
    state: reason === '' ? stepStateWords[state] : `${stepStateWords[state]}: ${reason}`,
    notes: wordsOf(result),
    rows: rows.map((row) => rowOnPaper(row, preferences)),
  };
}

/** What was written down at a step: marks, and how many photographs there are. */
function wordsOf({ places }: StepResult): readonly string[] {
  return places.flatMap(({ quantity, stamps }) => {
    const standing = stamps.filter(isUsable);
    if (quantity.kind === 'words') return standing.map(({ current }) => current.note || typedTextOf(current.subject));
    if (quantity.kind !== 'picture' || standing.length === 0) return [];
    return [`${standing.length} ${standing.length === 1 ? 'photograph' : 'photographs'} in the book`];
  });
}

function rowOnPaper(row: CheckRow, preferences: Preferences): ChecksSheetRow {
  const { value, unit, decimals, judged } = row;
  const { specification } = judged;
  const limits = limitsText(specification);
  return {
    quantity: row.title,
    readings: readingsText(row.stamps),
    value: value === null ? 'not measured' : figureText(value.value, unit, decimals, preferences),
    expanded: value === null ? '' : expandedText(value, unit, decimals, preferences),
    limits:
      limits === null || specification === null
        ? ''
        : // Limits are kept in millimetres whatever the readings are shown in.
          [
            `${limits} ${unit === 'mm' ? 'mm' : unitText(unit, preferences)}`.trim(),
            specification.source,
            specification.sourceDate,
          ]
            .filter((part) => part !== '')
            .join(', '),
    verdict: judged.verdict,
  };
}

/** Readings of one place as they were typed; a result of several places refers to the lines above it. */
function readingsText(stamps: readonly Stamp[]): string {
  const subjects = stamps
    .filter(isUsable)
    .flatMap(({ current: { subject } }) => (subject.what === 'quantity' ? [subject] : []));
  const places = new Set(subjects.map(({ quantity, position }) => `${quantity} ${position}`));
  if (places.size !== 1) return '';
  const texts = subjects.map(({ typedText }) => typedText);
  const more = texts.length - mostReadings;
  return more > 0 ? `${texts.slice(0, mostReadings).join('; ')}; ${more} more` : texts.join('; ');
}

function typedTextOf(subject: Stamp['current']['subject']): string {
  return subject.what === 'quantity' ? subject.typedText : '';
}

function linesOf({ quantity, readings, limits }: ChecksSheetRow): number {
  return rowLines([
    [quantity, columnLetters.quantity],
    [readings, columnLetters.readings],
    [limits, columnLetters.limits],
  ]);
}

/** Steps on as many pages as they need; one that doesn't fit any more goes on overleaf under its title again. */
function pagesOf(steps: readonly ChecksSheetStep[], mostLines: number): readonly (readonly ChecksSheetStep[])[] {
  const pages: ChecksSheetStep[][] = [[]];
  let free = mostLines;
  const place = (step: ChecksSheetStep): void => {
    pages.at(-1)?.push(step);
  };
  for (const step of steps) {
    const [first] = step.rows;
    const least = headingLines + step.notes.length + (first === undefined ? 0 : linesOf(first));
    // A heading alone at the foot of a page helps nobody.
    if (least > free) {
      pages.push([]);
      free = mostLines;
    }
    free -= headingLines + step.notes.length;
    let part: ChecksSheetStep = { ...step, rows: [] };
    for (const row of step.rows) {
      if (linesOf(row) > free) {
        place(part);
        pages.push([]);
        free = mostLines - headingLines;
        part = { ...step, state: 'continued', notes: [], rows: [] };
      }
      free -= linesOf(row);
      part = { ...part, rows: [...part.rows, row] };
    }
    place(part);
  }
  if (free < linesOfMethod) pages.push([]);
  return pages;
}
