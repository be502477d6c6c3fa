/** From a mock-up's stored readings to its timing: true TDC, events, durations, blowdown, verdicts. */
import type { MockUpWhole } from '../contract/messages.ts';
import type { Port, PortKind, Specification } from '../contract/parts.ts';
import type { Edge } from '../contract/readings.ts';
import { crankAngleFrom } from '../crank/dead-centre.ts';
import { type CrankGeometry, signedOffset } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import { quotedEvent } from '../ports/events.ts';
import { portKindTable } from '../ports/kinds.ts';
import {
  afterTdc,
  type BudgetDefaults,
  budgetDefaults,
  directionQuestion,
  eventAngle,
} from '../uncertainty/event-budget.ts';
import type { Value } from '../uncertainty/value.ts';
import type { Deg } from '../units.ts';
import { type Disagreement, disagreementOf } from './disagreement.ts';
import { frameInUse } from './frame-in-use.ts';
import { eventKey } from './frame-readings.ts';
import { type Judged, judged } from './judge.ts';
import { middleSentence, portMiddles } from './port-middles.ts';
import { edgeTitle, nextWanted, type Wanted, wantedEvents } from './run-order.ts';
import { joinStamps, type Stamp } from './stamps.ts';
import { type TdcResult, tdcResult } from './tdc-result.ts';
import { blowdownRow, durationRow, type FigureRow, type FoundEvent, sideRows } from './timing-figures.ts';
import { wheelFrames } from './wheel-frames.ts';

/** One port edge with all that was read of it. Angles are crank angles, degrees forwards from true TDC, 0 to 360. */
export interface EventRow {
  readonly key: string;
  readonly portId: string;
  readonly kind: PortKind;
  readonly edge: Edge;
  readonly title: string;
  readonly crank: Value | null;
  readonly forwardsDeg: Deg | null;
  readonly backwardsDeg: Deg | null;
  readonly differenceDeg: Deg | null;
  /** A sentence where the directions disagree by more than slack and placement explain. */
  readonly question: string | null;
  readonly stamps: readonly Stamp[];
  readonly judged: Judged;
}

export interface TimingResult {
  /** True where not one event has an angle after TDC yet. */
  readonly hasNothing: boolean;
  readonly tdc: TdcResult;
  readonly events: readonly EventRow[];
  readonly figures: readonly FigureRow[];
  readonly next: Wanted | null;
  /** Sentences that need the builder's attention. */
  readonly questions: readonly string[];
  /** What may be wrong where the questions are about readings that disagree, or null. */
  readonly disagreement: Disagreement | null;
  readonly stamps: readonly Stamp[];
}

const newReferenceSentence =
  'The wheel was set up anew since TDC was found: take the stop from both sides again. What is stamped from now on counts from that TDC. Earlier stamps are kept and keep their own; an edge that is stamped again counts by its new stamps.';

/**
 * Evaluates the timing of a mock-up.
 * @param defaults adjustable defaults of the uncertainty budget
 * @throws InputError where the engine's stored sizes can't be (they are refused when entered)
 */
export function timingResult(whole: MockUpWhole, defaults: BudgetDefaults = budgetDefaults): TimingResult {
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const geometry = geometryOf(whole);
  const stamps = joinStamps(whole.readings, whole.marks);
  const questions: string[] = [];
  const frames = wheelFrames(whole.setups, stamps, ports, geometry, defaults, questions);
  const found = new Map<string, FoundEvent>();
  // Later frames replace earlier ones: a moved wheel begins a new frame, and the edge was read again in it. What was read
  // in a frame whose TDC isn't found yet takes the place of nothing that has an angle.
  for (const frame of frames) {
    for (const [key, edge] of frame.edges) {
      if (frame.tdc === null && (found.get(key)?.frame.tdc ?? null) !== null) continue;
      found.set(key, { angle: eventAngle(edge, frame.session), edge, frame });
    }
  }
  const specifications = specificationsOf(whole);
  const events = ports.flatMap((port) =>
    portKindTable[port.kind].edges.map((edge) => eventRow(port, edge, found, stamps, specifications)),
  );
  const figures = [
    ...ports
      .filter((port) => portKindTable[port.kind].edges.length > 0)
      .map((port) => durationRow(port, found, specifications)),
    ...blowdownRow(ports, found, specifications),
    ...sideRows(ports, found, specifications),
  ];
  const doubtful = stamps.filter((stamp) => stamp.doubtful && !stamp.struck).length;
  if (doubtful > 0) {
    questions.push(
      `${doubtful} ${doubtful === 1 ? 'reading is' : 'readings are'} doubtful and not used: check TDC again, then read those edges again.`,
    );
  }
  const inUse = frameInUse(whole.setups, stamps);
  const isFoundElsewhere = frames.some((frame) => frame.tdc !== null && frame.frameId !== inUse);
  if (isFoundElsewhere && !frames.some((frame) => frame.tdc !== null && frame.frameId === inUse)) {
    questions.push(newReferenceSentence);
  }
  const last = frames.findLast((frame) => frame.tdc !== null) ?? null;
  const tdc = tdcResult(last, frames);
  const inQuestion = [
    ...(tdc.driftSentence === null ? [] : [tdc.driftSentence]),
    ...events.flatMap((row) => (row.question === null ? [] : [`${row.title}: ${row.question}`])),
    ...(last === null ? [] : portMiddles(last, geometry))
      .filter(({ isQuestionable }) => isQuestionable)
      .map(middleSentence),
  ];
  const disagreement = last === null || inQuestion.length === 0 ? null : disagreementOf(last, ports, geometry);
  questions.push(...inQuestion);
  return {
    hasNothing: events.every((row) => row.crank === null),
    tdc,
    events,
    figures,
    next: nextWanted(wantedEvents(ports), stamps, whole.setups),
    questions,
    disagreement,
    stamps,
  };
}

