import '../../drawings/drawings.css';
import './plan.css';
import { useEffect, useMemo, useState } from 'react';
import { v7 as uuidv7 } from 'uuid';
import { useStore } from 'zustand';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Port } from '../../../core/contract/parts.ts';
import { InputError } from '../../../core/errors.ts';
import { type PlannedRow, plannedRows } from '../../../core/mockup/planned-rows.ts';
import type { SizesOfMockUp } from '../../../core/mockup/sizes.ts';
import { specificationsOf } from '../../../core/mockup/timing-result.ts';
import { sizesAfter } from '../../../core/planner/effects.ts';
import type { FigureItem } from '../../../core/planner/figure-list.ts';
import type { MockUpSizes } from '../../../core/planner/mock-up-figures.ts';
import { isNoChange, orderOfWork } from '../../../core/planner/order-of-work.ts';
import type { Value } from '../../../core/uncertainty/value.ts';
import { StackDrawing } from '../../drawings/stack-drawing.tsx';
import { Button, Notice } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { TextField, TickField } from '../../parts/fields.tsx';
import { originOfFigure } from '../../parts/figure-words.ts';
import { MissingList, NothingKnown } from '../../parts/missing-list.tsx';
import { type Origin, OriginPanel } from '../../parts/origin-panel.tsx';
import { workText } from '../../parts/plan-words.ts';
import { type ShownSizes, shownSizes } from '../../parts/shown-size.ts';
import { FailedState, LoadingState } from '../../parts/states.tsx';
import { changed, createEditor, kept } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { emptyPlan, nextPlanName, type PlanDraft, planProblem, withFoundChange } from '../../state/plan-draft.ts';
import { gasketsFor, keepPlan, mockUpFromPlan, removePlan } from '../../state/plan-effects.ts';
import { formatRoute } from '../../state/route.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient, useMockUpState, usePreferences } from '../../state/services.ts';
import { stackState } from '../../state/stack-state.ts';
import { useMockUpResult } from '../../state/use-mock-up-result.ts';
import { useSizes } from '../../state/use-sizes.ts';
import { ChangeForm, type Gaskets } from './change-form.tsx';
import { EffectTable } from './effect-table.tsx';
import { FindPanel } from './find-panel.tsx';
import { PlanBar } from './plan-bar.tsx';
import { PlanSummary } from './plan-summary.tsx';
import { RulesOfThumb } from './rules-of-thumb.tsx';
import { WorkList } from './work-list.tsx';

/** What to change, what it does to everything, in which order to cut. */
export function PlanScreen() {
  const { whole, failure } = useMockUpState();
  const found = useSizes();
  const [chosenId, setChosenId] = useState<string | null>(null);
  const [freshId, setFreshId] = useState(() => uuidv7());
  if (whole === null) {
    return failure === null ? (
      <LoadingState what="Reading the mock-up" />
    ) : (
      <FailedState isScreen what="This mock-up can't be read" sentence={failure} />
    );
  }
  if (found === null) return null;
  const { sizes, missing } = found;
  if (sizes === null || sizes.ports.every(({ edgeDepthMm }) => edgeDepthMm === undefined)) {
    return (
      <NothingKnown
        title="Nothing to plan from yet"
        first="A plan starts from what is measured. Stamp true TDC and the port edges; squish, deck and volumes add theirs."
        missing={missing}
        whole={whole}
      />
    );
  }
  const { plans } = whole.mockUp;
  const planId = chosenId ?? plans[0]?.planId ?? freshId;
  const start = plans.find((plan) => plan.planId === planId) ?? emptyPlan(planId, nextPlanName(plans));
  return (
    <PlanEditor
      key={planId}
      whole={whole}
      found={found}
      sizes={sizes}
      start={start}
      onChoose={setChosenId}
      onNew={() => {
        const id = uuidv7();
        setFreshId(id);
        setChosenId(id);
      }}
    />
  );
}

interface PlanEditorProps {
  readonly whole: MockUpWhole;
  readonly found: SizesOfMockUp;
  readonly sizes: MockUpSizes;
  readonly start: PlanDraft;
  readonly onChoose: (planId: string | null) => void;
  readonly onNew: () => void;
}

