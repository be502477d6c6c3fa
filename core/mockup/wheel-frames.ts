/** Groups a mock-up's angle readings by the place of camera and wheel they compare in, and finds TDC in each. */
import type { EdgeCriterion, Port } from '../contract/parts.ts';
import type { Edge, Turning, WheelSetup } from '../contract/readings.ts';
import { crankAngleFrom, type TdcFromStop, tdcDrift, tdcDriftLimitDeg, tdcFromStop } from '../crank/dead-centre.ts';
import { type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import { withoutBlade } from '../ports/edge-height.ts';
import { portKindTable } from '../ports/kinds.ts';
import {
  type AngleRead,
  type BudgetDefaults,
  type EdgeReadings,
  eventAngle,
  type SessionScatter,
  sessionScatter,
} from '../uncertainty/event-budget.ts';
import { type Deg, wrapTurn } from '../units.ts';
import { placedAngle } from './edge-readings.ts';
import { isUsable, type Stamp } from './stamps.ts';

export const eventKey = (portId: string, edge: Edge): string => `event:${portId}:${edge}`;

/** All that was read in one place of camera and wheel, with TDC where both contacts are there. */
export interface FoundFrame {
  /** First set-up of the chain of set-ups that carry each other on. */
  readonly frameId: string;
  /** Bare edges by `eventKey`: blade taken out, repeats of the scale resolved. */
  readonly edges: ReadonlyMap<string, EdgeReadings>;
  readonly session: SessionScatter;
  readonly tdc: TdcFromStop | null;
}

/** A reading with what it takes to turn it into a bare edge. */
interface PlacedRead extends AngleRead {
  /** 360, or less where the wheel's scale repeats and the reader couldn't tell the repeats apart. */
  readonly modulusDeg: Deg;
  readonly criterion: EdgeCriterion | null;
}

interface ReadsBothWays {
  readonly forwards: PlacedRead[];
  readonly backwards: PlacedRead[];
}

interface PlacedEdge extends ReadsBothWays {
  readonly port: Port;
  readonly edge: Edge;
}

interface Gathered {
  readonly contacts: ReadsBothWays;
  readonly checks: ReadsBothWays;
  readonly edges: Map<string, PlacedEdge>;
}

const bothWays = (): ReadsBothWays => ({ forwards: [], backwards: [] });

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
  return [...gathered(setups, stamps, ports)].map(([frameId, frame]) =>
    foundFrame(frameId, frame, geometry, defaults, questions),
  );
}

function gathered(
  setups: readonly WheelSetup[],
  stamps: readonly Stamp[],
  ports: readonly Port[],
): Map<string, Gathered> {
  const frames = new Map<string, Gathered>();
  for (const stamp of stamps.filter(isUsable)) {
    const { subject } = stamp.current;
    if (subject.what === 'quantity') continue;
    const placed = placedAngle(subject.angle, setups);
    if (placed === null) continue;
    const frame = frames.get(placed.frameId) ?? { contacts: bothWays(), checks: bothWays(), edges: new Map() };
    frames.set(placed.frameId, frame);
    const read: PlacedRead = {
      ...placed.read,
      modulusDeg: subject.angle.by === 'camera' ? subject.angle.modulusDeg : 360,
      criterion: subject.what === 'port_edge' ? subject.criterion : null,
    };
    if (subject.what === 'stop_contact') frame.contacts[subject.turning].push(read);
    else if (subject.what === 'tdc_check') frame.checks[subject.turning].push(read);
    else {
      // A port that was taken off the barrel since keeps its readings in the book, but there is nothing to compute.
      const port = ports.find((one) => one.portId === subject.portId);
      if (port === undefined) continue;
      const key = eventKey(subject.portId, subject.edge);
      const edge = frame.edges.get(key) ?? { ...bothWays(), port, edge: subject.edge };
      frame.edges.set(key, edge);
      edge[subject.turning].push(read);
    }
  }
  return frames;
}

