import { useEffect, useState } from 'react';
import type { EdgeCriterion, Part, Port } from '../../../core/contract/parts.ts';
import { portKindTable } from '../../../core/ports/kinds.ts';
import { ChoiceField } from '../../parts/fields.tsx';
import { criterionTitles } from '../../parts/forms/mock-up-form.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { type AssemblyDraft, withPortCriterion } from '../../state/assembly-draft.ts';
import type { FieldProblem } from '../../state/build-draft.ts';
import { useClient } from '../../state/services.ts';

interface AssemblyFieldsProps {
  readonly draft: AssemblyDraft;
  readonly ports: readonly Port[];
  readonly problem: FieldProblem | null;
  readonly onChange: (draft: AssemblyDraft) => void;
}

const governsChoices = [
  { value: 'port_timing', title: 'Port timing' },
  { value: 'deck_dimension', title: 'Deck dimension' },
  { value: 'chamber_volume', title: 'Chamber volume' },
] as const;

/** Parts of the stack, which figure governs, and ports that are judged in their own way. */
export function AssemblyFields({ draft, ports, problem, onChange }: AssemblyFieldsProps) {
  const parts = useParts();
  const choices = (kind: Part['kind'], place?: 'base' | 'head') => [
    { value: '', title: 'not said' },
    ...parts
      .filter(
        (part) => part.kind === kind && (place === undefined || (part.kind === 'gasket' && part.data.place === place)),
      )
      .map(({ id, name }) => ({ value: id, title: name })),
  ];
  const partField = (
    label: string,
    key: 'pistonId' | 'headId' | 'baseGasketId' | 'headGasketId',
    kind: Part['kind'],
    place?: 'base' | 'head',
  ) => (
    <ChoiceField
      label={label}
      value={draft[key] ?? ''}
      choices={choices(kind, place)}
      onChange={(id) => onChange({ ...draft, [key]: id === '' ? null : id })}
    />
  );
  return (
    <div className="stack">
      <div className="field-grid">
        <NumberField
          label="Head gasket as fitted"
          kind="length"
          value={draft.headGasketMm}
          lower={0}
          upper={20}
          hint="Crushed thickness; 0 for none"
          onChange={(headGasketMm) => onChange({ ...draft, headGasketMm })}
        />
        <ChoiceField
          label="What governs"
          value={draft.governs}
          choices={governsChoices}
          hint="Where the figures contradict each other, this one counts"
          onChange={(governs) => onChange({ ...draft, governs })}
        />
        {partField('Piston', 'pistonId', 'piston')}
        {partField('Head', 'headId', 'head')}
        {partField('Base gasket', 'baseGasketId', 'gasket', 'base')}
        {partField('Head gasket', 'headGasketId', 'gasket', 'head')}
      </div>
      <details>
        <summary>Ports that are judged in another way ({Object.keys(draft.portCriteria).length})</summary>
        <div className="stack">
          {ports
            .filter(({ kind }) => portKindTable[kind].edges.length > 0)
            .map((port) => (
              <PortCriterion
                key={port.portId}
                port={port}
                own={draft.portCriteria[port.portId] ?? null}
                problem={problem?.field === `criterion ${port.portId}` ? problem.sentence : null}
                onChange={(own) => onChange(withPortCriterion(draft, port.portId, own))}
              />
            ))}
        </div>
      </details>
    </div>
  );
}

interface PortCriterionProps {
  readonly port: Port;
  readonly own: EdgeCriterion | null;
  readonly problem: string | null;
  readonly onChange: (own: EdgeCriterion | null) => void;
}

type CriterionChoice = EdgeCriterion['kind'] | 'as_mock_up';

function PortCriterion({ port, own, problem, onChange }: PortCriterionProps) {
  const choices: readonly { value: CriterionChoice; title: string }[] = [
    { value: 'as_mock_up', title: 'as the mock-up says' },
    ...(Object.keys(criterionTitles) as EdgeCriterion['kind'][]).map((kind) => ({
      value: kind,
      title: criterionTitles[kind],
    })),
  ];
  return (
    <div className="field-grid">
      <ChoiceField
        label={`${port.label}: an edge counts at`}
        value={own?.kind ?? 'as_mock_up'}
        choices={choices}
        onChange={(kind) =>
          onChange(
            kind === 'as_mock_up' ? null : { kind, thicknessMm: kind === 'first_light' ? 0 : (own?.thicknessMm ?? 0) },
          )
        }
      />
      {own === null || own.kind === 'first_light' ? null : (
        <NumberField
          label={`${port.label}: thickness`}
          kind="length"
          value={own.thicknessMm === 0 ? null : own.thicknessMm}
          lower={0}
          upper={5}
          error={problem}
          hint="Makes the edge late; computed out of every event"
          onChange={(thicknessMm) => onChange({ ...own, thicknessMm: thicknessMm ?? 0 })}
        />
      )}
    </div>
  );
}

/** All parts of the book, for choosing; empty until they are read. */
function useParts(): readonly Part[] {
  const client = useClient();
  const [parts, setParts] = useState<readonly Part[]>([]);
  useEffect(() => {
    let isWanted = true;
    client
      .call('part.list', {})
      .then((list) => {
        if (isWanted) setParts(list);
      })
      .catch(() => undefined);
    return () => {
      isWanted = false;
    };
  }, [client]);
  return parts;
}
