/** Groups a mock-up's angle readings by the place of camera and wheel they compare in, and finds TDC in each. */
import type { Port } from '../contract/parts.ts';
import type { Turning, WheelSetup } from '../contract/readings.ts';
import { type TdcFromStop, tdcDrift, tdcDriftLimitDeg, tdcFromStop } from '../crank/dead-centre.ts';
import type { CrankGeometry } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import {
  type BudgetDefaults,
  type EdgeReadings,
  eventAngle,
  type SessionScatter,
  sessionScatter,
} from '../uncertainty/event-budget.ts';
import type { Value } from '../uncertainty/value.ts';
import { type Deg, wrapSigned, wrapTurn } from '../units.ts';
import {
  bareEdges,
  type FrameReadings,
  frameReadings,
  isComplete,
  type PlacedEdge,
  type ReadsBothWays,
} from './frame-readings.ts';
import { isUsable, type Stamp } from './stamps.ts';
import { heightsQuestion, type StopHeight, stopHeights, tdcOfHeights } from './stop-heights.ts';

/** A check of TDC with both of its sides. */
export interface TdcCheck {
  readonly reads: ReadsBothWays;
  readonly tdc: TdcFromStop;
  /** Check less the TDC in use. */
  readonly driftDeg: Value;
  /** Beyond the limit: something moved since TDC was found. */
  readonly hasMoved: boolean;
}

/** All that was read in one place of camera and wheel, with TDC where both contacts are there. */
export interface FoundFrame {
  /** First set-up of the chain of set-ups that carry each other on. */
  readonly frameId: string;
  readonly readings: FrameReadings;
  /** Bare edges by `eventKey`: blade taken out, repeats of the scale resolved. */
  readonly edges: ReadonlyMap<string, PlacedEdge>;
  readonly session: SessionScatter;
  /** Contacts with the stop by its height. */
  readonly heights: readonly StopHeight[];
  /** From all heights that have both sides. */
  readonly tdc: TdcFromStop | null;
  /** Complete checks in the order of time; none without TDC. */
  readonly checks: readonly TdcCheck[];
}

/**
 * Frames of a mock-up in the order in which they were begun.
 * @param questions gets a sentence for whatever needs the builder's attention
 */
export function wheelFrames(
  setups: readonly WheelSetup[],
  stamps: readonly Stamp[],
  ports: readonly Port[],
  geometry: CrankGeometry | null,
  defaults: BudgetDefaults,
  questions: string[],
): FoundFrame[] {
  const told = stamps.filter((stamp) => !isLostInQuarters(stamp));
  const lost = stamps.filter((stamp) => isUsable(stamp) && isLostInQuarters(stamp)).length;
  if (lost > 0)
    questions.push(
      `${lost === 1 ? 'One reading was' : `${lost} readings were`} taken on a scale that repeats every 90 degrees: which quarter of the turn ${lost === 1 ? 'it stands' : 'they stand'} in can’t be told, so ${lost === 1 ? 'it doesn’t' : 'they don’t'} count. Put a dab of paint on the wheel’s face or fit one with a coded ring, set up again and read anew.`,
    );
  return [...frameReadings(setups, told, ports)].map(([frameId, readings]) =>
    foundFrame(frameId, readings, geometry, defaults, questions),
  );
}

/**
 * Half turns are told apart by the side of TDC that an edge or a contact lies on. Quarters are not: a stop may block more
 * or less than a quarter turn, and ports open in either quarter of the way down.
 */
function isLostInQuarters({ current: { subject } }: Stamp): boolean {
  return subject.what !== 'quantity' && subject.angle.by === 'camera' && subject.angle.modulusDeg < 180;
}

