import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { groupTitles, voidedInWords, voidPlan } from '../../../core/mockup/void-plan.ts';
import type { WorkStep } from '../../../core/planner/order-of-work.ts';
import { voidedBy } from '../../../core/planner/void-table.ts';
import { Notice } from '../../parts/controls.tsx';
import { workText } from '../../parts/plan-words.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import type { MockUpResult } from '../../state/mock-up-result.ts';

interface WorkListProps {
  readonly steps: readonly WorkStep[];
  readonly whole: MockUpWhole;
  readonly result: MockUpResult;
  readonly shown: ShownSizes;
}

/** In which order to cut, what to mind at each step, and what is read again afterwards. */
export function WorkList({ steps, whole, result, shown }: WorkListProps) {
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const kinds = steps.map(({ voids }) => voids);
  const standing = voidPlan(kinds, result.stamps);
  return (
    <section className="panel stack" aria-label="Order of the work">
      <h2>Order of the work</h2>
      {steps.length === 0 ? (
        <p className="muted">Nothing planned yet.</p>
      ) : (
        <>
          <ol className="plan-work">
            {steps.map((step) => (
              <li key={`${step.kind} ${step.portId ?? ''}`}>
                <strong>{workText(step, ports, shown)}</strong>
                <ul className="small">
                  {step.cautions.map((caution) => (
                    <li key={caution}>{caution}</li>
                  ))}
                </ul>
              </li>
            ))}
            <li>
              <strong>Mock up again before anything is final</strong>
              <p className="small">
                New mock-up on the changed stack: true TDC, port edges both ways, squish, volume, and the ignition last.
              </p>
            </li>
          </ol>
          <Notice tone="caution" title="Read again after this work:">
            {voidedBy(kinds)
              .map((group) => groupTitles[group])
              .join(', ')}
            .{standing.length === 0 ? '' : ` Of what is read here, void then: ${voidedInWords(standing)}.`}
          </Notice>
        </>
      )}
      <p className="small muted">
        Order and leave-some-on are trade practice. Least squish, torque, wear limits and ignition follow the maker's
        manual, the rules that apply to the engine, and a qualified engine builder.
      </p>
    </section>
  );
}
