import type { EdgeCriterion } from '../../../core/contract/parts.ts';
import type { FieldProblem, MockUpDraft } from '../../state/build-draft.ts';
import { ChoiceField, TextField } from '../fields.tsx';
import { NumberField } from '../number-field.tsx';

export const criterionTitles: Readonly<Record<EdgeCriterion['kind'], string>> = {
  first_light: 'First crack of light',
  blade: 'Feeler blade at the lip',
  wire: 'Soft wire at the lip',
  paper_nip: 'Paper nipped',
};

const criterionChoices = (Object.keys(criterionTitles) as EdgeCriterion['kind'][]).map((kind) => ({
  value: kind,
  title: criterionTitles[kind],
}));

interface MockUpFormProps {
  readonly mockUp: MockUpDraft;
  readonly onChange: (mockUp: MockUpDraft) => void;
  readonly problem: FieldProblem | null;
  readonly cylinderNames: readonly string[];
  readonly isFirst?: boolean;
}

/** How this mock-up is put together, and how its edges are judged. */
export function MockUpForm({ mockUp, onChange, problem, cylinderNames, isFirst = false }: MockUpFormProps) {
  const errorAt = (field: string) => (problem?.field === field ? problem.sentence : null);
  const { criterion } = mockUp;
  return (
    <div className="field-grid">
      <TextField
        label="Name of the mock-up"
        value={mockUp.name}
        isRequired
        autoFocus={isFirst}
        error={errorAt('name')}
        onChange={(name) => onChange({ ...mockUp, name })}
      />
      <NumberField
        label="Base gasket as fitted"
        kind="length"
        value={mockUp.baseGasketMm}
        lower={0}
        upper={20}
        hint="Crushed thickness, measured after one torque; 0 for none"
        onChange={(baseGasketMm) => onChange({ ...mockUp, baseGasketMm })}
      />
      {cylinderNames.length < 2 ? null : (
        <ChoiceField
          label="Which cylinder"
          value={String(mockUp.cylinderIndex)}
          choices={cylinderNames.map((title, index) => ({ value: String(index), title }))}
          onChange={(index) => onChange({ ...mockUp, cylinderIndex: Number(index) })}
        />
      )}
      <ChoiceField
        label="An edge counts at"
        value={criterion.kind}
        choices={criterionChoices}
        onChange={(kind) =>
          onChange({ ...mockUp, criterion: { kind, thicknessMm: kind === 'first_light' ? 0 : criterion.thicknessMm } })
        }
      />
      {criterion.kind === 'first_light' ? null : (
        <NumberField
          label={`Thickness of the ${criterion.kind === 'paper_nip' ? 'paper' : criterion.kind}`}
          kind="length"
          value={criterion.thicknessMm === 0 ? null : criterion.thicknessMm}
          lower={0}
          upper={5}
          error={errorAt('thicknessMm')}
          hint="Makes the edge late; computed out of every event"
          onChange={(thicknessMm) =>
            onChange({ ...mockUp, criterion: { ...criterion, thicknessMm: thicknessMm ?? 0 } })
          }
        />
      )}
      <NumberField
        label="Room temperature"
        kind="plain"
        unit="°C"
        decimals={1}
        value={mockUp.roomTemperatureC}
        lower={-40}
        upper={60}
        hint="Parts, gauges and room alike"
        onChange={(roomTemperatureC) => onChange({ ...mockUp, roomTemperatureC })}
      />
    </div>
  );
}
