/**
 * Uncertainty budget of an event angle: u^2 = s_p^2/n + u_dir^2 + u_reader^2, plus u(TDC)^2 once it is an angle after
 * TDC. A duration is a difference of two events, in which u(TDC) cancels.
 */
import { atLeast, notNegative, positive, refuse } from '../checks.ts';
import { type Deg, wrapSigned, wrapTurn } from '../units.ts';
import { meanOfRepeats, unwrapped } from './circular.ts';
import { meanOf, squaredDeviations } from './type-a.ts';
import { resolutionUncertainty } from './type-b.ts';
import { type Contribution, needsMoreReadings, type Value, valueFrom } from './value.ts';

/** Adjustable defaults of the budget; Preferences lists them with their reasons. */
export interface BudgetDefaults {
  /** Scatter of placing the crank at an edge, one standard deviation, while a session hasn't shown its own. */
  readonly placementPriorDeg: Deg;
  /** Degrees of freedom that the prior is worth; a session with as many of its own no longer uses it. */
  readonly placementPriorDegreesOfFreedom: number;
  /** Slack between the directions where no edge has been read both ways. */
  readonly slackDeg: Deg;
  /** Step of the wheel by which a direction difference is judged. */
  readonly wheelStepDeg: Deg;
}

export const budgetDefaults: BudgetDefaults = {
  placementPriorDeg: 0.25,
  placementPriorDegreesOfFreedom: 3,
  slackDeg: 0.5,
  wheelStepDeg: 1,
};

/** One angle as it was read: rising forwards, with the reader's own standard uncertainty. */
export interface AngleRead {
  readonly angleDeg: Deg;
  /** Of the camera's reader, or the resolution term of a typed reading (`typedReaderSigma`). */
  readonly readerSigmaDeg: Deg;
  readonly reader: 'camera' | 'typed';
}

/** Readings of one edge, by the direction in which the crank was turned on to it. */
export interface EdgeReadings {
  readonly forwards: readonly AngleRead[];
  readonly backwards: readonly AngleRead[];
}

/**
 * Reader's term of a typed reading: one step of the scale that was read, and the wheel's own error.
 * @param wheelSigmaDeg standard uncertainty of the wheel's division, 0 where its list entry gives none
 * @throws missing, non_positive, negative
 */
export function typedReaderSigma(resolutionDeg: Deg, wheelSigmaDeg: Deg = 0): Deg {
  return Math.hypot(resolutionUncertainty(resolutionDeg), notNegative('wheelSigmaDeg', wheelSigmaDeg));
}

export interface PlacementScatter {
  /** Scatter s_p of one placement. */
  readonly sigmaDeg: Deg;
  readonly degreesOfFreedom: number;
  /** Degrees of freedom that the session's own repeats give. */
  readonly fromRepeats: number;
  readonly usesPrior: boolean;
}

const anglesOf = (readings: readonly AngleRead[]): number[] => readings.map(({ angleDeg }) => angleDeg);

/**
 * Placement scatter, pooled over the repeats of the same edge and direction in a session.
 *
 * With fewer degrees of freedom than the prior is worth, the prior makes up the rest: it is weighted by the degrees of
 * freedom that are missing, so that the result passes smoothly from the prior to the session's own scatter.
 * @throws missing, singular where repeats of one edge lie half a turn apart
 */
export function placementScatter(
  session: readonly EdgeReadings[],
  defaults: BudgetDefaults = budgetDefaults,
): PlacementScatter {
  const prior = positive('placementPriorDeg', defaults.placementPriorDeg);
  const worth = positive('placementPriorDegreesOfFreedom', defaults.placementPriorDegreesOfFreedom);
  let squares = 0;
  let fromRepeats = 0;
  for (const edge of session) {
    for (const group of [edge.forwards, edge.backwards]) {
      if (group.length < 2) continue;
      squares += squaredDeviations(unwrapped(anglesOf(group)));
      fromRepeats += group.length - 1;
    }
  }
  const missing = Math.max(0, worth - fromRepeats);
  const degreesOfFreedom = fromRepeats + missing;
  return {
    sigmaDeg: Math.sqrt((squares + missing * prior ** 2) / degreesOfFreedom),
    degreesOfFreedom,
    fromRepeats,
    usesPrior: missing > 0,
  };
}

function middle(sorted: readonly number[]): number {
  const upper = sorted[Math.floor(sorted.length / 2)] as number;
  const lower = sorted[Math.ceil(sorted.length / 2) - 1] as number;
  return (lower + upper) / 2;
}

/**
 * Slack of a session: median of the direction differences (forward minus backward, signed) of its edges.
 * @returns null where no edge was read both ways
 */
