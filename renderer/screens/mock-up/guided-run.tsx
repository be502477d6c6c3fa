import type { CheckResults, StepResult } from '../../../core/mockup/check-results.ts';
import { LinkButton } from '../../parts/controls.tsx';
import { StepMark, stepStateWords } from '../../parts/step-mark.tsx';
import { type NextPlace, type RunTally, runTally } from '../../state/guided-run.ts';
import { formatRoute } from '../../state/route.ts';

interface GuidedRunProps {
  readonly results: CheckResults;
  readonly next: NextPlace;
  readonly mockUpId: string;
}

/** The state of the whole job at a glance, and the one way on. */
export function GuidedRun({ results, next, mockUpId }: GuidedRunProps) {
  return (
    <section className="panel run" aria-label="The mock-up step by step">
      <div className="run-next">
        <div className="run-next-text">
          <span className="small muted">Next</span>
          <strong>{next.title}</strong>
          <span>{next.sentence}</span>
        </div>
        <LinkButton look="main" to={next.route}>
          {next.action}
        </LinkButton>
        <Counts tally={runTally(results)} isTdcFound={results.timing.tdc.isFound} />
      </div>
      <ol className="run-steps">
        {results.steps.map((result, index) => (
          <StepTile
            key={result.step.id}
            result={result}
            number={index + 1}
            isNext={results.next === result}
            mockUpId={mockUpId}
          />
        ))}
      </ol>
    </section>
  );
}

function Counts({ tally, isTdcFound }: { tally: RunTally; isTdcFound: boolean }) {
  const counts: readonly (readonly [string, string, boolean])[] = [
    ['Steps done', `${tally.done} of ${tally.steps}`, false],
    ['Skipped', String(tally.skipped), false],
    ['Void or in doubt', String(tally.voidOrDoubtful), tally.voidOrDoubtful > 0],
    ['Out of limits', String(tally.outOfLimits), tally.outOfLimits > 0],
    ["Can't be decided", String(tally.undecided), false],
    ['True TDC', isTdcFound ? 'found' : 'open', false],
  ];
  return (
    <dl className="strip-counts">
      {counts.map(([title, count, isBad]) => (
        <div key={title}>
          <dt>{title}</dt>
          <dd className={isBad ? 'strip-bad' : undefined}>{count}</dd>
        </div>
      ))}
    </dl>
  );
}

interface TileProps {
  readonly result: StepResult;
  readonly number: number;
  readonly isNext: boolean;
  readonly mockUpId: string;
}

function StepTile({ result, number, isNext, mockUpId }: TileProps) {
  const { step, state, read, wanted } = result;
  return (
    <li>
      <a
        className="run-step"
        data-state={state}
        data-next={isNext}
        href={formatRoute({ screen: 'mock-up', mockUpId, place: 'checks', step: step.id })}
      >
        <StepMark state={state} />
        <span className="run-step-title">
          {number}. {step.title}
        </span>
        <span className="small">
          {stepStateWords[state]}
          {state === 'open' && read > 0 ? `, ${read} of ${wanted}` : ''}
          {isNext ? ', next' : ''}
        </span>
      </a>
    </li>
  );
}
