import type { ComparedCell, ComparedMockUp, ComparedRow } from '../../../core/mockup/compare.ts';
import { routeWords, sharesOf } from '../../../core/provenance.ts';
import { coverageFactor, type Value } from '../../../core/uncertainty/value.ts';
import { shownAngle } from '../../drawings/timing-data.ts';
import { expandedText, figureText, unitText } from '../../parts/figure-text.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import type { Preferences } from '../../state/preference-list.ts';

type Units = Pick<Preferences, 'lengthUnit' | 'decimalMark'>;
type Shown = Pick<ComparedRow, 'isCrankAngle' | 'unit' | 'decimals'>;

/** A figure of a row without its unit, which stands in the row's title; an edge with its dead centre. */
export function cellText(row: Shown, value: number, units: Units): string {
  if (row.isCrankAngle) {
    const text = shownAngle(value, row.decimals);
    return units.decimalMark === 'comma' ? text.replace('.', ',') : text;
  }
  return withoutUnit(figureText(value, row.unit, row.decimals, units));
}

/** "± 0.24"; empty where everything behind it counts as exact. */
export function cellExpanded(row: Shown, value: Value, units: Units): string {
  if (value.sigma === 0) return '';
  return `± ${expandedText(value, row.unit, row.unit === 'deg' ? row.decimals + 1 : row.decimals, units)}`;
}

/** A difference with its sign. */
export function differenceText(row: Shown, difference: number, units: Units): string {
  const places = row.unit === 'deg' ? row.decimals + 1 : row.decimals;
  const text = withoutUnit(figureText(Math.abs(difference), row.unit, places, units));
  return /[1-9]/.test(text) ? `${difference < 0 ? '−' : '+'}${text}` : text;
}

export function unitOfRow(row: Shown, units: Units): string {
  return unitText(row.unit, units);
}

/** Name of a column: the barrel, and the mock-up where its name doesn't say the barrel already. */
export function columnTitle({ whole }: ComparedMockUp): string {
  const { barrel, mockUp } = whole;
  return mockUp.name.includes(barrel.name) ? mockUp.name : `${barrel.name}, ${mockUp.name}`;
}

export function originOfCell(row: ComparedRow, cell: ComparedCell, column: string, units: Units): Origin | null {
  const { value } = cell;
  if (value === null) return null;
  const terms = value.contributions.filter(({ effect }) => effect !== 0);
  const unit = unitOfRow(row, units);
  return {
    title: `${row.title}, ${column}`,
    value: [cellText(row, value.value, units), cellExpanded(row, value, units), row.isCrankAngle ? '' : unit]
      .filter((part) => part !== '')
      .join(' '),
    how: row.how,
    source: row.source,
    uncertaintyRoute:
      value.sigma === 0
        ? 'Everything behind it counts as exact here.'
        : `U = k u with k = ${coverageFactor}, found ${[...new Set(terms.map(({ route }) => routeWords[route]))].join('; ')}.`,
    readings: [],
    contributions: sharesOf(terms).map((term) => ({
      what: term.from,
      standardUncertainty: withoutUnit(figureText(Math.abs(term.effect), row.unit, row.decimals + 2, units)),
      why: `${routeWords[term.route]}, ${(100 * term.share).toFixed(0)} % of the variance`,
    })),
    remarks: [
      cell.judged.note,
      'The readings themselves stand with the mock-up: its name at the head of the column leads there.',
    ].filter((remark) => remark !== ''),
  };
}

function withoutUnit(text: string): string {
  return text.split(' ')[0] ?? '';
}
