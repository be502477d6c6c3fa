import { type Port, type PortKind, portKindSchema } from '../../../core/contract/parts.ts';
import { type BarrelDraft, type FieldProblem, withNewPort, withoutPort, withPort } from '../../state/build-draft.ts';
import { useWords } from '../../state/words.ts';
import { Button } from '../controls.tsx';
import { ChoiceField, TextField } from '../fields.tsx';
import { NumberField } from '../number-field.tsx';
import { labelFor, portKindTitles, portSideTitles, sidesOf } from '../port-words.ts';

interface BarrelFormProps {
  readonly barrel: BarrelDraft;
  readonly onChange: (barrel: BarrelDraft) => void;
  readonly problem: FieldProblem | null;
  readonly isFirst?: boolean;
}

/** Name, bore, and the ports whose edges the bench will ask for. */
export function BarrelForm({ barrel, onChange, problem, isFirst = false }: BarrelFormProps) {
  const words = useWords();
  const errorAt = (field: string) => (problem?.field === field ? problem.sentence : null);
  return (
    <div className="stack">
      <div className="field-grid">
        <TextField
          label={`Name of the ${words.barrel}`}
          value={barrel.name}
          isRequired
          autoFocus={isFirst}
          error={errorAt('name')}
          hint="For instance the letter stamped on it"
          onChange={(name) => onChange({ ...barrel, name })}
        />
        <TextField label="Marks" value={barrel.marks} onChange={(marks) => onChange({ ...barrel, marks })} />
        <NumberField
          label="Bore, nominal"
          kind="length"
          value={barrel.data.boreMm}
          lower={0}
          isLowerExcluded
          upper={300}
          hint="For areas, squish and volumes; may stay empty"
          onChange={(boreMm) => onChange({ ...barrel, data: { ...barrel.data, boreMm } })}
        />
      </div>
      <PortList
        ports={barrel.data.ports}
        problem={problem}
        onAdd={(kind) => {
          const side = sidesOf(kind)[0] ?? 'none';
          onChange({ ...barrel, data: withNewPort(barrel.data, kind, labelFor(kind, side), side) });
        }}
        onChange={(portId, change) => onChange({ ...barrel, data: withPort(barrel.data, portId, change) })}
        onRemove={(portId) => onChange({ ...barrel, data: withoutPort(barrel.data, portId) })}
      />
      {errorAt('ports') === null ? null : (
        <p className="field-error" role="alert">
          {errorAt('ports')}
        </p>
      )}
    </div>
  );
}

interface PortListProps {
  readonly ports: readonly Port[];
  readonly problem: FieldProblem | null;
  readonly onAdd: (kind: PortKind) => void;
  readonly onChange: (portId: string, change: Partial<Port>) => void;
  readonly onRemove: (portId: string) => void;
}

const kindChoices = portKindSchema.options.map((kind) => ({ value: kind, title: portKindTitles[kind] }));

function PortList({ ports, problem, onAdd, onChange, onRemove }: PortListProps) {
  return (
    <div className="stack">
      <table className="table port-list">
        <caption>Ports, each singly or as a group</caption>
        <thead>
          <tr>
            <th scope="col">Label</th>
            <th scope="col">Kind</th>
            <th scope="col">Side</th>
            <th scope="col">Windows</th>
            <th scope="col">
              <span className="visually-hidden">Remove</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {ports.map((port) => (
            <tr key={port.portId}>
              <td>
                <TextField
                  label={`Label of ${port.label}`}
                  isLabelHidden
                  value={port.label}
                  error={problem?.field === `label ${port.portId}` ? problem.sentence : null}
                  onChange={(label) => onChange(port.portId, { label })}
                />
              </td>
              <td>
                <ChoiceField
                  label={`Kind of ${port.label}`}
                  isLabelHidden
                  value={port.kind}
                  choices={kindChoices}
                  onChange={(kind) => onChange(port.portId, { kind })}
                />
              </td>
              <td>
                <ChoiceField
                  label={`Side of ${port.label}`}
                  isLabelHidden
                  value={port.side}
                  choices={sidesOf(port.kind).map((side) => ({ value: side, title: portSideTitles[side] }))}
                  onChange={(side) => onChange(port.portId, { side })}
                />
              </td>
              <td className="port-list-count">
                <NumberField
                  label={`Windows of ${port.label}`}
                  isLabelHidden
                  kind="plain"
                  decimals={0}
                  value={port.windowCount}
                  isRequired
                  lower={1}
                  upper={12}
                  onChange={(count) => onChange(port.portId, { windowCount: Math.round(count ?? 1) })}
                />
              </td>
              <td className="figure">
                <Button look="quiet" name={`Remove ${port.label}`} onPress={() => onRemove(port.portId)}>
                  Remove
                </Button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <div className="row">
        <span className="small muted">Add</span>
        {portKindSchema.options.map((kind) => (
          <Button key={kind} look="quiet" name={`Add a port: ${portKindTitles[kind]}`} onPress={() => onAdd(kind)}>
            + {portKindTitles[kind]}
          </Button>
        ))}
      </div>
    </div>
  );
}