export function sessionSlack(session: readonly EdgeReadings[]): Deg | null {
  const differences = session.flatMap((edge) => directionDifferenceOf(edge) ?? []);
  return differences.length === 0 ? null : middle(differences.toSorted((a, b) => a - b));
}

/** Mean forwards minus mean backwards, in [-180, 180); null where only one direction was read. */
export function directionDifferenceOf(edge: EdgeReadings): Deg | null {
  if (edge.forwards.length === 0 || edge.backwards.length === 0) return null;
  return wrapSigned(meanOfRepeats(anglesOf(edge.forwards)) - meanOfRepeats(anglesOf(edge.backwards)));
}

export interface SessionScatter {
  readonly placement: PlacementScatter;
  /** Signed; null where no edge was read both ways. */
  readonly slackDeg: Deg | null;
  readonly defaults: BudgetDefaults;
}

/** What all edges of a session say about its readings. @throws missing, singular */
export function sessionScatter(
  session: readonly EdgeReadings[],
  defaults: BudgetDefaults = budgetDefaults,
): SessionScatter {
  return { placement: placementScatter(session, defaults), slackDeg: sessionSlack(session), defaults };
}

/**
 * Readings that a mean of the directions' means is worth. With as many forwards as backwards this is their number n;
 * otherwise the rarer direction weighs as much as the other and the mean is worth less.
 */
export function readingsWorth(forwards: number, backwards: number): number {
  return forwards === 0 || backwards === 0 ? forwards + backwards : 4 / (1 / forwards + 1 / backwards);
}

/** The reader's error is common to all readings of one set-up: it enters with its mean and doesn't shrink with n. */
function readerSigma(edge: EdgeReadings): Deg {
  const groups = [edge.forwards, edge.backwards].filter((group) => group.length > 0);
  return meanOf(
    groups.map((group) => meanOf(group.map(({ readerSigmaDeg }) => notNegative('readerSigmaDeg', readerSigmaDeg)))),
  );
}

export interface EventAngle {
  /** Rising angle of the event in [0, 360), on the wheel or rotation it was read from; TDC isn't in it yet. */
  readonly angleDeg: Value;
  readonly forwardMeanDeg: Deg | null;
  readonly backwardMeanDeg: Deg | null;
  readonly directionDifferenceDeg: Deg | null;
  readonly readings: number;
  /** The k = 2 rule covers less than 95 %: ask for more readings. */
  readonly needsMoreReadings: boolean;
}

function directionTerm(edge: EdgeReadings, session: SessionScatter): Contribution[] {
  if (edge.forwards.length > 0 && edge.backwards.length > 0) return [];
  const slack = session.slackDeg ?? session.defaults.slackDeg;
  return [
    {
      from: 'one direction only',
      effect: Math.abs(slack) / 2 / Math.sqrt(3),
      degreesOfFreedom: null,
      route: 'hysteresis',
    },
  ];
}

/**
 * Angle of an event from its readings, with its uncertainty budget.
 * @param edge at least one reading; angles rise forwards, in any turn
 * @throws missing, insufficient_data, singular, negative
 */
export function eventAngle(edge: EdgeReadings, session: SessionScatter): EventAngle {
  const { forwards, backwards } = edge;
  const readings = forwards.length + backwards.length;
  if (readings === 0) {
    refuse('insufficient_data', 'readings', [], 'at least one reading of the edge', 'stamp the edge first.');
  }
  const forwardMeanDeg = forwards.length === 0 ? null : meanOfRepeats(anglesOf(forwards));
  const backwardMeanDeg = backwards.length === 0 ? null : meanOfRepeats(anglesOf(backwards));
  const means = [forwardMeanDeg, backwardMeanDeg].filter((mean) => mean !== null);
  const { placement } = session;
  const angleDeg = valueFrom(meanOfRepeats(means), [
    {
      from: placement.usesPrior ? 'placement of the edge (with default)' : 'placement of the edge',
      effect: placement.sigmaDeg / Math.sqrt(readingsWorth(forwards.length, backwards.length)),
      degreesOfFreedom: placement.degreesOfFreedom,
      route: 'repeats',
    },
    ...directionTerm(edge, session),
    {
      from: [...forwards, ...backwards].some(({ reader }) => reader === 'camera')
        ? 'camera reader'
        : 'step of the wheel',
      effect: readerSigma(edge),
      degreesOfFreedom: null,
      route: [...forwards, ...backwards].some(({ reader }) => reader === 'camera') ? 'instrument' : 'resolution',
    },
  ]);
  return {
    angleDeg,
    forwardMeanDeg,
    backwardMeanDeg,
    directionDifferenceDeg: directionDifferenceOf(edge),
    readings,
    needsMoreReadings: needsMoreReadings(angleDeg.degreesOfFreedom),
  };
}