function PlanEditor({ whole, found, sizes, start, onChoose, onNew }: PlanEditorProps) {
  const client = useClient();
  const preferences = usePreferences();
  const shown = useMemo(() => shownSizes(preferences), [preferences]);
  const result = useMockUpResult();
  const [editor] = useState(() => createEditor<PlanDraft>(start));
  const draft = useStore(editor, (state) => state.value);
  const [gaskets, setGaskets] = useState<Gaskets>({ base: [], head: [] });
  const [problem, setProblem] = useState<string | null>(null);
  const [origin, setOrigin] = useState<Origin | null>(null);
  const [isChangedOnly, setChangedOnly] = useState(true);
  const mockUpId = whole.mockUp.id;
  useEffect(
    () => keepChanges(editor, (plan) => keepPlan(client, mockUpId, plan), planProblem),
    [client, editor, mockUpId],
  );
  useEffect(() => {
    Promise.all([gasketsFor(client, 'base'), gasketsFor(client, 'head')])
      .then(([base, head]) => setGaskets({ base, head }))
      .catch((error: unknown) => setProblem(sentenceOf(error)));
  }, [client]);
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const specifications = useMemo(() => specificationsOf(whole), [whole]);
  const planned = useMemo(() => planOf(found, draft, specifications), [found, draft, specifications]);
  const steps = useMemo(() => orderOfWork(draft.change, sizes), [draft, sizes]);
  const isPlanned = !isNoChange(draft.change) && planned.refusal === null;
  const set = (plan: PlanDraft) => editor.setState(changed(editor.getState(), plan));
  const attempt = async (work: () => Promise<void>) => {
    setProblem(null);
    try {
      await work();
    } catch (error) {
      setProblem(sentenceOf(error));
    }
  };
  const rows = isPlanned && isChangedOnly ? planned.rows.filter(({ isChanged }) => isChanged) : planned.rows;
  return (
    <div className="desk">
      <div className="row spread">
        <h1>Plan</h1>
        <span className="muted">
          {whole.barrel.name}, {whole.mockUp.name}
        </span>
      </div>
      {problem === null ? null : (
        <Notice tone="failure" title="Not done.">
          {problem} The plan itself is kept as far as it says so.
        </Notice>
      )}
      <div className="desk-columns plan-columns">
        <div className="stack">
          <section className="panel stack" aria-label="Changes">
            <PlanBar
              draft={draft}
              whole={whole}
              onName={(name) => set({ ...draft, name })}
              onChoose={onChoose}
              onNew={onNew}
            />
            <div className="row spread">
              <EditingBar editor={editor} takesKeys />
              <Button
                look="quiet"
                isDisabled={isNoChange(draft.change)}
                onPress={() => set({ ...draft, change: {}, baseGasketId: null, headGasketId: null })}
              >
                Reset
              </Button>
            </div>
            <ChangeForm draft={draft} whole={whole} gaskets={gaskets} shown={shown} onChange={set} />
            <TextField
              label="Notes to this plan"
              value={draft.notes}
              isMultiline
              onChange={(notes) => set({ ...draft, notes })}
            />
          </section>
          <FindPanel
            governs={whole.mockUp.governs}
            sizes={sizes}
            ports={ports}
            shown={shown}
            onTake={(change) => set(withFoundChange(draft, change))}
          />
        </div>
        <div className="stack">
          <PlanSummary rows={planned.rows} isPlanned={isPlanned} refusal={planned.refusal} />
          {cautionOf(sizes, draft) === null ? null : (
            <Notice tone="caution" title="The piston may touch the head.">
              {cautionOf(sizes, draft)}
            </Notice>
          )}
          <section className="panel table-scroll" aria-label="Before and after">
            <div className="row spread">
              <h2>Before and after</h2>
              <TickField label="Only what changes" isOn={isChangedOnly} onChange={setChangedOnly} />
            </div>
            <EffectTable
              rows={rows}
              ports={ports}
              shown={shown}
              isPlanned={isPlanned}
              onOrigin={(item, value, title) => setOrigin(originOf({ item, value, title }, found, ports, shown))}
            />
            <p className="small muted">
              U = k u with k = 2 behind ±. What both sides share cancels in the difference; the change itself counts as
              exact. Events are those that follow from the heights of the edges. Limits are entered with the{' '}
              <a href={formatRoute({ screen: 'mock-up', mockUpId, place: 'overview' })}>events and durations</a> and the{' '}
              <a href={formatRoute({ screen: 'mock-up', mockUpId, place: 'checks' })}>checks</a>.
            </p>
          </section>
          <RulesOfThumb sizes={isPlanned ? sizesAfter(sizes, draft.change) : sizes} />
          <section className="panel" aria-label="The stack">
            <h2>The stack</h2>
            <StackDrawing
              now={stackState(sizes, whole.mockUp)}
              planned={isPlanned ? stackState(sizesAfter(sizes, draft.change), whole.mockUp, draft.change) : null}
              title="Gaskets, barrel, deck and head, as they stand and as planned"
              lengthText={shown.length}
              isInteractive
            />
            <p className="small muted">Gaskets and gaps are drawn about nine times as thick as they are.</p>
          </section>
          {result === null ? null : <WorkList steps={steps} whole={whole} result={result} shown={shown} />}
          <div className="row">
            <Button
              look="main"
              isDisabled={!isPlanned}
              onPress={() =>
                void attempt(async () => {
                  const work = steps.map((step) => workText(step, ports, shown));
                  const id = await mockUpFromPlan(client, mockUpId, draft, work);
                  navigate({ screen: 'mock-up', mockUpId: id, place: 'overview' });
                })
              }
            >
              Make a mock-up from this plan
            </Button>
            <Button
              isDisabled={!whole.mockUp.plans.some(({ planId }) => planId === draft.planId)}
              onPress={() =>
                void attempt(async () => {
                  // A change that waits to be kept would put the plan back on the list.
                  editor.setState(kept(editor.getState(), editor.getState().value));
                  await removePlan(client, mockUpId, draft.planId);
                  onNew();
                })
              }
            >
              Take this plan off the list
            </Button>
            <span className="small muted">A new mock-up takes the planned gaskets and starts without readings.</span>
          </div>
        </div>
      </div>
      <MissingList missing={found.missing} whole={whole} />
      {origin === null ? null : <OriginPanel origin={origin} onClose={() => setOrigin(null)} />}
    </div>
  );
}

