/** The linear model of a frame's readings, and every single shift that could be in them. */
import { stopOffsetError } from '../crank/dead-centre.ts';
import type { CrankGeometry } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import { depthFromDuration } from '../ports/edge-height.ts';
import { portKindTable } from '../ports/kinds.ts';
import { meanOfRepeats } from '../uncertainty/circular.ts';
import type { ShiftHypothesis, ShiftRow } from '../uncertainty/shift-search.ts';
import { type Deg, wrapSigned, wrapTurn } from '../units.ts';
import { eventKey, isGoingDown, type PlacedEdge, type PlacedRead } from './frame-readings.ts';
import type { FoundFrame } from './wheel-frames.ts';

export interface ShiftModel {
  readonly rows: readonly ShiftRow[];
  /** The reading of each row, in the order of time; the last row is the prior of the slack and has none. */
  readonly reads: readonly PlacedRead[];
  readonly hypotheses: readonly ShiftHypothesis[];
}

/** One unknown of the model by name, with its factor in a reading. */
type Terms = Readonly<Record<string, number>>;

interface Line {
  readonly read: PlacedRead;
  readonly valueDeg: Deg;
  readonly terms: Terms;
  /** Readings that stand for the same thing: one edge in one direction, the contacts, one check. */
  readonly edge: string | null;
  readonly check: number | null;
}

/** The key of a slip after the reading with this index. */
export const slipKey = (index: number): string => `slip:${index}`;
export const tdcKey = 'tdc';
/** Keys of readings that stand apart: one stamp, one edge in one direction, one edge, one check of TDC. */
export const stampKey = (index: number): string => `stamp:${index}`;
export const wayKey = (edge: string, turning: string): string => `way:${edge}:${turning}`;
export const edgeShiftKey = (edge: string): string => `edge:${edge}`;
export const checkKey = (index: number): string => `check:${index}`;

/**
 * Every reading is where its event truly lies, plus the zero, plus half the slack with the sign of the direction.
 *
 * Contacts lie either side of TDC by an unknown stop, and slack is as good as a stop set differently. Edges of a
 * piston-controlled port lie either side of BDC by an unknown angle; edges without such a mirror lie anywhere.
 * @returns null while TDC isn't found: there is nothing to hold the edges against
 */
export function shiftModel(frame: FoundFrame, geometry: CrankGeometry | null): ShiftModel | null {
  const { tdc, readings, session } = frame;
  if (tdc === null) return null;
  const zeroDeg = tdc.tdcReadingDeg.value;
  const contact = (read: PlacedRead, stop: string, correctionDeg: Deg) => ({
    read,
    valueDeg: wrapSigned(read.angleDeg - zeroDeg, read.modulusDeg) + correctionDeg,
    terms: { zero: 1, [stop]: read.turning === 'forwards' ? -1 : 1 },
    edge: null,
  });
  const lines: Line[] = [
    ...frame.heights.flatMap((height, index) =>
      both(height).map((read) => ({ ...contact(read, `stop ${index}`, -tdc.correctionDeg), check: null })),
    ),
    ...readings.checks.flatMap((reads, index) => {
      const correctionDeg = frame.checks.find((check) => check.reads === reads)?.tdc.correctionDeg ?? tdc.correctionDeg;
      return both(reads).map((read) => ({ ...contact(read, `stop of check ${index}`, -correctionDeg), check: index }));
    }),
    ...[...frame.edges].flatMap(([key, edge]) => edgeLines(key, edge, frame, geometry, zeroDeg)),
  ].toSorted((a, b) => inTime(a.read, b.read));
  const names = [...new Set(lines.flatMap(({ terms }) => Object.keys(terms)))];
  const { placementPriorDeg, slackDeg } = session.defaults;
  const rows = lines.map(({ read, valueDeg, terms }) => ({
    valueDeg,
    sigmaDeg: Math.hypot(placementPriorDeg, read.readerSigmaDeg),
    design: names.map((name) => terms[name] ?? 0),
  }));
  // Directions that differ by many times the usual slack are possible, not likely.
  const slack = { valueDeg: 0, sigmaDeg: Math.max(2 * slackDeg, placementPriorDeg), design: names.map(isSlack) };
  return { rows: [...rows, slack], reads: lines.map(({ read }) => read), hypotheses: hypothesesOf(lines) };
}

const isSlack = (name: string): number => (name === 'slack' ? 1 : 0);
const both = ({ forwards, backwards }: { forwards: readonly PlacedRead[]; backwards: readonly PlacedRead[] }) => [
  ...forwards,
  ...backwards,
];

