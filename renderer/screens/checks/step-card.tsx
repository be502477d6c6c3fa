import { useState } from 'react';
import type { StepResult } from '../../../core/mockup/check-results.ts';
import { stepGuidance } from '../../../core/mockup/step-guidance.ts';
import type { StepId } from '../../../core/mockup/step-shape.ts';
import { Button, LinkButton, Notice } from '../../parts/controls.tsx';
import { TextField } from '../../parts/fields.tsx';
import { type Origin, OriginPanel } from '../../parts/origin-panel.tsx';
import { StepMark, stepStateWords } from '../../parts/step-mark.tsx';
import { type ShownChecks, useCheckSession } from '../../state/use-check-results.ts';
import { calibrationNote } from './calibration-note.ts';
import { PictureEntry } from './picture-entry.tsx';
import { QuantityEntry } from './quantity-entry.tsx';
import { ResultsTable } from './results-table.tsx';
import { WordsEntry } from './words-entry.tsx';

interface StepCardProps {
  readonly result: StepResult;
  readonly shown: ShownChecks;
  /** The next step in order that still wants something. */
  readonly next: StepResult | null;
  readonly onGo: (stepId: StepId) => void;
}

/** One step: how it is done, what was read, what follows, how it stands. */
export function StepCard({ result, shown, next, onGo }: StepCardProps) {
  const { step, state, missing, reason } = result;
  const { whole, instruments } = shown;
  const guidance = stepGuidance[step.id];
  const [origin, setOrigin] = useState<Origin | null>(null);
  return (
    <article className="panel checks-card" aria-labelledby="step-title">
      <header className="row spread">
        <h2 id="step-title" className="checks-card-title">
          {step.title}
        </h2>
        <span className="row checks-state" data-state={state}>
          <StepMark state={state} />
          <strong>{stepStateWords[state]}</strong>
          {reason === '' ? null : <span className="muted">{reason}</span>}
        </span>
      </header>
      <div className="checks-guidance">
        <p>{guidance.how}</p>
        <p className="muted">
          <strong>Usual mistake:</strong> {guidance.mistake}
        </p>
        {guidance.cautions.map((caution) => (
          <Notice key={caution} tone="caution">
            {caution}
          </Notice>
        ))}
      </div>
      {result.questions.map((question) => (
        <Notice key={question} tone="caution" title="Look at this.">
          {question}
        </Notice>
      ))}
      {step.place === 'bench' ? <AtTheWheel stepId={step.id} mockUpId={whole.mockUp.id} /> : null}
      {step.quantities.map((quantity) => {
        const places = result.places.filter((place) => place.quantity.id === quantity.id);
        if (quantity.kind === 'words') return <WordsEntry key={quantity.id} quantity={quantity} places={places} />;
        if (quantity.kind === 'picture') return <PictureEntry key={quantity.id} quantity={quantity} places={places} />;
        return (
          <QuantityEntry
            key={quantity.id}
            quantity={quantity}
            places={places}
            instruments={instruments}
            note={calibrationNote(places, instruments)}
          />
        );
      })}
      {result.rows.length === 0 ? null : <ResultsTable rows={result.rows} onOrigin={setOrigin} />}
      {missing.length === 0 || state === 'skipped' ? null : (
        <p className="small muted">Still wanted: {missing.join('; ')}.</p>
      )}
      <SkipBar result={result} next={next} onGo={onGo} />
      {origin === null ? null : <OriginPanel origin={origin} onClose={() => setOrigin(null)} />}
    </article>
  );
}

function AtTheWheel({ stepId, mockUpId }: { stepId: StepId; mockUpId: string }) {
  return (
    <div className="row">
      <LinkButton look="main" to={{ screen: 'mock-up', mockUpId, place: 'bench' }}>
        {stepId === 'true_tdc' ? 'Stamp the stop at the bench' : 'Stamp the edges at the bench'}
      </LinkButton>
      <LinkButton to={{ screen: 'mock-up', mockUpId, place: 'set-up' }}>Set up wheel and camera</LinkButton>
      <LinkButton look="quiet" to={{ screen: 'mock-up', mockUpId, place: 'overview' }}>
        Events so far
      </LinkButton>
    </div>
  );
}

/** Passing a step over, taking it up again, going on. */
function SkipBar({ result, next, onGo }: Pick<StepCardProps, 'result' | 'next' | 'onGo'>) {
  const session = useCheckSession();
  const [isAsking, setAsking] = useState(false);
  const [reason, setReason] = useState('');
  const { step, state, skip } = result;
  return (
    <footer className="row spread checks-foot">
      {state === 'skipped' && skip !== null ? (
        <Button onPress={() => session.takeUp(skip)}>Take it up again</Button>
      ) : isAsking ? (
        <form
          className="row"
          aria-label={`Skip ${step.title}`}
          onSubmit={(event) => {
            event.preventDefault();
            session.skip(step.id, step.title, reason.trim());
            setAsking(false);
            setReason('');
          }}
        >
          <TextField label="Why it is skipped" value={reason} autoFocus onChange={setReason} />
          <button type="submit" className="button button-plain">
            Skip this step
          </button>
          <Button look="quiet" onPress={() => setAsking(false)}>
            Leave it open
          </Button>
        </form>
      ) : (
        <Button look="quiet" onPress={() => setAsking(true)}>
          Skip this step
        </Button>
      )}
      {next === null ? null : (
        <Button look={isSettled(result) ? 'main' : 'plain'} onPress={() => onGo(next.step.id)}>
          Next: {next.step.title}
        </Button>
      )}
    </footer>
  );
}

function isSettled({ state }: StepResult): boolean {
  return state === 'done' || state === 'skipped' || state === 'out_of_limits';
}
