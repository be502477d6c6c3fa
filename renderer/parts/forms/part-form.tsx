import './forms.css';
import type { FieldProblem } from '../../state/build-draft.ts';
import type { PartDraft } from '../../state/part-draft.ts';
import { TextField } from '../fields.tsx';
import { BarrelForm } from './barrel-form.tsx';
import { EngineForm } from './engine-form.tsx';
import { GasketForm, HeadForm, PistonForm } from './loose-part-forms.tsx';
import { PortSizesForm } from './port-sizes-form.tsx';

interface PartFormProps {
  readonly part: PartDraft;
  readonly onChange: (part: PartDraft) => void;
  readonly problem: FieldProblem | null;
  readonly isFirst?: boolean;
}

/** Everything that a part of the book says about itself, whatever its kind. */
export function PartForm({ part, onChange, problem, isFirst = false }: PartFormProps) {
  return (
    <div className="stack">
      <FormOfKind part={part} onChange={onChange} problem={problem} isFirst={isFirst} />
      <div className="field-grid part-form-words">
        {part.kind === 'barrel' ? null : (
          <TextField
            label="Marks"
            value={part.marks}
            hint="What is stamped or painted on it"
            onChange={(marks) => onChange({ ...part, marks })}
          />
        )}
        <TextField
          label="Notes on the part"
          isMultiline
          value={part.notes}
          onChange={(notes) => onChange({ ...part, notes })}
        />
      </div>
    </div>
  );
}

function FormOfKind({ part, onChange, problem, isFirst = false }: PartFormProps) {
  switch (part.kind) {
    case 'engine':
      return (
        <EngineForm
          engine={{ name: part.name, ...part.data }}
          problem={problem}
          isFirst={isFirst}
          onChange={({ name, ...data }) => onChange({ ...part, name, data })}
        />
      );
    case 'barrel':
      return (
        <>
          <BarrelForm
            barrel={part}
            problem={problem}
            isFirst={isFirst}
            onChange={({ name, marks, data }) => onChange({ ...part, name, marks, data })}
          />
          <PortSizesForm data={part.data} onChange={(data) => onChange({ ...part, data })} />
        </>
      );
    case 'piston':
      return <PistonForm part={part} onChange={onChange} problem={problem} isFirst={isFirst} />;
    case 'head':
      return <HeadForm part={part} onChange={onChange} problem={problem} isFirst={isFirst} />;
    case 'gasket':
      return <GasketForm part={part} onChange={onChange} problem={problem} isFirst={isFirst} />;
  }
}
