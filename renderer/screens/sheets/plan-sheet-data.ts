import type { StoredPlan } from '../../../core/contract/plans.ts';
import { InputError } from '../../../core/errors.ts';
import { type PlannedRow, plannedRows } from '../../../core/mockup/planned-rows.ts';
import { specificationsOf } from '../../../core/mockup/timing-result.ts';
import { groupTitles, voidedInWords, voidPlan } from '../../../core/mockup/void-plan.ts';
import { sizesAfter } from '../../../core/planner/effects.ts';
import { isNoChange, orderOfWork } from '../../../core/planner/order-of-work.ts';
import { voidedBy } from '../../../core/planner/void-table.ts';
import { figureTitle, shownDifference, shownExpanded, shownFigure } from '../../parts/figure-words.ts';
import { limitsWithUnit } from '../../parts/limits-text.ts';
import { workText } from '../../parts/plan-words.ts';
import { type ShownSizes, shownSizes } from '../../parts/shown-size.ts';
import { stackState } from '../../state/stack-state.ts';
import type { PlanSheetData, PlanSheetRow } from './sheet-data.ts';
import { type SizedSheetInput, sheetHead } from './timing-sheet-data.ts';

/** Cautions that stand on every plan. */
const planCautions: readonly string[] = [
  "Least squish, torque, wear limits and ignition follow the maker's manual, the rules that apply to the engine, and a qualified engine builder.",
  'Order and amounts are worked out from what was measured; cut short of them, mock up again, then take the rest.',
  'Ignition off, plug out and earthed, fingers out of the ports whenever the crank is turned.',
];

/**
 * A plan on paper.
 * @returns a sentence where it can't be printed: nothing is planned, or the parts wouldn't go together
 */
export function planSheetData(plan: StoredPlan, input: SizedSheetInput): PlanSheetData | string {
  const { whole, result, preferences, found } = input;
  const { sizes } = found;
  if (sizes === null) return 'Nothing is measured yet that a plan could start from.';
  if (isNoChange(plan.change)) return 'This plan changes nothing yet.';
  const shown = shownSizes(preferences);
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  try {
    const moved = plannedRows(found, plan.change, specificationsOf(whole)).filter(({ isChanged }) => isChanged);
    const steps = orderOfWork(plan.change, sizes);
    const kinds = steps.map(({ voids }) => voids);
    const standing = voidedInWords(voidPlan(kinds, result.stamps));
    const trends = (trend: PlannedRow['trend']) => moved.filter((row) => row.trend === trend).length;
    const head = sheetHead(`Plan: ${plan.name}`, input);
    return {
      kind: 'plan',
      ...head,
      rows: moved.map((row) => rowOf(row, figureTitle(row.item, ports), shown)),
      tally: `Moves ${moved.length} figures: ${trends('worse')} get worse against their limits, ${trends('better')} better, ${trends('not_judged')} have no limits.`,
      stack: {
        now: stackState(sizes, whole.mockUp),
        planned: stackState(sizesAfter(sizes, plan.change), whole.mockUp, plan.change),
      },
      units: { lengthUnit: preferences.lengthUnit, decimalMark: preferences.decimalMark },
      work: steps.map((step) => ({ text: workText(step, ports, shown), cautions: step.cautions })),
      readAgain: `${voidedBy(kinds)
        .map((group) => groupTitles[group])
        .join(', ')}.${standing === '' ? '' : ` Of what was read, void then: ${standing}.`}`,
      notes: plan.notes,
      remarks: [
        'U = k u with k = 2 behind ±. What both sides share cancels in the difference; the change itself counts as exact.',
        "Verdict: conforms or does not conform where the value clears its limit by more than U (ISO 14253-1), else it can't be decided.",
        ...found.remarks,
      ],
      cautions: planCautions,
    };
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
}

const trendWords: Readonly<Record<PlannedRow['trend'], string>> = {
  better: 'better',
  worse: 'worse',
  same: 'as before',
  not_judged: '',
};

function rowOf(
  { item, before, after, difference, judgedBefore, judgedAfter, trend }: PlannedRow,
  figure: string,
  shown: ShownSizes,
): PlanSheetRow {
  const u = (sigma: number) => (sigma === 0 ? '' : ` ± ${shownExpanded(item, sigma, shown)}`);
  return {
    figure,
    before: `${shownFigure(item, before.value, shown)}${u(before.sigma)}`,
    after: after === null ? 'none' : shownFigure(item, after.value, shown),
    difference: difference === null ? '' : shownDifference(item, difference.value, shown),
    limits: [limitsWithUnit(judgedBefore.specification) ?? '', judgedBefore.specification?.source ?? '']
      .filter((part) => part !== '')
      .join(', '),
    verdictBefore: judgedBefore.verdict,
    verdictAfter: judgedAfter.verdict,
    trend: trendWords[trend],
  };
}