function inTime(a: PlacedRead, b: PlacedRead): number {
  const [first, second] = [a.stamp.root, b.stamp.root];
  if (first.takenAt !== second.takenAt) return first.takenAt < second.takenAt ? -1 : 1;
  return first.id < second.id ? -1 : first.id > second.id ? 1 : 0;
}

function edgeLines(
  key: string,
  edge: PlacedEdge,
  frame: FoundFrame,
  geometry: CrankGeometry | null,
  zeroDeg: Deg,
): Line[] {
  const { port } = edge;
  const reads = both(edge);
  const firstDeg = reads[0]?.angleDeg ?? 0;
  const isMirrored = portKindTable[port.kind].isSymmetric;
  const mirrorDeg = isMirrored ? mirrorErrorDeg(edge, frame, geometry) : 0;
  return reads.map((read) => ({
    read,
    valueDeg: isMirrored ? wrapTurn(read.angleDeg - zeroDeg) - 180 - mirrorDeg : wrapSigned(read.angleDeg - firstDeg),
    terms: {
      zero: 1,
      slack: read.turning === 'forwards' ? 1 : -1,
      ...(isMirrored ? { [`port ${port.portId}`]: isGoingDown(edge) ? -1 : 1 } : { [key]: 1 }),
    },
    edge: key,
    check: null,
  }));
}

/** How far the middle of a port's edges lies from BDC by the offset of bore or pin. */
function mirrorErrorDeg(edge: PlacedEdge, frame: FoundFrame, geometry: CrankGeometry | null): Deg {
  const other = frame.edges.get(eventKey(edge.port.portId, edge.edge === 'opens' ? 'closes' : 'opens'));
  if (geometry === null || other === undefined) return 0;
  const [down, up] = isGoingDown(edge) ? [edge, other] : [other, edge];
  try {
    const throughBdcDeg = wrapTurn(middleOf(up) - middleOf(down));
    return stopOffsetError(geometry, depthFromDuration(geometry, throughBdcDeg).edgeDepthMm).midpointErrorDeg;
  } catch (error) {
    // A tenth of a degree that can't be taken out: far less than what is looked for here.
    if (error instanceof InputError) return 0;
    throw error;
  }
}

const middleOf = (edge: PlacedEdge): Deg => meanOfRepeats(both(edge).map(({ angleDeg }) => angleDeg));

function hypothesesOf(lines: readonly Line[]): readonly ShiftHypothesis[] {
  const shifted = (is: (line: Line, index: number) => boolean): number[] => [
    ...lines.map((line, index) => (is(line, index) ? 1 : 0)),
    // The prior of the slack is no reading.
    0,
  ];
  // Before both contacts were taken there is no TDC to slip from; giving way at the stop is an error of TDC.
  const isContact = ({ edge, check }: Line): boolean => edge === null && check === null;
  const hasBoth = (index: number): boolean =>
    ['forwards', 'backwards'].every((way) =>
      lines.slice(0, index + 1).some((line) => isContact(line) && line.read.turning === way),
    );
  const slips = lines.flatMap((_, index) => (index < lines.length - 1 && hasBoth(index) ? [index] : []));
  const edges = [...new Set(lines.flatMap(({ edge }) => edge ?? []))];
  const checks = [...new Set(lines.flatMap(({ check }) => check ?? []))];
  const ofEdge = (edge: string, way: string) =>
    lines.filter((line) => line.edge === edge && line.read.turning === way).length;
  const apart: { key: string; column: number[] }[] = [
    ...lines.flatMap((line, at) =>
      line.edge === null ? [] : [{ key: stampKey(at), column: shifted((_, index) => index === at) }],
    ),
    ...edges.flatMap((edge) =>
      (['forwards', 'backwards'] as const)
        .filter((way) => ofEdge(edge, way) > 1)
        .map((way) => ({
          key: wayKey(edge, way),
          column: shifted((line) => line.edge === edge && line.read.turning === way),
        })),
    ),
    ...edges
      .filter((edge) => ofEdge(edge, 'forwards') > 0 && ofEdge(edge, 'backwards') > 0)
      .map((edge) => ({ key: edgeShiftKey(edge), column: shifted((line) => line.edge === edge) })),
    ...checks.map((check) => ({ key: checkKey(check), column: shifted((line) => line.check === check) })),
  ];
  return [
    ...slips.map((at) => ({ key: slipKey(at), column: shifted((_, index) => index > at), among: slips.length })),
    { key: tdcKey, column: shifted((line) => !isContact(line)), among: 1 },
    ...apart.map((one) => ({ ...one, among: apart.length })),
  ];
}
