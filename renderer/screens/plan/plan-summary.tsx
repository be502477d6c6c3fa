import type { PlannedRow } from '../../../core/mockup/planned-rows.ts';
import { Notice } from '../../parts/controls.tsx';

/** What gets worse stands as large as what gets better. */
export function PlanSummary({
  rows,
  isPlanned,
  refusal,
}: {
  rows: readonly PlannedRow[];
  isPlanned: boolean;
  refusal: string | null;
}) {
  if (refusal !== null) {
    return (
      <Notice tone="failure" title="This can't be built.">
        {refusal}
      </Notice>
    );
  }
  const counted = rows.filter(({ isChanged }) => isChanged);
  const of = (trend: PlannedRow['trend']) => counted.filter((row) => row.trend === trend).length;
  const after = (verdict: string) => rows.filter(({ judgedAfter }) => judgedAfter.verdict === verdict).length;
  return (
    <section className="plan-strip" aria-label="What the plan does">
      <strong>
        {isPlanned
          ? `This plan moves ${counted.length} figures`
          : 'No change yet: enter one, or have it found for wanted figures'}
      </strong>
      <dl className="plan-counts">
        <div>
          <dt>▼ Worse</dt>
          <dd className={of('worse') > 0 ? 'plan-trend-worse' : undefined}>{isPlanned ? of('worse') : ''}</dd>
        </div>
        <div>
          <dt>▲ Better</dt>
          <dd className={of('better') > 0 ? 'plan-trend-better' : undefined}>{isPlanned ? of('better') : ''}</dd>
        </div>
        <div>
          <dt>Out of limits {isPlanned ? 'then' : 'now'}</dt>
          <dd>{after('not_conforming')}</dd>
        </div>
        <div>
          <dt>Moved, no limits</dt>
          <dd>{isPlanned ? of('not_judged') : ''}</dd>
        </div>
      </dl>
    </section>
  );
}
