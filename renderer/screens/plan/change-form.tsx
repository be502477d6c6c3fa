import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { portKindTable } from '../../../core/ports/kinds.ts';
import { ChoiceField } from '../../parts/fields.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import type { ShownSizes } from '../../parts/shown-size.ts';
import { type PlanDraft, type PlanNumberField, withGasket, withGround, withNumber } from '../../state/plan-draft.ts';
import { type Gasket, gasketThicknessMm } from '../../state/plan-effects.ts';
import { useWords } from '../../state/words.ts';

export interface Gaskets {
  readonly base: readonly Gasket[];
  readonly head: readonly Gasket[];
}

interface ChangeFormProps {
  readonly draft: PlanDraft;
  readonly whole: MockUpWhole;
  readonly gaskets: Gaskets;
  readonly shown: ShownSizes;
  readonly onChange: (draft: PlanDraft) => void;
}

/** Everything that may be changed, from the bottom of the stack to its top. */
export function ChangeForm(props: ChangeFormProps) {
  const { draft, whole, onChange } = props;
  const words = useWords();
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const cut = (field: PlanNumberField, label: string, hint?: string) => (
    <ChangeField
      field={field}
      label={label}
      draft={draft}
      onChange={onChange}
      lower={0}
      {...(hint === undefined ? {} : { hint })}
    />
  );
  return (
    <div className="stack plan-form">
      <fieldset className="field-set stack">
        <legend>Height of the {words.barrel}</legend>
        <GasketFields place="base" {...props} />
        {cut('baseCutMm', `Off the foot of the ${words.barrel}`)}
        {cut('deckCutMm', `Off the top of the ${words.barrel}`, 'The deck shrinks, the squish as well; no port moves')}
      </fieldset>
      <fieldset className="field-set stack">
        <legend>Head</legend>
        <GasketFields place="head" {...props} />
        {cut('headCutMm', 'Off the face of the head', 'The squish band moves along')}
        {cut('squishBandCutMm', 'Squish band recut deeper by', 'Face left alone; the squish grows')}
        <NumberField
          label="Out of the bowl"
          kind="volume"
          value={draft.change.bowlCutCc ?? null}
          lower={0}
          upper={500}
          decimals={2}
          onChange={(value) => onChange(withNumber(draft, 'bowlCutCc', value))}
        />
      </fieldset>
      {ports.map((port) => {
        const { decidedBy } = portKindTable[port.kind];
        if (decidedBy === null) return null;
        const isRoof = decidedBy === 'roof';
        const ground = (field: 'edgeGroundMm' | 'farEdgeGroundMm', label: string) => (
          <NumberField
            label={label}
            kind="length"
            value={draft.change[field]?.[port.portId] ?? null}
            lower={0}
            upper={50}
            onChange={(value) => onChange(withGround(draft, field, port.portId, value))}
          />
        );
        return (
          <fieldset key={port.portId} className="field-set plan-pair">
            <legend>{port.label}</legend>
            {ground(isRoof ? 'edgeGroundMm' : 'farEdgeGroundMm', `${port.label}: roof up by`)}
            {ground(isRoof ? 'farEdgeGroundMm' : 'edgeGroundMm', `${port.label}: floor down by`)}
          </fieldset>
        );
      })}
      <details
        className="plan-details"
        open={draft.change.strokeChangeMm !== undefined || draft.change.rodLengthChangeMm !== undefined}
      >
        <summary>Stroke and rod</summary>
        <div className="plan-pair">
          <ChangeField
            field="strokeChangeMm"
            label="Stroke longer by"
            draft={draft}
            onChange={onChange}
            lower={-50}
            hint="Minus: shorter"
          />
          <ChangeField
            field="rodLengthChangeMm"
            label="Rod longer by"
            draft={draft}
            onChange={onChange}
            lower={-50}
            hint="Minus: shorter"
          />
        </div>
      </details>
    </div>
  );
}

interface ChangeFieldProps {
  readonly field: PlanNumberField;
  readonly label: string;
  readonly draft: PlanDraft;
  readonly lower: number;
  readonly hint?: string;
  readonly onChange: (draft: PlanDraft) => void;
}

function ChangeField({ field, label, draft, lower, hint, onChange }: ChangeFieldProps) {
  return (
    <NumberField
      label={label}
      kind="length"
      value={draft.change[field] ?? null}
      lower={lower}
      upper={50}
      {...(hint === undefined ? {} : { hint })}
      onChange={(value) => onChange(withNumber(draft, field, value))}
    />
  );
}

const typed = 'typed';

/** A gasket from the list, or a thickness as typed; only the change where the fitted thickness isn't known. */
function GasketFields({ place, draft, whole, gaskets, shown, onChange }: ChangeFormProps & { place: 'base' | 'head' }) {
  const { mockUp } = whole;
  const fittedMm = place === 'base' ? mockUp.baseGasketMm : mockUp.headGasketMm;
  const field = place === 'base' ? 'baseGasketChangeMm' : 'headGasketChangeMm';
  const chosen = place === 'base' ? draft.baseGasketId : draft.headGasketId;
  const title = place === 'base' ? 'Base gasket and packers' : 'Head gasket';
  const change = draft.change[field] ?? 0;
  if (fittedMm === null) {
    return (
      <ChangeField
        field={field}
        label={`${title} thicker by`}
        draft={draft}
        onChange={onChange}
        lower={-20}
        hint="The fitted thickness isn't entered with the mock-up; minus: thinner"
      />
    );
  }
  const list = gaskets[place].flatMap((gasket) => {
    const thicknessMm = gasketThicknessMm(gasket);
    return thicknessMm === null ? [] : [{ gasket, thicknessMm }];
  });
  return (
    <>
      {list.length === 0 ? null : (
        <ChoiceField
          label={`${title} from the list`}
          value={chosen ?? typed}
          choices={[
            { value: typed, title: 'Thickness as typed' },
            ...list.map(({ gasket, thicknessMm }) => ({
              value: gasket.id,
              title: `${gasket.name} (${shown.length(thicknessMm)}${gasket.data.thicknessCrushedMm === null ? ', new' : ''})`,
            })),
          ]}
          onChange={(id) => {
            const found = list.find(({ gasket }) => gasket.id === id);
            onChange(
              withGasket(draft, place, found === undefined ? null : { id, thicknessMm: found.thicknessMm }, fittedMm),
            );
          }}
        />
      )}
      <NumberField
        label={`${title} in all`}
        kind="length"
        value={Number((fittedMm + change).toFixed(6))}
        lower={0}
        upper={20}
        hint={`As fitted ${shown.length(fittedMm)}`}
        onChange={(value) => onChange(withNumber(draft, field, value === null ? null : value - fittedMm))}
      />
    </>
  );
}
