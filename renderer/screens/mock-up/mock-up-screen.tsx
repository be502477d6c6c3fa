import '../../drawings/drawings.css';
import './mock-up.css';
import { useState } from 'react';
import { sideSentences } from '../../../core/mockup/side-differences.ts';
import { TimingBand } from '../../drawings/timing-band.tsx';
import { TimingDial } from '../../drawings/timing-dial.tsx';
import { Button, Notice } from '../../parts/controls.tsx';
import { DisagreementPanel } from '../../parts/disagreement-panel.tsx';
import { type Origin, OriginPanel } from '../../parts/origin-panel.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { nextPlace } from '../../state/guided-run.ts';
import { diagramOf, type MockUpResult } from '../../state/mock-up-result.ts';
import { useMockUpState } from '../../state/services.ts';
import { useCheckResults } from '../../state/use-check-results.ts';
import { useMockUpResult } from '../../state/use-mock-up-result.ts';
import { ChangeRecorder } from './change-recorder.tsx';
import { Configuration } from './configuration.tsx';
import { EventTable } from './event-table.tsx';
import { FigureTable } from './figure-table.tsx';
import { GuidedRun } from './guided-run.tsx';

/** What is measured, what is open, what is out of limits, what to do next. */
export function MockUpScreen() {
  const { whole, failure, phase } = useMockUpState();
  const result = useMockUpResult();
  const checks = useCheckResults();
  const [origin, setOrigin] = useState<Origin | null>(null);
  if (whole === null) {
    return failure === null ? (
      <LoadingState what="Reading the mock-up" />
    ) : (
      <FailedState isScreen what="This mock-up can't be read" sentence={failure} />
    );
  }
  if (whole.barrel.kind !== 'barrel' || whole.engine.kind !== 'engine' || result === null || checks === null) {
    return null;
  }
  const questions = [...new Set([...result.questions, ...checks.results.questions])];
  const { ports } = whole.barrel.data;
  return (
    <div className="desk">
      <div className="row spread">
        <h1>{whole.mockUp.name}</h1>
        <span className="muted">
          {whole.barrel.name}, {whole.engine.name}
        </span>
      </div>
      {phase === 'failed' && failure !== null ? (
        <Notice tone="failure" title="The latest state could not be read.">
          {failure} What is shown was read before.
        </Notice>
      ) : null}
      <GuidedRun results={checks.results} next={nextPlace(checks.results, checks.whole)} mockUpId={whole.mockUp.id} />
      {questions.map((question) => (
        <Notice key={question} tone="caution" title="Look at this.">
          {question}
        </Notice>
      ))}
      <DisagreementPanel disagreement={result.disagreement} />
      <div className="desk-columns mock-up-columns">
        <div className="stack">
          <EventTable result={result} onOrigin={setOrigin} />
          <FigureTable result={result} onOrigin={setOrigin} />
          <Sides sentences={sideSentences(result, ports)} />
          <Diagram result={result} />
        </div>
        <div className="stack">
          <Configuration />
          <ChangeRecorder shown={checks} />
        </div>
      </div>
      {origin === null ? null : <OriginPanel origin={origin} onClose={() => setOrigin(null)} />}
    </div>
  );
}

/** Left against right, in words: drive side and ignition side of each pair. */
function Sides({ sentences }: { sentences: readonly string[] }) {
  if (sentences.length === 0) return null;
  return (
    <section className="panel" aria-label="Drive side against ignition side">
      <h2>Drive side against ignition side</h2>
      <ul>
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
  );
}

function Diagram({ result }: { result: MockUpResult }) {
  const { whole } = useMockUpState();
  const [shape, setShape] = useState<'dial' | 'band'>('dial');
  if (whole?.barrel.kind !== 'barrel') return null;
  const data = diagramOf(result, whole.barrel.data.ports);
  const isEmpty = data.ports.every((port) => port.opens === null && port.closes === null);
  return (
    <section className="panel" aria-label="Timing diagram">
      <div className="row spread">
        <h2>Timing diagram</h2>
        <div className="row">
          <Button look="quiet" isPressed={shape === 'dial'} onPress={() => setShape('dial')}>
            Dial
          </Button>
          <Button look="quiet" isPressed={shape === 'band'} onPress={() => setShape('band')}>
            Band
          </Button>
        </div>
      </div>
      {isEmpty ? (
        <EmptyState title="Nothing to draw yet">
          <p>The diagram grows with every edge that is stamped.</p>
        </EmptyState>
      ) : shape === 'dial' ? (
        <TimingDial data={data} title={`Timing diagram of ${whole.mockUp.name}`} isInteractive />
      ) : (
        <TimingBand
          rows={data.ports.map((port) => ({ key: port.portId, title: port.label, port, isNewGroup: false }))}
          title={`Timing band of ${whole.mockUp.name}`}
          isInteractive
        />
      )}
    </section>
  );
}
