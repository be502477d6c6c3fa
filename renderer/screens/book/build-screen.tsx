import '../../parts/forms/forms.css';
import './book.css';
import { useCallback, useEffect, useState } from 'react';
import { useStore } from 'zustand';
import type { Client } from '../../../core/contract/client.ts';
import { type OutputOf, saysBookChanged } from '../../../core/contract/messages.ts';
import type { MockUp, Part } from '../../../core/contract/parts.ts';
import { Button, LinkButton } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { EngineForm } from '../../parts/forms/engine-form.tsx';
import { JobForm } from '../../parts/forms/job-form.tsx';
import { PartQuestions } from '../../parts/part-question.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { shownDay } from '../../parts/time-text.ts';
import { useLoaded } from '../../parts/use-loaded.ts';
import { type EngineDraft, engineProblem, jobProblem } from '../../state/build-draft.ts';
import { engineContentOf, type KeptJob, keepJob, keptJobOf } from '../../state/build-effects.ts';
import { changed, createEditor } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { createPartKeeper } from '../../state/part-keeper.ts';
import { formatRoute } from '../../state/route.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient } from '../../state/services.ts';
import { useWords } from '../../state/words.ts';
import { NewMockUp } from './new-mock-up.tsx';

type BuildWhole = OutputOf<'build.whole'>;

interface Loaded {
  readonly whole: BuildWhole;
  readonly engine: Part | null;
  readonly barrels: readonly Part[];
}

