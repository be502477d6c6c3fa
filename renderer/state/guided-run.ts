import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { CheckResults, StepResult } from '../../core/mockup/check-results.ts';
import { wantedSentence } from '../../core/mockup/run-order.ts';
import type { Route } from './route.ts';

/** Where to go on, and what is done there. */
export interface NextPlace {
  readonly title: string;
  readonly sentence: string;
  /** What the way there is called. */
  readonly action: string;
  /** False once no step is left: then the action says where the way leads. */
  readonly isStep: boolean;
  readonly route: Route;
}

/** The place at which a step is done: the wheel is set up before anything is stamped. */
export function placeOfStep({ step }: StepResult, whole: MockUpWhole): Route {
  const mockUpId = whole.mockUp.id;
  if (step.place === 'checks') return { screen: 'mock-up', mockUpId, place: 'checks', step: step.id };
  return { screen: 'mock-up', mockUpId, place: whole.setups.length === 0 ? 'set-up' : 'bench' };
}

/** Where to go on from results that are out of limits: port timing is corrected by a plan, all else begins at its card. */
function placeOfResults({ step }: StepResult, { mockUp }: MockUpWhole): Route {
  return step.id === 'port_events'
    ? { screen: 'mock-up', mockUpId: mockUp.id, place: 'plan' }
    : { screen: 'mock-up', mockUpId: mockUp.id, place: 'checks', step: step.id };
}

/** The one call to action of a mock-up. */
export function nextPlace(results: CheckResults, whole: MockUpWhole): NextPlace {
  const { next, timing } = results;
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  if (next === null) {
    const out = results.steps.filter(({ state }) => state === 'out_of_limits');
    const [first] = out;
    if (first !== undefined) {
      return {
        title: 'Every step is read, not every result is within its limits',
        sentence: `Out of limits: ${out.map(({ step }) => step.title).join('; ')}. Read again, plan the correction, or change the limits.`,
        action: first.step.id === 'port_events' ? 'To the plan' : 'To what is out of limits',
        isStep: false,
        route: placeOfResults(first, whole),
      };
    }
    return {
      title: 'Every step is done or skipped',
      sentence: 'Print the sheets, or read again where a verdict says so.',
      action: 'To the sheets',
      isStep: false,
      route: { screen: 'mock-up', mockUpId: whole.mockUp.id, place: 'sheets' },
    };
  }
  const route = placeOfStep(next, whole);
  if (next.step.place === 'checks') {
    const again = next.state === 'open' ? '' : `${next.reason} `;
    return {
      title: next.step.title,
      sentence: `${again}Wanted: ${next.missing.join('; ')}.`,
      action: 'To this check',
      isStep: true,
      route,
    };
  }
  const isSetUp = whole.setups.length > 0;
  return {
    title: next.step.title,
    sentence: isSetUp
      ? timing.next === null
        ? next.reason
        : `${wantedSentence(timing.next, ports)}.`
      : 'Clamp the wheel on, set the camera up and confirm which way is forwards.',
    action: isSetUp ? 'To the bench' : 'To the set-up',
    isStep: true,
    route,
  };
}

export interface RunTally {
  readonly done: number;
  readonly skipped: number;
  readonly steps: number;
  readonly voidOrDoubtful: number;
  readonly outOfLimits: number;
  readonly undecided: number;
}

/** Counts over all steps and all results, timing included. */
export function runTally({ steps, rows, timing }: CheckResults): RunTally {
  const inState = (...states: readonly StepResult['state'][]) =>
    steps.filter(({ state }) => states.includes(state)).length;
  const verdicts = [...rows, ...timing.events, ...timing.figures].map(({ judged }) => judged.verdict);
  return {
    done: steps.filter(({ state, read, wanted }) => state === 'done' || (state === 'out_of_limits' && read === wanted))
      .length,
    skipped: inState('skipped'),
    steps: steps.length,
    voidOrDoubtful: inState('void', 'doubtful'),
    outOfLimits: verdicts.filter((verdict) => verdict === 'not_conforming').length,
    undecided: verdicts.filter((verdict) => verdict === 'cannot_be_decided').length,
  };
}
