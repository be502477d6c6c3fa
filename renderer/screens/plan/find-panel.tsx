import { useState } from 'react';
import type { MockUp, Port } from '../../../core/contract/parts.ts';
import { InputError } from '../../../core/errors.ts';
import { type MockUpChange, plannedEffect } from '../../../core/planner/effects.ts';
import { type MockUpFigures, type MockUpSizes, mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { together } from '../../../core/planner/order-of-work.ts';
import { type Plan, type PlanTargets, planFor } from '../../../core/planner/plan-for.ts';
import { portKindTable } from '../../../core/ports/kinds.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { MeaningField } from '../../parts/meaning-field.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { foundStepText } from '../../parts/plan-words.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import { answered, noDuration, understoodDuration, type WantedDuration } from '../../state/wanted-duration.ts';

interface FindPanelProps {
  /** What the height of the barrel is chosen by, as the mock-up says. */
  readonly governs: MockUp['governs'];
  readonly sizes: MockUpSizes;
  readonly ports: readonly Port[];
  readonly shown: ShownSizes;
  readonly onTake: (change: MockUpChange) => void;
}

interface Wanted {
  readonly heightBy: MockUp['governs'];
  readonly deckMm: number | null;
  readonly volumeCc: number | null;
  readonly portId: string;
  readonly duration: WantedDuration;
  readonly squishMm: number | null;
  readonly ratioKind: 'full_stroke' | 'trapped';
  readonly ratio: number | null;
}

type Found = { readonly title: string } & (
  | { readonly ok: true; readonly plan: Plan; readonly change: MockUpChange; readonly figures: MockUpFigures }
  | { readonly ok: false; readonly sentence: string }
);

/** Says what figures are wanted; says how much of which change reaches them, and what else it does. */
export function FindPanel({ governs, sizes, ports, shown, onTake }: FindPanelProps) {
  const crownPorts = ports.filter(
    ({ kind, portId }) =>
      portKindTable[kind].control === 'crown' && sizes.ports.some((sized) => sized.portId === portId),
  );
  const [wanted, setWanted] = useState<Wanted>({
    heightBy: governs,
    deckMm: null,
    volumeCc: null,
    portId: crownPorts[0]?.portId ?? '',
    duration: noDuration,
    squishMm: null,
    ratioKind: 'full_stroke',
    ratio: null,
  });
  const { heightBy } = wanted;
  const port = crownPorts.find(({ portId }) => portId === wanted.portId);
  const duration = port === undefined ? null : understoodDuration(port.kind, wanted.duration);
  const found = waysTo(sizes, { ...wanted, durationDeg: duration?.durationDeg ?? null });
  return (
    <section className="panel stack" aria-label="Find the change">
      <h2>Find the change for wanted figures</h2>
      <p className="small muted">Counted from the mock-up as it stands. Leave empty what may come out as it likes.</p>
      <div className="field-grid">
        <ChoiceField
          label="The height of the barrel is chosen by"
          value={heightBy}
          choices={heightChoices}
          onChange={(value) => setWanted({ ...wanted, heightBy: value })}
        />
        {heightBy !== 'deck_dimension' ? null : (
          <NumberField
            label="Deck wanted"
            kind="length"
            value={wanted.deckMm}
            lower={-20}
            upper={20}
            hint="Below the top of the barrel; minus where the crown is to stand proud"
            onChange={(deckMm) => setWanted({ ...wanted, deckMm })}
          />
        )}
        {heightBy !== 'chamber_volume' ? null : (
          <NumberField
            label="Volume over the piston wanted"
            kind="volume"
            decimals={2}
            value={wanted.volumeCc}
            lower={0}
            isLowerExcluded
            upper={2000}
            onChange={(volumeCc) => setWanted({ ...wanted, volumeCc })}
          />
        )}
        {crownPorts.length === 0 || heightBy === 'chamber_volume' ? null : (
          <>
            <ChoiceField
              label="Port"
              value={wanted.portId}
              choices={crownPorts.map(({ portId, label }) => ({ value: portId, title: label }))}
              onChange={(portId) => setWanted({ ...wanted, portId, duration: answered(wanted.duration, null) })}
            />
            <NumberField
              label={heightBy === 'port_timing' ? 'Its duration wanted' : 'Its duration wanted, by its roof'}
              kind="angle"
              decimals={2}
              value={wanted.duration.typedDeg}
              lower={0}
              isLowerExcluded
              upper={359}
              onChange={(typedDeg) => setWanted({ ...wanted, duration: { ...wanted.duration, typedDeg } })}
            />
            {duration === null ? null : (
              <MeaningField
                label="This number counts degrees"
                meanings={duration.meanings}
                reference="deg of duration"
                chosen={duration.chosen}
                onChoose={(meaningId) => setWanted({ ...wanted, duration: answered(wanted.duration, meaningId) })}
              />
            )}
          </>
        )}
        {heightBy === 'chamber_volume' ? null : (
          <>
            <NumberField
              label="Squish wanted"
              kind="length"
              value={wanted.squishMm}
              lower={0}
              isLowerExcluded
              upper={20}
              onChange={(squishMm) => setWanted({ ...wanted, squishMm })}
            />
            <ChoiceField
              label="Ratio"
              value={wanted.ratioKind}
              choices={[
                { value: 'full_stroke', title: 'Full-stroke' },
                { value: 'trapped', title: 'Trapped' },
              ]}
              onChange={(ratioKind) => setWanted({ ...wanted, ratioKind })}
            />
            <NumberField
              label="Ratio wanted"
              kind="plain"
              decimals={2}
              value={wanted.ratio}
              lower={1}
              isLowerExcluded
              upper={100}
              onChange={(ratio) => setWanted({ ...wanted, ratio })}
            />
          </>
        )}
      </div>
      {found.length === 0 ? null : (
        <div className="plan-ways">
          {found.map((way) => (
            <Way key={way.title} way={way} before={mockUpFigures(sizes)} shown={shown} onTake={onTake} ports={ports} />
          ))}
        </div>
      )}
    </section>
  );
}

const heightChoices = [
  { value: 'port_timing', title: 'Port timing' },
  { value: 'deck_dimension', title: 'Deck' },
  { value: 'chamber_volume', title: 'Volume over the piston' },
] as const;

/** A duration can be reached by the barrel's height or by that one roof; otherwise there is one way at the most. */
function waysTo(sizes: MockUpSizes, wanted: Wanted & { readonly durationDeg: number | null }): readonly Found[] {
  const { heightBy, durationDeg, squishMm, ratio, deckMm, volumeCc } = wanted;
  const above: PlanTargets = {
    ...(squishMm === null ? {} : { squishMm }),
    ...(ratio === null ? {} : { ratio: { kind: wanted.ratioKind, value: ratio } }),
  };
  const port: PlanTargets = durationDeg === null ? {} : { port: { portId: wanted.portId, durationDeg } };
  switch (heightBy) {
    case 'port_timing':
      if (durationDeg !== null) {
        return [
          wayTo(sizes, 'By the height of the barrel', { ...port, ...above }, false),
          wayTo(sizes, 'By the roof of that port alone', { ...port, ...above }, true),
        ];
      }
      return isEmpty(above) ? [] : [wayTo(sizes, 'Way there', above, false)];
    case 'deck_dimension': {
      const targets = { ...(deckMm === null ? {} : { deckMm }), ...port, ...above };
      return isEmpty(targets) ? [] : [wayTo(sizes, 'By the deck', targets, true)];
    }
    case 'chamber_volume':
      return volumeCc === null ? [] : [wayTo(sizes, 'By the volume', { clearanceVolumeCc: volumeCc }, false)];
  }
}

function isEmpty(targets: PlanTargets): boolean {
  return Object.keys(targets).length === 0;
}

function wayTo(sizes: MockUpSizes, title: string, targets: PlanTargets, byGrinding: boolean): Found {
  try {
    const plan = planFor(sizes, targets, byGrinding);
    const change = together(plan.steps.map((step) => step.change));
    return { title, ok: true, plan, change, figures: plannedEffect(sizes, change).after };
  } catch (error) {
    if (error instanceof InputError) return { title, ok: false, sentence: error.message };
    throw error;
  }
}

interface WayProps {
  readonly way: Found;
  readonly before: MockUpFigures;
  readonly ports: readonly Port[];
  readonly shown: ShownSizes;
  readonly onTake: (change: MockUpChange) => void;
}

function Way({ way, before, ports, shown, onTake }: WayProps) {
  if (!way.ok) {
    return (
      <section className="plan-way" aria-label={way.title}>
        <h3>{way.title}</h3>
        <Notice tone="caution" title="Not this way.">
          {way.sentence}
        </Notice>
      </section>
    );
  }
  const { figures } = way;
  const pair = (
    name: string,
    from: number | null | undefined,
    to: number | null | undefined,
    text: (value: number) => string,
  ) =>
    from === null || from === undefined || to === null || to === undefined
      ? []
      : [{ name, from: text(from), to: text(to) }];
  const degrees = (value: number) => `${shown.number(value, 1)} deg`;
  const results = [
    ...ports.flatMap(({ portId, label }) =>
      pair(
        label,
        before.ports.find((port) => port.portId === portId)?.durationDeg,
        figures.ports.find((port) => port.portId === portId)?.durationDeg,
        degrees,
      ),
    ),
    ...pair('Blowdown', before.blowdown?.blowdownDeg, figures.blowdown?.blowdownDeg, degrees),
    ...pair('Deck', before.deckMm, figures.deckMm, (value) => shown.length(value)),
    ...pair('Squish', before.squishMm, figures.squishMm, (value) => shown.length(value)),
    ...pair('Ratio, full-stroke', before.fullStrokeRatio, figures.fullStrokeRatio, (value) => shown.number(value, 2)),
  ];
  const isThere = way.plan.steps.length === 0;
  return (
    <section className="plan-way" aria-label={way.title}>
      <h3>{way.title}</h3>
      {isThere ? (
        <p>Nothing to do: the mock-up stands there already.</p>
      ) : (
        <ol>
          {way.plan.steps.map((step) => (
            <li key={step.step}>
              <strong>{foundStepText(step, shown)}</strong>
              {step.caution === null ? null : <div className="small">{step.caution}</div>}
            </li>
          ))}
        </ol>
      )}
      <table className="table plan-way-table">
        <tbody>
          {results.map(({ name, from, to }) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td className="figure muted">{from}</td>
              <td className="figure key-figure">{to}</td>
            </tr>
          ))}
        </tbody>
      </table>
      {isThere ? null : (
        <Button name={`Take this over: ${way.title}`} onPress={() => onTake(way.change)}>
          Take this over
        </Button>
      )}
    </section>
  );
}
