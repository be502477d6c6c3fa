import '../../drawings/drawings.css';
import './mock-up.css';
import { useState } from 'react';
import { wantedSentence } from '../../../core/mockup/run-order.ts';
import { TimingBand } from '../../drawings/timing-band.tsx';
import { TimingDial } from '../../drawings/timing-dial.tsx';
import { Button, LinkButton, Notice } from '../../parts/controls.tsx';
import { type Origin, OriginPanel } from '../../parts/origin-panel.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { diagramOf, type MockUpResult, tallyOf } from '../../state/mock-up-result.ts';
import { useMockUpState } from '../../state/services.ts';
import { useMockUpResult } from '../../state/use-mock-up-result.ts';
import { Configuration } from './configuration.tsx';
import { EventTable } from './event-table.tsx';
import { FigureTable } from './figure-table.tsx';

/** What is measured, what is open, what is out of limits, what to do next. */
export function MockUpScreen() {
  const { whole, failure, phase } = useMockUpState();
  const result = useMockUpResult();
  const [origin, setOrigin] = useState<Origin | null>(null);
  if (whole === null) {
    return failure === null ? (
      <LoadingState what="Reading the mock-up" />
    ) : (
      <FailedState isScreen what="This mock-up can't be read" sentence={failure} />
    );
  }
  if (whole.barrel.kind !== 'barrel' || whole.engine.kind !== 'engine' || result === null) return null;
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
      <Strip
        result={result}
        nextSentence={result.next === null ? null : wantedSentence(result.next, ports)}
        mockUpId={whole.mockUp.id}
      />
      {result.questions.map((question) => (
        <Notice key={question} tone="caution" title="Look at this.">
          {question}
        </Notice>
      ))}
      <div className="desk-columns mock-up-columns">
        <div className="stack">
          <EventTable result={result} onOrigin={setOrigin} />
          <FigureTable result={result} onOrigin={setOrigin} />
        </div>
        <div className="stack">
          <Diagram result={result} />
          <Configuration />
        </div>
      </div>
      {origin === null ? null : <OriginPanel origin={origin} onClose={() => setOrigin(null)} />}
    </div>
  );
}

interface StripProps {
  readonly result: MockUpResult;
  readonly nextSentence: string | null;
  readonly mockUpId: string;
}

/** The state of the whole in one line, and the way on. */
function Strip({ result, nextSentence, mockUpId }: StripProps) {
  const tally = tallyOf(result);
  return (
    <section className="strip" aria-label="State">
      <div className="strip-next">
        <span className="small muted">{nextSentence === null ? 'Every edge has been read' : 'Next'}</span>
        <strong>{nextSentence ?? 'Print the sheet, or read again where it says so'}</strong>
      </div>
      <dl className="strip-counts">
        <div>
          <dt>Edges measured</dt>
          <dd>
            {tally.measured} of {tally.edges}
          </dd>
        </div>
        <div>
          <dt>Out of limits</dt>
          <dd className={tally.outOfLimits > 0 ? 'strip-bad' : undefined}>{tally.outOfLimits}</dd>
        </div>
        <div>
          <dt>Can't be decided</dt>
          <dd>{tally.undecided}</dd>
        </div>
        <div>
          <dt>True TDC</dt>
          <dd>{result.tdc.isFound ? 'found' : 'open'}</dd>
        </div>
      </dl>
      {nextSentence === null ? (
        <LinkButton look="main" to={{ screen: 'mock-up', mockUpId, place: 'sheets' }}>
          To the sheet
        </LinkButton>
      ) : (
        <LinkButton look="main" to={{ screen: 'mock-up', mockUpId, place: 'bench' }}>
          To the bench
        </LinkButton>
      )}
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