/** One job: what it is about, its engine, and its mock-ups. */
export function BuildScreen({ buildId, onTitle }: { buildId: string; onTitle: (title: string) => void }) {
  const client = useClient();
  const [state, setState] = useState<Loaded | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const load = useCallback(async () => {
    try {
      const whole = await client.call('build.whole', { id: buildId });
      const engine = whole.build.engineId === null ? null : await client.call('part.get', { id: whole.build.engineId });
      const barrels = await client.call('part.list', { kind: 'barrel' });
      setState({ whole, engine, barrels });
      setFailure(null);
      onTitle(whole.build.title);
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  }, [client, buildId, onTitle]);
  useEffect(() => {
    void load();
    return client.listen((announcement) => {
      if (saysBookChanged(announcement)) void load();
    });
  }, [client, load]);

  if (state === null && failure !== null) {
    return <FailedState isScreen what="This build can't be read" sentence={failure} onRetry={() => void load()} />;
  }
  if (state === null) return <LoadingState what="Reading the build" />;
  return (
    <div className="desk">
      <div className="row spread">
        <h1>{state.whole.build.title}</h1>
        <div className="row">
          <LinkButton to={{ screen: 'history', of: 'build', id: buildId }}>History</LinkButton>
          {state.whole.mockUps.length < 2 ? null : (
            <LinkButton
              to={{ screen: 'compare', mockUpIds: state.whole.mockUps.slice(0, 8).map((mockUp) => mockUp.id) }}
            >
              Compare its mock-ups
            </LinkButton>
          )}
        </div>
      </div>
      <div className="build-columns">
        <MockUps loaded={state} reload={load} />
        <div className="stack">
          <JobEditor key={state.whole.build.id} whole={state.whole} />
          {state.engine?.kind === 'engine' ? <EngineEditor key={state.engine.id} engine={state.engine} /> : null}
        </div>
      </div>
    </div>
  );
}

function MockUps({ loaded, reload }: { loaded: Loaded; reload: () => Promise<void> }) {
  const client = useClient();
  const words = useWords();
  const [isAdding, setAdding] = useState(false);
  const [failure, setFailure] = useState<string | null>(null);
  const { mockUps } = loaded.whole;
  const barrelName = (mockUp: MockUp) => loaded.barrels.find((barrel) => barrel.id === mockUp.barrelId)?.name ?? '';
  const copy = async (mockUp: MockUp) => {
    try {
      const made = await client.call('mockUp.copy', { id: mockUp.id, name: freeName(mockUp.name, mockUps) });
      navigate({ screen: 'mock-up', mockUpId: made.id, place: 'overview' });
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  };
  return (
    <section className="panel stack" aria-label="Mock-ups">
      <div className="row spread">
        <h2>Mock-ups</h2>
        <Button
          look={mockUps.length === 0 ? 'main' : 'plain'}
          isPressed={isAdding}
          onPress={() => setAdding(!isAdding)}
        >
          New mock-up
        </Button>
      </div>
      {failure === null ? null : <FailedState what="The mock-up was not copied" sentence={failure} />}
      {isAdding ? (
        <NewMockUp
          whole={loaded.whole}
          engine={loaded.engine}
          barrels={loaded.barrels}
          onMade={() => {
            setAdding(false);
            void reload();
          }}
        />
      ) : null}
      {mockUps.length === 0 && !isAdding ? (
        <EmptyState title="No mock-up yet">
          <p>A mock-up is one configuration of parts as assembled; the readings belong to it. Make the first one.</p>
        </EmptyState>
      ) : (
        <table className="table">
          <thead>
            <tr>
              <th scope="col">Mock-up</th>
              <th scope="col">{words.Barrel}</th>
              <th scope="col" className="figure">
                Base gasket
              </th>
              <th scope="col">Made</th>
              <th scope="col">
                <span className="visually-hidden">Do</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {mockUps.map((mockUp) => (
              <tr key={mockUp.id}>
                <th scope="row">
                  <a href={formatRoute({ screen: 'mock-up', mockUpId: mockUp.id, place: 'overview' })}>{mockUp.name}</a>
                </th>
                <td>
                  <a href={formatRoute({ screen: 'part', partId: mockUp.barrelId })}>{barrelName(mockUp)}</a>
                </td>
                <td className="figure">{mockUp.baseGasketMm === null ? 'not given' : `${mockUp.baseGasketMm} mm`}</td>
                <td className="muted build-day">{shownDay(mockUp.createdAt)}</td>
                <td className="figure">
                  <Button
                    look="quiet"
                    name={`Copy ${mockUp.name} to try another part`}
                    onPress={() => void copy(mockUp)}
                  >
                    Copy
                  </Button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

function freeName(name: string, mockUps: readonly MockUp[]): string {
  const taken = new Set(mockUps.map((mockUp) => mockUp.name));
  let number = 2;
  const stem = name.replace(/, try \d+$/, '');
  while (taken.has(`${stem}, try ${number}`)) number += 1;
  return `${stem}, try ${number}`;
}

function JobEditor({ whole }: { whole: BuildWhole }) {
  const client = useClient();
  // Begins with what was stored when the screen was opened; later answers are its own changes.
  const [editor] = useState(() => createEditor<KeptJob>(keptJobOf(whole.build)));
  const state = useStore(editor);
  const customers = useLoaded(loadCustomers);
  useEffect(
    () =>
      keepChanges(
        editor,
        (job) => keepJob(client, whole.build.id, job),
        (job) => jobProblem(job)?.sentence ?? null,
      ),
    [client, editor, whole.build.id],
  );
  const set = (job: KeptJob) => editor.setState(changed(editor.getState(), job));
  return (
    <section className="panel stack" aria-label="Job">
      <div className="row spread">
        <h2>Job</h2>
        <EditingBar editor={editor} />
      </div>
      <JobForm job={state.value} problem={jobProblem(state.value)} onChange={(job) => set({ ...state.value, ...job })}>
        <ChoiceField
          label="Customer"
          value={state.value.customerId ?? ''}
          choices={[
            { value: '', title: 'none' },
            ...(customers.value ?? (whole.customer === null ? [] : [whole.customer])).map(({ id, name }) => ({
              value: id,
              title: name === '' ? 'without a name' : name,
            })),
          ]}
          onChange={(id) => set({ ...state.value, customerId: id === '' ? null : id })}
        />
      </JobForm>
      <div className="row">
        <LinkButton look="quiet" to={{ screen: 'customers', customerId: state.value.customerId }}>
          {state.value.customerId === null ? 'To the customers' : 'Details of the customer'}
        </LinkButton>
      </div>
    </section>
  );
}

function loadCustomers(client: Client) {
  return client.call('customer.list', {});
}

function EngineEditor({ engine }: { engine: Extract<Part, { kind: 'engine' }> }) {
  const client = useClient();
  const [editor] = useState(() => createEditor<EngineDraft>({ name: engine.name, ...engine.data }));
  const [keeper] = useState(() =>
    createPartKeeper(client, { partId: engine.id, first: editor.getState().value, contentOf: engineContentOf }),
  );
  const state = useStore(editor);
  useEffect(
    () => keepChanges(editor, keeper.keep, (draft) => engineProblem(draft)?.sentence ?? null),
    [editor, keeper],
  );
  return (
    <section className="panel stack" aria-label="Engine">
      <div className="row spread">
        <h2>Engine</h2>
        <EditingBar editor={editor} />
      </div>
      <p className="muted small">
        A part of the book: a change counts in every mock-up that uses this engine. Where readings hang on it, you are
        asked first whether they become void.
      </p>
      <PartQuestions editor={editor} keeper={keeper} />
      <EngineForm
        engine={state.value}
        problem={engineProblem(state.value)}
        onChange={(draft) => editor.setState(changed(editor.getState(), draft))}
      />
    </section>
  );
}