const termsOf = (value: Value, name: string, sign: 1 | -1): Contribution[] =>
  value.contributions.map((term) => ({ ...term, from: `${name}: ${term.from}`, effect: sign * term.effect }));

/** Crank angle of an event: its angle less that of true TDC, in [0, 360), with u(TDC) added. */
export function afterTdc(event: Value, tdc: Value): Value {
  return valueFrom(wrapTurn(event.value - tdc.value), [...event.contributions, ...termsOf(tdc, 'TDC', -1)]);
}

/** Open duration, closing less opening, in [0, 360); both without TDC in them, which cancels. */
export function durationOf(opens: Value, closes: Value): Value {
  return valueFrom(wrapTurn(closes.value - opens.value), [
    ...termsOf(closes, 'closing', 1),
    ...termsOf(opens, 'opening', -1),
  ]);
}

/** Difference of two events of one wheel set-up, such as blowdown or left against right, in [-180, 180). */
export function leadOf(earlier: Value, later: Value): Value {
  return valueFrom(wrapSigned(later.value - earlier.value), [
    ...termsOf(later, 'later event', 1),
    ...termsOf(earlier, 'earlier event', -1),
  ]);
}

export interface DirectionQuestion {
  readonly differenceDeg: Deg;
  /** Standard uncertainty of the difference, placement included. */
  readonly sigmaDeg: Deg;
  /** Slack of the session that it was compared with. */
  readonly slackDeg: Deg;
  readonly isQuestionable: boolean;
}

/** A difference raises a question beyond this many of its own standard uncertainties, or this many wheel steps. */
export const questionAtMultiples = 3;

/**
 * Does the difference between the directions raise a question?
 *
 * Only where it exceeds three wheel steps or three times its own uncertainty, placement included, and also differs from
 * the slack of the session by more than three times that uncertainty.
 * @returns null where only one direction was read
 */
export function directionQuestion(edge: EdgeReadings, session: SessionScatter): DirectionQuestion | null {
  const differenceDeg = directionDifferenceOf(edge);
  if (differenceDeg === null) return null;
  const { placement, defaults } = session;
  const variance =
    placement.sigmaDeg ** 2 * (1 / edge.forwards.length + 1 / edge.backwards.length) + 2 * readerSigma(edge) ** 2;
  const sigmaDeg = Math.sqrt(variance);
  const slackDeg = session.slackDeg ?? 0;
  const isLarge = Math.abs(differenceDeg) > questionAtMultiples * Math.min(defaults.wheelStepDeg, sigmaDeg);
  const isOutOfLine = Math.abs(wrapSigned(differenceDeg - slackDeg)) > questionAtMultiples * sigmaDeg;
  return { differenceDeg, sigmaDeg, slackDeg, isQuestionable: isLarge && isOutOfLine };
}

export interface DurationUncertainty {
  readonly durationDeg: Deg;
  readonly standardUncertaintyDeg: Deg;
  readonly expandedDeg: Deg;
}

/**
 * Duration with its uncertainty from repeated wheel readings, by repeats alone: u^2 = s^2/n of each event plus one
 * resolution term each. The session's budget above is the better estimate where a session exists.
 * @param openReadingsDeg at least two
 * @param closeReadingsDeg at least two
 * @param resolutionDeg step of the wheel, greater than 0
 * @throws missing, insufficient_data, singular, non_positive
 * @source JCGM 100:2008, 4.2, 5.1.2, F.2.2.1
 */
export function durationByRepeats(
  openReadingsDeg: readonly Deg[],
  closeReadingsDeg: readonly Deg[],
  resolutionDeg: Deg,
  coverage: number,
): DurationUncertainty {
  const opening = repeatsOf('openReadingsDeg', openReadingsDeg);
  const closing = repeatsOf('closeReadingsDeg', closeReadingsDeg);
  const standardUncertaintyDeg = Math.sqrt(
    opening.variance + closing.variance + 2 * resolutionUncertainty(resolutionDeg) ** 2,
  );
  return {
    durationDeg: wrapTurn(closing.mean - opening.mean),
    standardUncertaintyDeg,
    expandedDeg: coverage * standardUncertaintyDeg,
  };
}

function repeatsOf(field: string, readingsDeg: readonly Deg[]): { mean: Deg; variance: number } {
  const readings = unwrapped(atLeastTwo(field, readingsDeg));
  const degreesOfFreedom = readings.length - 1;
  return { mean: meanOf(readings), variance: squaredDeviations(readings) / degreesOfFreedom / readings.length };
}

function atLeastTwo(field: string, readingsDeg: readonly Deg[]): readonly Deg[] {
  return atLeast(field, readingsDeg, 2, 'one reading shows no scatter');
}
