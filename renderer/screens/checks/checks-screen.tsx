import './checks.css';
import { useEffect } from 'react';
import { useStore } from 'zustand';
import type { CheckResults, StepResult } from '../../../core/mockup/check-results.ts';
import type { StepId } from '../../../core/mockup/step-shape.ts';
import { TextField } from '../../parts/fields.tsx';
import { isTyping } from '../../parts/keyboard.ts';
import { SessionFailures, SessionUndo } from '../../parts/session-undo.tsx';
import { FailedState, LoadingState } from '../../parts/states.tsx';
import { StepMark, stepStateWords } from '../../parts/step-mark.tsx';
import { formatRoute } from '../../state/route.ts';
import { navigate, useMockUpState, useRoute } from '../../state/services.ts';
import { type ShownChecks, useCheckResults, useCheckSession } from '../../state/use-check-results.ts';
import { StepCard } from './step-card.tsx';

/** Ring gap, clearance, deck, squish, volumes, ignition: one card a step, readings to verdict. */
export function ChecksScreen() {
  const shown = useCheckResults();
  const { failure } = useMockUpState();
  if (shown === null) {
    return failure === null ? (
      <LoadingState what="Reading the mock-up" />
    ) : (
      <FailedState isScreen what="This mock-up can't be read" sentence={failure} />
    );
  }
  return <Checks shown={shown} />;
}

function Checks({ shown }: { shown: ShownChecks }) {
  const { whole, results } = shown;
  const route = useRoute();
  const asked = route.screen === 'mock-up' ? route.step : undefined;
  const open = results.steps.find(({ step }) => step.id === asked) ?? results.next ?? results.steps[0];
  const openId = open?.step.id ?? 'box_check';
  const go = (stepId: StepId) =>
    navigate({ screen: 'mock-up', mockUpId: whole.mockUp.id, place: 'checks', step: stepId });
  const session = useCheckSession();
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.defaultPrevented || isTyping(event.target)) return;
      if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'z') {
        event.preventDefault();
        if (event.shiftKey) session.redo();
        else session.undo();
        return;
      }
      if (event.ctrlKey || event.metaKey || event.altKey) return;
      const by = event.key === 'n' ? 1 : event.key === 'p' ? -1 : 0;
      const at = results.steps.findIndex(({ step }) => step.id === openId) + by;
      const target = results.steps[at];
      if (by !== 0 && target !== undefined) go(target.step.id);
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  });
  return (
    <div className="desk checks">
      <div className="row spread">
        <h1>Checks</h1>
        <Doing />
      </div>
      <SessionFailures session={session} />
      <div className="checks-columns">
        <StepList results={results} mockUpId={whole.mockUp.id} openId={openId} />
        {open === undefined ? null : (
          <StepCard key={open.step.id} result={open} shown={shown} next={nextAfter(results, open)} onGo={go} />
        )}
      </div>
    </div>
  );
}

/** The step to go on with from here: the next in order that still wants something. */
function nextAfter(results: CheckResults, from: StepResult): StepResult | null {
  const at = results.steps.indexOf(from);
  const wants = ({ state }: StepResult) => state === 'open' || state === 'void' || state === 'doubtful';
  return results.steps.slice(at + 1).find(wants) ?? null;
}

function StepList({ results, mockUpId, openId }: { results: CheckResults; mockUpId: string; openId: StepId }) {
  return (
    <nav className="panel checks-steps" aria-label="Steps of the mock-up">
      <ol>
        {results.steps.map(({ step, state, read, wanted }, index) => (
          <li key={step.id}>
            <a
              href={formatRoute({ screen: 'mock-up', mockUpId, place: 'checks', step: step.id })}
              aria-current={step.id === openId ? 'step' : undefined}
            >
              <StepMark state={state} />
              <span className="checks-step-title">
                {index + 1}. {step.title}
              </span>
              <span className="small muted">
                {stepStateWords[state]}
                {state === 'open' && read > 0 ? `, ${read} of ${wanted}` : ''}
              </span>
            </a>
          </li>
        ))}
      </ol>
      <p className="small muted">
        <kbd>N</kbd> next step, <kbd>P</kbd> the one before
      </p>
    </nav>
  );
}

/** Who measures, what was kept, undo and redo. */
function Doing() {
  const session = useCheckSession();
  const measuredBy = useStore(session.store, (state) => state.measuredBy);
  return (
    <div className="row">
      <TextField label="Measured by" value={measuredBy} onChange={session.setMeasuredBy} />
      <SessionUndo session={session} showsKeys />
    </div>
  );
}