function foundFrame(
  frameId: string,
  frame: Gathered,
  geometry: CrankGeometry | null,
  defaults: BudgetDefaults,
  questions: string[],
): FoundFrame {
  const sides: EdgeReadings[] = [
    { forwards: frame.contacts.forwards, backwards: [] },
    { forwards: [], backwards: frame.contacts.backwards },
  ];
  const session = sessionScatter([...frame.edges.values(), ...sides], defaults);
  const tdc = tdcOf(frame.contacts, geometry, session, questions);
  const check = tdcOf(frame.checks, geometry, session, questions);
  if (tdc !== null && check !== null) {
    const drift = tdcDrift(tdc.tdcReadingDeg, check.tdcReadingDeg);
    if (Math.abs(drift.value) > tdcDriftLimitDeg) {
      questions.push(
        `True TDC has drifted by ${drift.value.toFixed(2)} deg since it was found: wheel, pointer or camera moved. Mark the readings as doubtful with "Wheel moved" and read again.`,
      );
    }
  }
  if (tdc === null) return { frameId, edges: frame.edges, session, tdc };
  const edges = new Map([...frame.edges].map(([key, edge]) => [key, bareEdge(edge, tdc, geometry)]));
  // Resolving a repeating scale moves readings by whole repeats, so the scatter is taken again from what results.
  return { frameId, edges, session: sessionScatter([...edges.values(), ...sides], defaults), tdc };
}

/** True TDC of the contacts; null while one side is missing or they can't be right, which is then said. */
function tdcOf(
  contacts: ReadsBothWays,
  geometry: CrankGeometry | null,
  session: SessionScatter,
  questions: string[],
): TdcFromStop | null {
  if (contacts.forwards.length === 0 || contacts.backwards.length === 0) return null;
  const side = (turning: Turning) => {
    const { angleDeg } = eventAngle({ forwards: contacts[turning], backwards: [] }, session);
    // Each contact is met in one direction by its nature; slack is no error of it.
    const terms = angleDeg.contributions.filter(({ route }) => route !== 'hysteresis');
    return { angleDeg: wrapTurn(angleDeg.value), sigmaDeg: Math.hypot(...terms.map(({ effect }) => effect)) };
  };
  const modulusDeg = Math.min(...[...contacts.forwards, ...contacts.backwards].map((read) => read.modulusDeg));
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

function bareEdge(edge: PlacedEdge, tdc: TdcFromStop, geometry: CrankGeometry | null): EdgeReadings {
  const bare = (read: PlacedRead): AngleRead => {
    const crankDeg = resolvedDeg(crankAngleFrom(read.angleDeg, tdc.tdcReadingDeg.value), read.modulusDeg, edge);
    return { ...read, angleDeg: wrapTurn(tdc.tdcReadingDeg.value + withoutCriterion(crankDeg, read, edge, geometry)) };
  };
  return { forwards: edge.forwards.map(bare), backwards: edge.backwards.map(bare) };
}

/**
 * Of the places that a repeating scale leaves open, the one on the side of TDC where this edge lies: ports about BDC
 * open going down, ports about TDC open coming up.
 */
function resolvedDeg(crankDeg: Deg, modulusDeg: Deg, { port, edge }: PlacedEdge): Deg {
  if (modulusDeg !== 180) return crankDeg;
  const isGoingDown = (portKindTable[port.kind].openAround === 'bdc') === (edge === 'opens');
  return wrapTurn(crankDeg, 180) + (isGoingDown ? 0 : 180);
}

function withoutCriterion(
  crankDeg: Deg,
  read: PlacedRead,
  { port, edge }: PlacedEdge,
  geometry: CrankGeometry | null,
): Deg {
  const { control } = portKindTable[port.kind];
  const { criterion } = read;
  if (criterion === null || criterion.kind === 'first_light' || criterion.thicknessMm === 0) return crankDeg;
  if (geometry === null || (control !== 'crown' && control !== 'skirt')) return crankDeg;
  try {
    return withoutBlade(crankFrom(geometry), control, edge, crankDeg, criterion.thicknessMm);
  } catch (error) {
    // An edge beside a dead centre can't hold the blade: the reading itself is then the better answer.
    if (error instanceof InputError) return crankDeg;
    throw error;
  }
}
