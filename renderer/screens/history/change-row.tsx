import { useState } from 'react';
import type { HistoryChange } from '../../../core/contract/book-messages.ts';
import { actionTitle, changeTitle, entityTitle } from '../../parts/change-titles.ts';
import { Button } from '../../parts/controls.tsx';
import { fieldTitle, fieldValue, type NameOf } from '../../parts/field-words.ts';
import { shownTime } from '../../parts/time-text.ts';
import { VoidQuestionDialog } from '../../parts/void-question.tsx';
import { type FieldChange, fieldChanges } from '../../state/change-words.ts';
import { canPutBack, type PutBackOutcome, putBack } from '../../state/put-back.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient, useHost, usePreferences } from '../../state/services.ts';
import type { RecordQuestion, VoidAnswer } from '../../state/void-question.ts';

/** Fields shown of one change; a new barrel would fill the screen otherwise. */
const shownFields = 8;

/** One change: a line for each field that it touched. */
export function ChangeRow({ change, nameOf }: { change: HistoryChange; nameOf: NameOf }) {
  const { decimalMark } = usePreferences();
  const [isWhole, setWhole] = useState(false);
  const content = change.after ?? change.before;
  const isEdit = change.action === 'update' && change.before !== null && change.after !== null;
  const fields = isEdit ? fieldChanges(change.before, change.after) : [];
  const lines = isWhole ? fields : fields.slice(0, shownFields);
  const rows = Math.max(1, lines.length) + (fields.length > lines.length ? 1 : 0);
  const head = (
    <>
      <td rowSpan={rows} className="history-when">
        {shownTime(change.madeAt)}
      </td>
      <td rowSpan={rows} className="muted">
        {change.workplaceName}
      </td>
      <th scope="row" rowSpan={rows}>
        <span className="muted">{entityTitle(change.entity, content)}</span> {changeTitle(change)}{' '}
        <span className="muted">{actionTitle(change)}</span>
      </th>
    </>
  );
  if (lines.length === 0) {
    return (
      <tr>
        {head}
        <td colSpan={4} className="muted">
          {isEdit ? 'kept again without a difference' : ''}
        </td>
      </tr>
    );
  }
  return (
    <>
      {lines.map((field, index) => (
        <tr key={JSON.stringify(field.path)} className={index === 0 ? undefined : 'history-more'}>
          {index === 0 ? head : null}
          <td>{fieldTitle(field.path, content)}</td>
          <td className="history-value">{fieldValue(field.path, field.before, nameOf, decimalMark)}</td>
          <td className="history-value">{fieldValue(field.path, field.after, nameOf, decimalMark)}</td>
          <td className="figure">
            <PutBack change={change} field={field} title={fieldTitle(field.path, content)} />
          </td>
        </tr>
      ))}
      {fields.length > lines.length ? (
        <tr className="history-more">
          <td colSpan={4}>
            <Button look="quiet" onPress={() => setWhole(true)}>
              {`${fields.length - lines.length} more fields`}
            </Button>
          </td>
        </tr>
      ) : null}
    </>
  );
}

function PutBack({ change, field, title }: { change: HistoryChange; field: FieldChange; title: string }) {
  const client = useClient();
  const { info } = useHost();
  const [state, setState] = useState<string | null>(null);
  const [question, setQuestion] = useState<RecordQuestion | null>(null);
  if (!canPutBack(change.entity) || info?.readOnlyReason != null) return null;
  const put = async (answer: VoidAnswer) => {
    setQuestion(null);
    try {
      const outcome = await putBack(client, { change, path: field.path, title, value: field.before, answer });
      if (outcome.kind === 'asked') setQuestion(outcome.question);
      setState(sentenceFor(outcome));
    } catch (error) {
      setState(`Not put back: ${sentenceOf(error)}`);
    }
  };
  return (
    <>
      <Button look="quiet" name={`Put back what stood there before: ${title}`} onPress={() => void put(null)}>
        Put back
      </Button>
      {state === null ? null : (
        <span className="small" role="status">
          {state}
        </span>
      )}
      {question === null ? null : (
        <VoidQuestionDialog
          question={question}
          onAnswer={(what) => void put(what)}
          onCancel={() => setQuestion(null)}
        />
      )}
    </>
  );
}

function sentenceFor(outcome: PutBackOutcome): string | null {
  switch (outcome.kind) {
    case 'asked':
      return null;
    case 'stands':
      return 'Stands like that already';
    case 'kept':
      return outcome.voidedIn.length === 0
        ? 'Put back'
        : `Put back; readings are void in ${outcome.voidedIn.join(', ')}`;
  }
}
