import type { Offset } from '../../../core/contract/parts.ts';
import { type EngineDraft, evenPhasesDeg, type FieldProblem } from '../../state/build-draft.ts';
import { useWords } from '../../state/words.ts';
import { ChoiceField, TextField } from '../fields.tsx';
import { NumberField } from '../number-field.tsx';

interface EngineFormProps {
  readonly engine: EngineDraft;
  readonly onChange: (engine: EngineDraft) => void;
  readonly problem: FieldProblem | null;
  readonly isFirst?: boolean;
}

/** Sizes that turn crank angles into piston positions, and the cylinders on the crank. */
export function EngineForm({ engine, onChange, problem, isFirst = false }: EngineFormProps) {
  const words = useWords();
  const errorAt = (field: string) => (problem?.field === field ? problem.sentence : null);
  const set = (change: Partial<EngineDraft>) => onChange({ ...engine, ...change });
  return (
    <div className="stack">
      <div className="field-grid">
        <TextField
          label="Name of the engine"
          value={engine.name}
          isRequired
          autoFocus={isFirst}
          error={errorAt('name')}
          onChange={(name) => set({ name })}
        />
        <NumberField
          label="Stroke"
          kind="length"
          value={engine.strokeMm}
          isRequired
          lower={0}
          isLowerExcluded
          upper={500}
          error={errorAt('strokeMm')}
          hint="Twice the crank radius"
          onChange={(strokeMm) => set({ strokeMm })}
        />
        <NumberField
          label="Rod length"
          kind="length"
          value={engine.rodLengthMm}
          isRequired
          lower={0}
          isLowerExcluded
          upper={1000}
          error={errorAt('rodLengthMm')}
          hint="Between the centres of its eyes"
          onChange={(rodLengthMm) => set({ rodLengthMm })}
        />
        <NumberField
          label="Highest running speed"
          kind="plain"
          unit="rev/min"
          decimals={0}
          value={engine.speedRpm}
          lower={0}
          isLowerExcluded
          upper={40000}
          hint="For time-area and piston speed; may stay empty"
          onChange={(speedRpm) => set({ speedRpm })}
        />
      </div>
      <OffsetFields
        title="Bore axis beside the crank centre"
        error={errorAt('offsetMm')}
        offset={engine.cylinderOffset}
        onChange={(cylinderOffset) => set({ cylinderOffset })}
      />
      <OffsetFields
        title={`Offset of the ${words.pin} in the piston`}
        error={null}
        offset={engine.pinOffset}
        onChange={(pinOffset) => set({ pinOffset })}
      />
      <CylinderFields engine={engine} set={set} />
    </div>
  );
}

const offsetSides = [
  { value: 'swing_side', title: 'Towards the side that the crank pin swings to after TDC' },
  { value: 'away_side', title: 'Away from that side' },
] as const;

interface OffsetFieldsProps {
  readonly title: string;
  readonly error: string | null;
  readonly offset: Offset;
  readonly onChange: (offset: Offset) => void;
}

function OffsetFields({ title, error, offset, onChange }: OffsetFieldsProps) {
  return (
    <fieldset className="field-set offset-fields">
      <NumberField
        label={title}
        kind="length"
        value={offset.mm}
        lower={0}
        upper={20}
        error={error}
        hint="0 for most two-strokes"
        onChange={(mm) => onChange({ ...offset, mm: mm ?? 0 })}
      />
      <ChoiceField
        label={`${title}: which side`}
        value={offset.side}
        choices={offsetSides}
        isDisabled={offset.mm === 0}
        onChange={(side) => onChange({ ...offset, side })}
      />
    </fieldset>
  );
}

function CylinderFields({ engine, set }: { engine: EngineDraft; set: (change: Partial<EngineDraft>) => void }) {
  const count = engine.crankPhasesDeg.length;
  const counts = Array.from({ length: 12 }, (_, index) => ({ value: String(index + 1), title: String(index + 1) }));
  return (
    <>
      <div className="field-grid">
        <ChoiceField
          label="Cylinders"
          value={String(count)}
          choices={counts}
          onChange={(value) => set({ crankPhasesDeg: evenPhasesDeg(Number(value)), cylinderNames: [] })}
        />
      </div>
      {count === 1 ? null : (
        <table className="table phase-table">
          <caption>Cylinders on the crank; the first one is the reference cylinder</caption>
          <thead>
            <tr>
              <th scope="col">Name</th>
              <th scope="col">Crank angle behind the reference cylinder</th>
            </tr>
          </thead>
          <tbody>
            {engine.crankPhasesDeg.map((phaseDeg, index) => (
              // Cylinders have no other identity than their place on the crank.
              // biome-ignore lint/suspicious/noArrayIndexKey: the place is the identity
              <tr key={index}>
                <td>
                  <TextField
                    label={`Name of cylinder ${index + 1}`}
                    isLabelHidden
                    value={engine.cylinderNames[index] ?? `Cylinder ${index + 1}`}
                    onChange={(name) =>
                      set({
                        cylinderNames: engine.crankPhasesDeg.map((_, at) =>
                          at === index ? name : (engine.cylinderNames[at] ?? `Cylinder ${at + 1}`),
                        ),
                      })
                    }
                  />
                </td>
                <td>
                  <NumberField
                    label={`Crank angle of cylinder ${index + 1}`}
                    isLabelHidden
                    kind="angle"
                    value={phaseDeg}
                    lower={0}
                    upper={360}
                    isDisabled={index === 0}
                    onChange={(value) =>
                      set({
                        crankPhasesDeg: engine.crankPhasesDeg.map((old, at) => (at === index ? (value ?? 0) : old)),
                      })
                    }
                  />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}
