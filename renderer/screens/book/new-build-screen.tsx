import '../../parts/forms/forms.css';
import './new-build.css';
import { useEffect, useMemo, useState } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../../core/contract/client.ts';
import type { Part } from '../../../core/contract/parts.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { BarrelForm } from '../../parts/forms/barrel-form.tsx';
import { EngineForm } from '../../parts/forms/engine-form.tsx';
import { JobForm, NewCustomerFields } from '../../parts/forms/job-form.tsx';
import { MockUpForm } from '../../parts/forms/mock-up-form.tsx';
import {
  type BuildDraft,
  type DraftStep,
  draftSteps,
  emptyBuildDraft,
  type FieldProblem,
  stepProblem,
} from '../../state/build-draft.ts';
import { draftPreferenceKey, storeBuildDraft } from '../../state/build-draft-effects.ts';
import { changed, createEditor, redone, undone } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient } from '../../state/services.ts';
import { useWords } from '../../state/words.ts';

/** The way from an empty bench to the first wanted event: job, engine, barrel, mock-up. */
export function NewBuildScreen() {
  const client = useClient();
  const words = useWords();
  const editor = useMemo(() => createEditor<BuildDraft>(emptyBuildDraft), []);
  const { value: draft, past, future } = useStore(editor);
  const [step, setStep] = useState<DraftStep>('job');
  const [problem, setProblem] = useState<FieldProblem | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const [isStoring, setStoring] = useState(false);
  const { engines, customers } = useBookParts(client);
  useKeptDraft(client, editor);

  const index = draftSteps.indexOf(step);
  const change = (next: BuildDraft) => {
    editor.setState(changed(editor.getState(), next));
    setProblem((old) => (old === null ? null : stepProblem(next, step)));
  };
  const open = (wanted: DraftStep) => {
    setProblem(null);
    setStep(wanted);
  };
  const goOn = async () => {
    const own = stepProblem(draft, step);
    setProblem(own);
    if (own !== null) return;
    const next = draftSteps[index + 1];
    if (next !== undefined) {
      open(next);
      return;
    }
    const unfinished = draftSteps.find((other) => stepProblem(draft, other) !== null);
    if (unfinished !== undefined) {
      setStep(unfinished);
      setProblem(stepProblem(draft, unfinished));
      return;
    }
    setStoring(true);
    setFailure(null);
    try {
      const { mockUpId } = await storeBuildDraft(client, draft);
      await client.call('preferences.set', { key: draftPreferenceKey, value: null });
      navigate({ screen: 'mock-up', mockUpId, place: 'overview' });
    } catch (error) {
      setFailure(sentenceOf(error));
      setStoring(false);
    }
  };

  const titles: Record<DraftStep, string> = {
    job: 'Job',
    engine: 'Engine',
    barrel: words.Barrel,
    'mock-up': 'Mock-up',
  };
  const chosenEngine = engines.find((engine) => engine.id === draft.engineId);
  const phases = chosenEngine?.kind === 'engine' ? chosenEngine.data.crankPhasesDeg : draft.engine.crankPhasesDeg;
  const names = chosenEngine?.kind === 'engine' ? chosenEngine.data.cylinderNames : draft.engine.cylinderNames;
  const cylinderNames = phases.map((_, at) => names[at] ?? `Cylinder ${at + 1}`);

  return (
    <form
      className="desk desk-narrow"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void goOn();
      }}
    >
      <div className="row spread">
        <h1>New build</h1>
        <div className="row">
          <Button
            look="quiet"
            isDisabled={past.length === 0}
            onPress={() => editor.setState(undone(editor.getState()))}
          >
            Undo
          </Button>
          <Button
            look="quiet"
            isDisabled={future.length === 0}
            onPress={() => editor.setState(redone(editor.getState()))}
          >
            Redo
          </Button>
        </div>
      </div>
      <ol className="steps" aria-label="Steps">
        {draftSteps.map((item, at) => (
          <li key={item}>
            <button
              type="button"
              className="step"
              aria-current={item === step ? 'step' : undefined}
              onClick={() => open(item)}
            >
              <span className="step-number">{at + 1}</span> {titles[item]}
              <span className="step-state">{stepProblem(draft, item) === null ? 'complete' : 'open'}</span>
            </button>
          </li>
        ))}
      </ol>
      <section className="panel" aria-label={titles[step]}>
        {step === 'job' ? (
          <JobForm
            job={draft.job}
            isFirst
            problem={problem}
            onChange={(job) => change({ ...draft, job: { ...draft.job, ...job } })}
          >
            <NewCustomerFields
              job={draft.job}
              customers={customers}
              onChange={(customer) => change({ ...draft, job: { ...draft.job, ...customer } })}
            />
          </JobForm>
        ) : step === 'engine' ? (
          <div className="stack">
            {engines.length === 0 ? null : (
              <ChoiceField
                label="Take an engine of the book, or a new one"
                value={draft.engineId ?? 'new'}
                choices={[
                  { value: 'new', title: 'New engine' },
                  ...engines.map((engine) => ({ value: engine.id, title: engine.name })),
                ]}
                onChange={(id) => change({ ...draft, engineId: id === 'new' ? null : id })}
              />
            )}
            {draft.engineId === null ? (
              <EngineForm
                engine={draft.engine}
                isFirst
                problem={problem}
                onChange={(engine) => change({ ...draft, engine })}
              />
            ) : null}
          </div>
        ) : step === 'barrel' ? (
          <BarrelForm
            barrel={draft.barrel}
            isFirst
            problem={problem}
            onChange={(barrel) => change({ ...draft, barrel })}
          />
        ) : (
          <MockUpForm
            mockUp={draft.mockUp}
            isFirst
            problem={problem}
            cylinderNames={cylinderNames}
            onChange={(mockUp) => change({ ...draft, mockUp })}
          />
        )}
      </section>
      {failure === null ? null : (
        <Notice tone="failure" title="The build was not stored.">
          {failure} What you typed is still here.
        </Notice>
      )}
      <div className="row">
        <button type="submit" className="button button-main" disabled={isStoring}>
          {index === draftSteps.length - 1
            ? isStoring
              ? 'Storing'
              : 'Make the build'
            : `On to: ${titles[draftSteps[index + 1] ?? step]}`}
          <kbd className="key-hint">Enter</kbd>
        </button>
        {index === 0 ? null : <Button onPress={() => open(draftSteps[index - 1] ?? step)}>One step back</Button>}
        <span className="muted small">Kept while you type; leaving this page loses nothing.</span>
      </div>
    </form>
  );
}

