import { useCallback, useState } from 'react';
import type { Conflict } from '../../../core/contract/book-messages.ts';
import type { Client } from '../../../core/contract/client.ts';
import { entityTitle } from '../../parts/change-titles.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { fieldTitle, fieldValue, type NameOf } from '../../parts/field-words.ts';
import { shownTime } from '../../parts/time-text.ts';
import { useLoaded } from '../../parts/use-loaded.ts';
import { VoidQuestionDialog } from '../../parts/void-question.tsx';
import { fieldChanges } from '../../state/change-words.ts';
import { loadNames } from '../../state/history-effects.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient, usePreferences } from '../../state/services.ts';
import { settleConflict } from '../../state/settle-conflict.ts';
import type { RecordQuestion, VoidAnswer } from '../../state/void-question.ts';

/** Records that two books changed without knowing of each other; nothing is shown where there are none. */
export function ConflictList() {
  const ask = useCallback((client: Client) => client.call('conflict.list', {}), []);
  const { value, failure } = useLoaded(ask);
  const names = useLoaded(loadNames);
  // Until the names have come nobody can say that a record isn't in the book.
  const nameOf = (id: string) => (names.value === null ? '…' : (names.value.get(id) ?? null));
  if (failure !== null) return <Notice tone="failure">{failure}</Notice>;
  if (value === null || value.length === 0) return null;
  return (
    <section className="stack" aria-label="Changed on both sides">
      <Notice tone="caution" title="Changed on both sides.">
        {value.length === 1 ? 'One record was' : `${value.length} records were`} changed here and elsewhere. The later
        version counts until somebody decides; both stay in the history.
      </Notice>
      {value.map((conflict) => (
        <ConflictPanel key={conflict.id} conflict={conflict} nameOf={nameOf} />
      ))}
    </section>
  );
}

function ConflictPanel({ conflict, nameOf }: { conflict: Conflict; nameOf: NameOf }) {
  const client = useClient();
  const { decimalMark } = usePreferences();
  const [failure, setFailure] = useState<string | null>(null);
  const { kept, other } = conflict;
  const fields = fieldChanges(kept.content, other.content);
  const [question, setQuestion] = useState<RecordQuestion | null>(null);
  const settle = async (keep: 'kept' | 'other', answer: VoidAnswer = null) => {
    setQuestion(null);
    try {
      const outcome = await settleConflict(client, conflict, keep, answer);
      if (outcome.kind === 'asked') setQuestion(outcome.question);
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  };
  const title = `${entityTitle(conflict.entity, kept.content)} ${conflict.title}`;
  return (
    <section className="panel stack" aria-label={title}>
      <table className="table conflict-table">
        <caption>{title}</caption>
        <thead>
          <tr>
            <th scope="col">Field</th>
            <th scope="col">
              Counts now: {kept.workplaceName}, {shownTime(kept.madeAt)}
            </th>
            <th scope="col">
              The other: {other.workplaceName}, {shownTime(other.madeAt)}
            </th>
          </tr>
        </thead>
        <tbody>
          {fields.length === 0 ? (
            <tr>
              <td colSpan={3} className="muted">
                Both sides say the same now.
              </td>
            </tr>
          ) : (
            fields.map((field) => (
              <tr key={JSON.stringify(field.path)}>
                <th scope="row">{fieldTitle(field.path, kept.content)}</th>
                <td>{fieldValue(field.path, field.before, nameOf, decimalMark)}</td>
                <td>{fieldValue(field.path, field.after, nameOf, decimalMark)}</td>
              </tr>
            ))
          )}
          <tr className="conflict-choice">
            <td />
            <td>
              <Button name={`Keep this one, which counts now: ${title}`} onPress={() => void settle('kept')}>
                Keep this one
              </Button>
            </td>
            <td>
              <Button name={`Take this one, the other version: ${title}`} onPress={() => void settle('other')}>
                Take this one
              </Button>
            </td>
          </tr>
        </tbody>
      </table>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {question === null ? null : (
        <VoidQuestionDialog
          question={question}
          onAnswer={(what) => void settle('other', what)}
          onCancel={() => setQuestion(null)}
        />
      )}
    </section>
  );
}
