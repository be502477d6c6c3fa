import type { PartKind } from '../../../core/contract/parts.ts';
import type { FieldProblem } from '../../state/build-draft.ts';
import type { PartDraft, PartDraftOf } from '../../state/part-draft.ts';
import { useWords } from '../../state/words.ts';
import { ChoiceField, TextField } from '../fields.tsx';
import { NumberField } from '../number-field.tsx';

interface FormProps<K extends PartKind> {
  readonly part: PartDraftOf<K>;
  readonly onChange: (part: PartDraft) => void;
  readonly problem: FieldProblem | null;
  readonly isFirst: boolean;
}

/** Sizes of a piston as measured loose. */
export function PistonForm({ part, onChange, problem, isFirst }: FormProps<'piston'>) {
  const words = useWords();
  const { data } = part;
  const set = (change: Partial<typeof data>) => onChange({ ...part, data: { ...data, ...change } });
  return (
    <div className="field-grid">
      <NameField part={part} onChange={onChange} problem={problem} isFirst={isFirst} />
      <NumberField
        label="Diameter"
        kind="length"
        value={data.diameterMm}
        lower={0}
        isLowerExcluded
        upper={300}
        hint={`Square to the ${words.pin}, at the gauge height`}
        onChange={(diameterMm) => set({ diameterMm })}
      />
      <NumberField
        label="Gauge height"
        kind="length"
        value={data.gaugeHeightMm}
        lower={0}
        upper={300}
        hint="Above the skirt's lower edge, as the maker says"
        onChange={(gaugeHeightMm) => set({ gaugeHeightMm })}
      />
      <NumberField
        label="Skirt length"
        kind="length"
        value={data.skirtLengthMm}
        lower={0}
        isLowerExcluded
        upper={300}
        hint="Edge of the crown down to the skirt's lower edge, at the intake"
        onChange={(skirtLengthMm) => set({ skirtLengthMm })}
      />
      <NumberField
        label="Dome volume"
        kind="volume"
        value={data.domeVolumeCc}
        hint="Above the edge of the crown; negative for a dish"
        onChange={(domeVolumeCc) => set({ domeVolumeCc })}
      />
      <NumberField
        label="Mass, complete"
        kind="plain"
        unit="g"
        decimals={1}
        value={data.massG}
        lower={0}
        isLowerExcluded
        hint={`With rings, ${words.pin} and clips`}
        onChange={(massG) => set({ massG })}
      />
    </div>
  );
}

/** Sizes of a head as measured loose. */
export function HeadForm({ part, onChange, problem, isFirst }: FormProps<'head'>) {
  const { data } = part;
  const set = (change: Partial<typeof data>) => onChange({ ...part, data: { ...data, ...change } });
  return (
    <div className="field-grid">
      <NameField part={part} onChange={onChange} problem={problem} isFirst={isFirst} />
      <NumberField
        label="Chamber volume"
        kind="volume"
        value={data.volumeCc}
        lower={0}
        isLowerExcluded
        hint="Filled under a plate, with the plug that will be run"
        onChange={(volumeCc) => set({ volumeCc })}
      />
      <NumberField
        label="Bowl diameter"
        kind="length"
        value={data.bowlDiameterMm}
        lower={0}
        isLowerExcluded
        hint="Inner edge of the squish band"
        onChange={(bowlDiameterMm) => set({ bowlDiameterMm })}
      />
      <NumberField
        label="Taper of the squish band"
        kind="angle"
        value={data.squishBandTaperDeg}
        lower={0}
        upper={45}
        hint="Against the crown, opening inwards; 0 for a parallel band"
        onChange={(squishBandTaperDeg) => set({ squishBandTaperDeg: squishBandTaperDeg ?? 0 })}
      />
    </div>
  );
}

const gasketPlaces = [
  { value: 'base', title: 'Under the barrel' },
  { value: 'head', title: 'Under the head' },
] as const;

/** Thickness of a gasket as bought and as crushed. */
export function GasketForm({ part, onChange, problem, isFirst }: FormProps<'gasket'>) {
  const { data } = part;
  const set = (change: Partial<typeof data>) => onChange({ ...part, data: { ...data, ...change } });
  return (
    <div className="field-grid">
      <NameField part={part} onChange={onChange} problem={problem} isFirst={isFirst} />
      <ChoiceField
        label="Where it goes"
        value={data.place}
        choices={gasketPlaces}
        onChange={(place) => set({ place })}
      />
      <NumberField
        label="Thickness, new"
        kind="length"
        value={data.thicknessNewMm}
        lower={0}
        isLowerExcluded
        upper={20}
        onChange={(thicknessNewMm) => set({ thicknessNewMm })}
      />
      <NumberField
        label="Thickness, crushed"
        kind="length"
        value={data.thicknessCrushedMm}
        lower={0}
        isLowerExcluded
        upper={20}
        hint="After one torque; measured, never assumed"
        onChange={(thicknessCrushedMm) => set({ thicknessCrushedMm })}
      />
      <NumberField
        label="Bore of the gasket"
        kind="length"
        value={data.boreMm}
        lower={0}
        isLowerExcluded
        upper={300}
        hint="For the volume that it adds; may stay empty"
        onChange={(boreMm) => set({ boreMm })}
      />
    </div>
  );
}

interface NameFieldProps {
  readonly part: PartDraft;
  readonly onChange: (part: PartDraft) => void;
  readonly problem: FieldProblem | null;
  readonly isFirst: boolean;
}

function NameField({ part, onChange, problem, isFirst }: NameFieldProps) {
  return (
    <TextField
      label={`Name of the ${part.kind}`}
      value={part.name}
      isRequired
      autoFocus={isFirst}
      error={problem?.field === 'name' ? problem.sentence : null}
      onChange={(name) => onChange({ ...part, name })}
    />
  );
}