/** Engines and customers that a new build may use. */
function useBookParts(client: Client): { engines: readonly Part[]; customers: readonly string[] } {
  const [engines, setEngines] = useState<readonly Part[]>([]);
  const [customers, setCustomers] = useState<readonly string[]>([]);
  useEffect(() => {
    let isGone = false;
    // Both lists only shorten typing: without them the flow still works, so a failure is not worth a sentence here.
    const read = async () => {
      const parts = await client.call('part.list', { kind: 'engine' });
      const known = await client.call('customer.list', {});
      if (isGone) return;
      setEngines(parts);
      setCustomers([...new Set(known.map((customer) => customer.name).filter((name) => name !== ''))]);
    };
    read().catch((error: unknown) => console.warn('Engines and customers of the book could not be listed:', error));
    return () => {
      isGone = true;
    };
  }, [client]);
  return { engines, customers };
}

/** Takes up an unfinished draft, and keeps each change of it. */
function useKeptDraft(client: Client, editor: ReturnType<typeof createEditor<BuildDraft>>): void {
  useEffect(() => {
    client
      .call('preferences.get', {})
      .then((all) => {
        const draft = all[draftPreferenceKey];
        const isUntouched = editor.getState().past.length === 0;
        if (isUntouched && isDraft(draft)) editor.setState({ value: draft });
      })
      .catch((error: unknown) => console.warn('No unfinished draft could be read:', error));
    return keepChanges(
      editor,
      (draft) => client.call('preferences.set', { key: draftPreferenceKey, value: JSON.parse(JSON.stringify(draft)) }),
      () => null,
    );
  }, [client, editor]);
}

/** A draft of another version of the program may lack a part; it is then left alone rather than half understood. */
function isDraft(value: unknown): value is BuildDraft {
  return typeof value === 'object' && value !== null && Object.keys(emptyBuildDraft).every((key) => key in value);
}
