import type { CheckRow } from '../../../core/mockup/check-rows.ts';
import type { Stamp } from '../../../core/mockup/stamps.ts';
import { placeTitle, stepQuantity } from '../../../core/mockup/steps.ts';
import { fewReadingsRemark, routeWords, sharesOf } from '../../../core/provenance.ts';
import type { Value } from '../../../core/uncertainty/value.ts';
import { expandedText, figureText } from '../../parts/figure-text.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import { shownTime } from '../../parts/time-text.ts';
import type { Preferences } from '../../state/preference-list.ts';

/** Where a result of the checks comes from: readings, way, uncertainty budget, what the trade says beside it. */
export function originOfCheck(row: CheckRow, preferences: Preferences): Origin {
  const { value, unit, decimals } = row;
  return {
    title: row.title,
    value:
      value === null
        ? 'open'
        : `${figureText(value.value, unit, decimals, preferences)} ± ${expandedText(value, unit, decimals, preferences)}`,
    how: row.how,
    source: row.source,
    uncertaintyRoute: value === null ? 'Nothing is measured yet.' : routesOf(value, unit, decimals, preferences),
    readings: row.stamps.map((stamp) => ({
      what: placeOf(stamp),
      value: stamp.current.subject.what === 'quantity' ? stamp.current.subject.typedText : '',
      note: [
        shownTime(stamp.root.takenAt),
        stamp.root.measuredBy,
        stamp.struck ? 'struck out' : stamp.isVoid ? 'void' : stamp.doubtful ? 'in doubt' : '',
        stamp.reason,
      ]
        .filter((part) => part !== '')
        .join(', '),
    })),
    contributions: sharesOf((value?.contributions ?? []).filter(({ effect }) => effect !== 0)).map((term) => ({
      what: term.from,
      standardUncertainty: figureText(Math.abs(term.effect), unit, decimals + 1, preferences),
      why: `${routeWords[term.route]}, ${(100 * term.share).toFixed(0)} % of the variance`,
    })),
    remarks: [
      row.remark,
      value === null ? '' : (fewReadingsRemark(value.degreesOfFreedom) ?? ''),
      value !== null && value.sigma === 0 ? 'Its inputs carry no uncertainty: they were entered, not measured.' : '',
      ...row.advice.map(({ title, statement, source }) => `${title}: ${statement} Source: ${source}.`),
    ].filter((remark) => remark !== ''),
  };
}

function routesOf(value: Value, unit: string, decimals: number, preferences: Preferences): string {
  const routes = [
    ...new Set(value.contributions.filter(({ effect }) => effect !== 0).map(({ route }) => routeWords[route])),
  ];
  return `U = k u with k = 2; u = ${figureText(value.sigma, unit, decimals + 1, preferences)}, found ${routes.join('; ')}.`;
}

function placeOf(stamp: Stamp): string {
  const { subject } = stamp.current;
  if (subject.what !== 'quantity') return '';
  const described = stepQuantity(subject.quantity);
  if (described === null) return subject.quantity;
  const listed = described.positions === 'each_port' ? [] : described.positions;
  const position = listed.find(({ id }) => id === subject.position) ?? {
    id: subject.position,
    title: subject.position,
  };
  return placeTitle(described, position);
}
