/** A mock-up's usable angle readings, sorted by the place of camera and wheel in which they compare. */
import type { EdgeCriterion, Port } from '../contract/parts.ts';
import type { Edge, Turning, WheelSetup } from '../contract/readings.ts';
import { crankAngleFrom, type TdcFromStop } from '../crank/dead-centre.ts';
import { type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import { withoutBlade } from '../ports/edge-height.ts';
import { portKindTable } from '../ports/kinds.ts';
import type { AngleRead } from '../uncertainty/event-budget.ts';
import { type Deg, wrapTurn } from '../units.ts';
import { placedAngle } from './edge-readings.ts';
import { isUsable, type Stamp } from './stamps.ts';

export const eventKey = (portId: string, edge: Edge): string => `event:${portId}:${edge}`;

/** A reading with what it takes to turn it into a bare edge. */
export interface PlacedRead extends AngleRead {
  readonly stamp: Stamp;
  readonly turning: Turning;
  /** The set-up that it was read with; a frame may have several that carry each other on. */
  readonly setupId: string;
  /** 360, or less where the wheel's scale repeats and the reader couldn't tell the repeats apart. */
  readonly modulusDeg: Deg;
  readonly criterion: EdgeCriterion | null;
}

export interface ReadsBothWays {
  readonly forwards: readonly PlacedRead[];
  readonly backwards: readonly PlacedRead[];
}

export interface PlacedEdge extends ReadsBothWays {
  readonly port: Port;
  readonly edge: Edge;
}

export interface FrameReadings {
  readonly contacts: ReadsBothWays;
  /** Checks of TDC in the order of time; a check is complete once it has both sides. */
  readonly checks: readonly ReadsBothWays[];
  /** By `eventKey`. */
  readonly edges: ReadonlyMap<string, PlacedEdge>;
}

interface Reads {
  readonly forwards: PlacedRead[];
  readonly backwards: PlacedRead[];
}

interface Gathering {
  readonly contacts: Reads;
  readonly checks: Reads[];
  readonly edges: Map<string, Reads & { readonly port: Port; readonly edge: Edge }>;
}

const bothWays = (): Reads => ({ forwards: [], backwards: [] });

export const isComplete = (reads: ReadsBothWays): boolean => reads.forwards.length > 0 && reads.backwards.length > 0;

/** Readings by the id of their frame, in the order in which the frames were begun. */
export function frameReadings(
  setups: readonly WheelSetup[],
  stamps: readonly Stamp[],
  ports: readonly Port[],
): ReadonlyMap<string, FrameReadings> {
  const frames = new Map<string, Gathering>();
  for (const stamp of stamps.filter(isUsable)) {
    const { subject } = stamp.current;
    if (subject.what === 'quantity') continue;
    const placed = placedAngle(subject.angle, setups);
    if (placed === null) continue;
    const frame = frames.get(placed.frameId) ?? { contacts: bothWays(), checks: [], edges: new Map() };
    frames.set(placed.frameId, frame);
    const read: PlacedRead = {
      ...placed.read,
      stamp,
      turning: subject.turning,
      setupId: subject.angle.setupId,
      modulusDeg: subject.angle.by === 'camera' ? subject.angle.modulusDeg : 360,
      criterion: subject.what === 'port_edge' ? subject.criterion : null,
    };
    if (subject.what === 'stop_contact') frame.contacts[subject.turning].push(read);
    else if (subject.what === 'tdc_check') checkInWork(frame.checks, read)[subject.turning].push(read);
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

/** The check that is still without one of its sides, or a new one: in another sitting the stop was put in anew. */
function checkInWork(checks: Reads[], { stamp }: PlacedRead): Reads {
  const last = checks.at(-1);
  const begun = last?.forwards[0] ?? last?.backwards[0];
  const isSameSitting = begun?.stamp.root.benchRunId === stamp.root.benchRunId;
  if (last !== undefined && !isComplete(last) && isSameSitting) return last;
  const next = bothWays();
  checks.push(next);
  return next;
}

/** Edges with the blade taken out and the repeats of the scale resolved. */
export function bareEdges(
  edges: ReadonlyMap<string, PlacedEdge>,
  tdc: TdcFromStop,
  geometry: CrankGeometry | null,
): ReadonlyMap<string, PlacedEdge> {
  return new Map([...edges].map(([key, edge]) => [key, bareEdge(edge, tdc, geometry)]));
}

function bareEdge(edge: PlacedEdge, tdc: TdcFromStop, geometry: CrankGeometry | null): PlacedEdge {
  const bare = (read: PlacedRead): PlacedRead => {
    const crankDeg = resolvedDeg(crankAngleFrom(read.angleDeg, tdc.tdcReadingDeg.value), read.modulusDeg, edge);
    return { ...read, angleDeg: wrapTurn(tdc.tdcReadingDeg.value + withoutCriterion(crankDeg, read, edge, geometry)) };
  };
  return { ...edge, forwards: edge.forwards.map(bare), backwards: edge.backwards.map(bare) };
}

/** Whether the piston goes down over this edge, turning forwards: ports about BDC open so, ports about TDC close so. */
export function isGoingDown({ port, edge }: Pick<PlacedEdge, 'port' | 'edge'>): boolean {
  return (portKindTable[port.kind].openAround === 'bdc') === (edge === 'opens');
}

/** Of the places that a repeating scale leaves open, the one on the side of TDC where this edge lies. */
function resolvedDeg(crankDeg: Deg, modulusDeg: Deg, edge: PlacedEdge): Deg {
  if (modulusDeg !== 180) return crankDeg;
  return wrapTurn(crankDeg, 180) + (isGoingDown(edge) ? 0 : 180);
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
