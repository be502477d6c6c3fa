import { useState } from 'react';
import type { Specification } from '../../../core/contract/parts.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TextField } from '../../parts/fields.tsx';
import { MeaningField } from '../../parts/meaning-field.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { eventOf, inQuotedReference, meaningsOfLimits } from '../../state/event-limits.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient, useMockUpState } from '../../state/services.ts';
import { keepSpecification } from '../../state/specification-effects.ts';
import { useWords } from '../../state/words.ts';

interface SpecificationFormProps {
  readonly quantity: string;
  readonly title: string;
  readonly unit: string;
  /** What the measured value reads, so that the reference of the angle is plain. */
  readonly hint: string | null;
  readonly specification: Specification | null;
  readonly onDone: () => void;
}

/** Nominal, lower and upper limit, and where they come from. */
export function SpecificationForm(props: SpecificationFormProps) {
  const client = useClient();
  const words = useWords();
  const { whole } = useMockUpState();
  const [draft, setDraft] = useState<Specification>(
    props.specification ?? {
      quantity: props.quantity,
      nominal: null,
      lower: null,
      upper: null,
      unit: props.unit,
      source: '',
      sourceDate: '',
    },
  );
  const isOfBarrel =
    whole?.barrel.kind === 'barrel' && whole.barrel.data.specifications.some((one) => one.quantity === props.quantity);
  const [holder, setHolder] = useState<'mock_up' | 'barrel'>(isOfBarrel ? 'barrel' : 'mock_up');
  const [problem, setProblem] = useState<string | null>(null);
  const [meaning, setMeaning] = useState<string | null>(null);
  const event = eventOf(props.quantity, whole?.barrel.kind === 'barrel' ? whole.barrel.data.ports : []);
  const asked = event === null ? [] : meaningsOfLimits(draft, props.specification, event);
  if (whole === null) return null;
  const isReversed = draft.lower !== null && draft.upper !== null && draft.lower >= draft.upper;
  const isUnclear = asked.length > 1 && meaning === null;
  const keep = async (specification: Specification | null) => {
    if (specification !== null && isUnclear) {
      setProblem('Say first what these numbers count: they could mean more than one angle.');
      return;
    }
    if (specification !== null && isReversed) {
      setProblem('The lower limit must be less than the upper one: check which is which.');
      return;
    }
    if (specification !== null && specification.source.trim() === '') {
      setProblem("Name the source of the limits: the maker's sheet, the class rule, your own measured barrels.");
      return;
    }
    try {
      const kept =
        specification === null ? null : inQuotedReference(specification, props.specification, event, meaning);
      if (specification !== null && kept === null) {
        setProblem('These numbers can not all count the same angle: check them one by one.');
        return;
      }
      await keepSpecification(client, whole, props.quantity, holder, kept);
      props.onDone();
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };
  const number = (label: string, key: 'nominal' | 'lower' | 'upper') => (
    <NumberField
      label={label}
      kind={props.unit === 'mm' ? 'length' : 'plain'}
      unit={props.unit}
      value={draft[key]}
      autoFocus={key === 'nominal'}
      onChange={(value) => setDraft({ ...draft, [key]: value })}
    />
  );
  return (
    <form
      className="stack"
      noValidate
      aria-label={`Limits of ${props.title}`}
      onSubmit={(event) => {
        event.preventDefault();
        void keep(draft);
      }}
    >
      <div className="field-grid specification-grid">
        {number('Nominal', 'nominal')}
        {number('Lower limit', 'lower')}
        {number('Upper limit', 'upper')}
        <TextField
          label="Source"
          value={draft.source}
          isRequired
          hint="Maker's sheet, class rule, own barrels"
          onChange={(source) => setDraft({ ...draft, source })}
        />
        <TextField
          label="Date or edition of the source"
          value={draft.sourceDate}
          onChange={(sourceDate) => setDraft({ ...draft, sourceDate })}
        />
        <ChoiceField
          label="Holds for"
          value={holder}
          choices={[
            { value: 'mock_up', title: 'this mock-up' },
            { value: 'barrel', title: `this ${words.barrel} in every mock-up` },
          ]}
          onChange={setHolder}
        />
      </div>
      <MeaningField
        label="These numbers count degrees"
        meanings={asked}
        reference={event?.reference ?? ''}
        chosen={meaning}
        onChoose={setMeaning}
      />
      {props.hint === null ? null : (
        <p className="small muted">
          {event?.counts !== 'event'
            ? `Counted like the result, which reads ${props.hint}.`
            : `The result reads ${props.hint}; limits are kept in the same way.`}
        </p>
      )}
      {problem === null ? null : <Notice tone="failure">{problem}</Notice>}
      <div className="row">
        <button type="submit" className="button button-main">
          Keep the limits
        </button>
        {props.specification === null ? null : <Button onPress={() => void keep(null)}>Take the limits away</Button>}
        <Button look="quiet" onPress={props.onDone}>
          Leave as it was
        </Button>
      </div>
    </form>
  );
}