/** Sizes of the crank, with cylinder and pin offset added by their sides. */
export function geometryOf(whole: MockUpWhole): CrankGeometry | null {
  if (whole.engine.kind !== 'engine') return null;
  const { strokeMm, rodLengthMm, cylinderOffset, pinOffset } = whole.engine.data;
  return { strokeMm, rodLengthMm, offsetMm: signedOffset(cylinderOffset, pinOffset) };
}

/** Limits of the mock-up; where it has none for a quantity, those of its parts. */
export function specificationsOf(whole: MockUpWhole): ReadonlyMap<string, Specification> {
  const ofParts = [whole.head, whole.piston, whole.barrel].flatMap((part) =>
    part !== null && 'specifications' in part.data ? part.data.specifications : [],
  );
  return new Map([...ofParts, ...whole.mockUp.specifications].map((one) => [one.quantity, one]));
}

function eventRow(
  port: Port,
  edge: Edge,
  found: ReadonlyMap<string, FoundEvent>,
  stamps: readonly Stamp[],
  specifications: ReadonlyMap<string, Specification>,
): EventRow {
  const key = eventKey(port.portId, edge);
  const event = found.get(key) ?? null;
  const tdc = event?.frame.tdc ?? null;
  const crank = event === null || tdc === null ? null : afterTdc(event.angle.angleDeg, tdc.tdcReadingDeg);
  const after = (angleDeg: Deg | null | undefined) =>
    tdc === null || angleDeg === null || angleDeg === undefined
      ? null
      : crankAngleFrom(angleDeg, tdc.tdcReadingDeg.value);
  return {
    key,
    portId: port.portId,
    kind: port.kind,
    edge,
    title: edgeTitle(port, edge),
    crank,
    forwardsDeg: after(event?.angle.forwardMeanDeg),
    backwardsDeg: after(event?.angle.backwardMeanDeg),
    differenceDeg: event?.angle.directionDifferenceDeg ?? null,
    question: questionOf(event),
    stamps: stamps.filter(
      ({ current: { subject } }) =>
        subject.what === 'port_edge' && subject.portId === port.portId && subject.edge === edge,
    ),
    judged: judged(specifications.get(key) ?? null, measuredEvent(port.kind, edge, crank, event)),
  };
}

/** The event as its limits are written: in the reference in which its kind is quoted. */
function measuredEvent(kind: PortKind, edge: Edge, crank: Value | null, event: FoundEvent | null) {
  if (crank === null || event === null) return null;
  try {
    return {
      value: quotedEvent(kind, edge, crank.value),
      sigma: crank.sigma,
      repeats: { scatter: event.frame.session.placement.sigmaDeg, taken: event.angle.readings },
    };
  } catch (error) {
    // An angle on the wrong side of a dead centre has no place among the limits; the screen shows it as it is.
    if (error instanceof InputError) return null;
    throw error;
  }
}

function questionOf(event: FoundEvent | null): string | null {
  if (event === null) return null;
  const question = directionQuestion(event.edge, event.frame.session);
  if (question === null || !question.isQuestionable) return null;
  return `the directions differ by ${question.differenceDeg.toFixed(2)} deg, the session's slack is ${question.slackDeg.toFixed(2)} deg.`;
}