interface Planned {
  readonly rows: readonly PlannedRow[];
  /** Why the planned parts don't go together; the rows then show the mock-up as it stands. */
  readonly refusal: string | null;
}

function planOf(found: SizesOfMockUp, draft: PlanDraft, specifications: ReturnType<typeof specificationsOf>): Planned {
  try {
    return { rows: plannedRows(found, draft.change, specifications), refusal: null };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return { rows: plannedRows(found, {}, specifications), refusal: error.message };
  }
}

/** A sentence where the gap shrinks and nobody measured it; else null. */
function cautionOf(sizes: MockUpSizes, { change }: PlanDraft): string | null {
  if (sizes.squishMm !== undefined) return null;
  const closes =
    (change.baseGasketChangeMm ?? 0) < 0 ||
    (change.headGasketChangeMm ?? 0) < 0 ||
    [change.baseCutMm, change.deckCutMm, change.headCutMm].some((cut) => (cut ?? 0) > 0) ||
    (change.strokeChangeMm ?? 0) > 0 ||
    (change.rodLengthChangeMm ?? 0) > 0;
  return closes
    ? 'The squish is not measured, and this plan closes the gap. Measure the squish first; turn the crank by hand only.'
    : null;
}

function originOf(
  { item, value, title }: { item: FigureItem; value: Value; title: string },
  found: SizesOfMockUp,
  ports: readonly Port[],
  shown: ShownSizes,
): Origin {
  return originOfFigure({
    item,
    title,
    value,
    sizes: shown,
    rests: found.edgeDepths
      .filter(({ portId }) => item.portId === null || portId === item.portId)
      .map((depth) => ({
        what: `${ports.find(({ portId }) => portId === depth.portId)?.label ?? depth.portId}, edge below the crown at TDC`,
        value: shown.length(depth.depthMm.value),
        note: `by ${depth.by}, ± ${shown.length(2 * depth.depthMm.sigma)}`,
      })),
    remarks: found.remarks,
  });
}