function foundFrame(
  frameId: string,
  readings: FrameReadings,
  geometry: CrankGeometry | null,
  defaults: BudgetDefaults,
  questions: string[],
): FoundFrame {
  const heights = stopHeights(readings.contacts);
  const sides = heights.flatMap(({ forwards, backwards }): EdgeReadings[] => [
    { forwards, backwards: [] },
    { forwards: [], backwards },
  ]);
  const session = sessionScatter([...readings.edges.values(), ...sides], defaults);
  const tdc = tdcOfAll(heights, geometry, session, questions);
  const bare = { frameId, readings, heights, tdc };
  if (tdc === null) return { ...bare, edges: readings.edges, session, checks: [] };
  const checks = readings.checks.filter(isComplete).flatMap((reads): TdcCheck[] => {
    const found = tdcOf(reads, geometry, session, questions);
    if (found === null) return [];
    const drift = tdcDrift(tdc.tdcReadingDeg, found.tdcReadingDeg);
    // On a scale that repeats, a check may come out a whole repeat away.
    const driftDeg = {
      ...drift,
      value: wrapSigned(drift.value, Math.min(modulusOf(readings.contacts), modulusOf(reads))),
    };
    return [{ reads, tdc: found, driftDeg, hasMoved: Math.abs(driftDeg.value) > tdcDriftLimitDeg }];
  });
  const edges = bareEdges(readings.edges, tdc, geometry);
  // Resolving a repeating scale moves readings by whole repeats, so the scatter is taken again from what results.
  return { ...bare, edges, session: sessionScatter([...edges.values(), ...sides], defaults), checks };
}

function modulusOf({ forwards, backwards }: ReadsBothWays): Deg {
  return Math.min(...[...forwards, ...backwards].map(({ modulusDeg }) => modulusDeg));
}

/** True TDC of all heights of the stop that have both sides; null while there is none. */
function tdcOfAll(
  heights: readonly StopHeight[],
  geometry: CrankGeometry | null,
  session: SessionScatter,
  questions: string[],
): TdcFromStop | null {
  const [first, ...others] = heights.flatMap((height) => tdcOf(height, geometry, session, questions) ?? []);
  if (first === undefined) return null;
  const modulusDeg = Math.min(...heights.map(modulusOf));
  const question = heightsQuestion([first, ...others], modulusDeg);
  if (question !== null) questions.push(question);
  for (const { forwards, backwards } of heights.filter((height) => !isComplete(height))) {
    const [met, missing] = backwards.length === 0 ? ['forwards', 'backwards'] : ['backwards', 'forwards'];
    const count = forwards.length + backwards.length;
    questions.push(
      `True TDC: ${count === 1 ? 'a contact' : `${count} contacts`} turning ${met} at another height of the stop without the side turning ${missing}: take it, or strike what is wrong. Until then it doesn't count.`,
    );
  }
  return tdcOfHeights([first, ...others], modulusDeg);
}

/** True TDC of the contacts; null while one side is missing or they can't be right, which is then said. */
function tdcOf(
  contacts: ReadsBothWays,
  geometry: CrankGeometry | null,
  session: SessionScatter,
  questions: string[],
): TdcFromStop | null {
  if (!isComplete(contacts)) return null;
  const side = (turning: Turning) => {
    const { angleDeg } = eventAngle({ forwards: contacts[turning], backwards: [] }, session);
    // Each contact is met in one direction by its nature; slack is no error of it.
    const terms = angleDeg.contributions.filter(({ route }) => route !== 'hysteresis');
    return { angleDeg: wrapTurn(angleDeg.value), sigmaDeg: Math.hypot(...terms.map(({ effect }) => effect)) };
  };
  const modulusDeg = modulusOf(contacts);
  try {
    const forward = side('forwards');
    const backward = side('backwards');
    return tdcFromStop({
      forwardDeg: forward.angleDeg,
      // On a scale that repeats, the contact that lies after the other by less than half a turn is the one.
      backwardDeg: wrapTurn(forward.angleDeg + wrapTurn(backward.angleDeg - forward.angleDeg, modulusDeg)),
      forwardSigmaDeg: forward.sigmaDeg,
      backwardSigmaDeg: backward.sigmaDeg,
      ...(geometry === null ? {} : { geometry }),
    });
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    questions.push(`True TDC: ${error.message}`);
    return null;
  }
}
