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
import type { Stamp } from './stamps.ts';

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
  return [...frameReadings(setups, stamps, ports)].map(([frameId, readings]) =>
    foundFrame(frameId, readings, geometry, defaults, questions),
  );
}

function foundFrame(
  frameId: string,
  readings: FrameReadings,
  geometry: CrankGeometry | null,
  defaults: BudgetDefaults,
  questions: string[],
): FoundFrame {
  const sides: EdgeReadings[] = [
    { forwards: readings.contacts.forwards, backwards: [] },
    { forwards: [], backwards: readings.contacts.backwards },
  ];
  const session = sessionScatter([...readings.edges.values(), ...sides], defaults);
  const tdc = tdcOf(readings.contacts, geometry, session, questions);
  if (tdc === null) return { frameId, readings, edges: readings.edges, session, tdc, checks: [] };
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
  return { frameId, readings, edges, session: sessionScatter([...edges.values(), ...sides], defaults), tdc, checks };
}

function modulusOf({ forwards, backwards }: ReadsBothWays): Deg {
  return Math.min(...[...forwards, ...backwards].map(({ modulusDeg }) => modulusDeg));
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
