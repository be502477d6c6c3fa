import { useState } from 'react';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { changeQuantity } from '../../../core/mockup/steps.ts';
import { recordableChanges, voidedInWords, voidPlan } from '../../../core/mockup/void-plan.ts';
import { voidTable } from '../../../core/planner/void-table.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TextField } from '../../parts/fields.tsx';
import { SessionFailures, SessionUndo } from '../../parts/session-undo.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { type ShownChecks, useCheckSession } from '../../state/use-check-results.ts';

const nothing = 'none';

/** A face was cut, a port ground, a part swapped: kept with its date, and what it voids is said before it is kept. */
export function ChangeRecorder({ shown }: { shown: ShownChecks }) {
  const session = useCheckSession();
  const [kind, setKind] = useState<(typeof recordableChanges)[number]['kind'] | typeof nothing>(nothing);
  const [note, setNote] = useState('');
  const stamps = joinStamps(shown.whole.readings, shown.whole.marks);
  const kept = stamps.filter(
    ({ current: { subject }, struck }) => subject.what === 'quantity' && subject.quantity === changeQuantity && !struck,
  );
  const chosen = recordableChanges.find((change) => change.kind === kind) ?? null;
  const plan = chosen === null ? [] : voidPlan([chosen.kind], stamps);
  return (
    <section className="panel stack" aria-label="Changes of the parts">
      <div className="row spread">
        <h2>Changes since it was put together</h2>
        <div className="row">
          <SessionUndo session={session} />
        </div>
      </div>
      <SessionFailures session={session} />
      {kept.length === 0 ? <p className="muted">None recorded.</p> : null}
      {kept.length === 0 ? null : (
        <ul className="stack change-list">
          {kept.map((stamp) => (
            <li key={stamp.root.id} className="row spread">
              <span>
                {stamp.current.subject.what === 'quantity' ? stamp.current.subject.typedText : ''}
                {stamp.current.note === '' ? '' : `: ${stamp.current.note}`}
                <span className="small muted">
                  {' '}
                  {shownTime(stamp.root.takenAt)} {stamp.root.measuredBy}
                </span>
              </span>
            </li>
          ))}
        </ul>
      )}
      <form
        className="stack"
        aria-label="Record a change"
        onSubmit={(event) => {
          event.preventDefault();
          if (chosen === null) return;
          session.recordChange(chosen.kind, chosen.title, note.trim(), plan);
          setKind(nothing);
          setNote('');
        }}
      >
        <ChoiceField
          label="What was changed"
          value={kind}
          choices={[
            { value: nothing, title: 'Choose' },
            ...recordableChanges.map((change) => ({ value: change.kind, title: change.title })),
          ]}
          onChange={setKind}
        />
        {chosen === null ? null : (
          <>
            <TextField label="By how much, by whom" value={note} onChange={setNote} />
            <Notice tone="caution" title={plan.length === 0 ? 'Nothing that was read becomes void.' : 'Becomes void.'}>
              {voidTable[chosen.kind].reason}
              {plan.length === 0 ? '' : ` Marked: ${voidedInWords(plan)}. They are kept.`}
            </Notice>
            <div className="row">
              <button type="submit" className="button button-main">
                Keep the change
              </button>
              <Button look="quiet" onPress={() => setKind(nothing)}>
                Nothing was changed
              </Button>
            </div>
          </>
        )}
      </form>
    </section>
  );
}
