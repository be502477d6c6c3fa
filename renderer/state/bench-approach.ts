import type { AngleReading, Way } from '../../core/contract/readings.ts';
import { isUsable, type Stamp } from '../../core/mockup/stamps.ts';
import { wrapSigned } from '../../core/units.ts';
import type { BenchWanted } from './bench-run.ts';

/** How far the crank is from an edge that was already read turning the other way. */
export interface ApproachToEdge {
  /** Degrees still to turn in the wanted way; negative once past it. */
  readonly toGoDeg: number;
  /** "0.8 degrees to go", or by how much it is passed. */
  readonly sentence: string;
}

/** Shown and heard from here on. */
const fromDeg = 20;
/** Nearer than this the crank is there: an edge isn't placed any better. */
const thereDeg = 0.15;

/**
 * The way left to the wanted edge, told from its stamps in the other direction.
 * @param rotationOf rotation of a stamp from the reference in use; null where it doesn't compare with that
 * @param way round that comes on to the wanted edge, in the picture
 * @returns null where the edge wasn't read in the other direction yet or is far off
 */
export function approachToEdge(
  wanted: BenchWanted | null,
  stamps: readonly Stamp[],
  rotationOf: (angle: AngleReading) => number | null,
  rotationDeg: number,
  way: Way,
): ApproachToEdge | null {
  if (wanted?.what !== 'port_edge') return null;
  const other = stamps.findLast((stamp) => {
    const { subject } = stamp.current;
    if (subject.what !== 'port_edge' || !isUsable(stamp)) return false;
    const isEdge = subject.portId === wanted.portId && subject.edge === wanted.edge;
    return isEdge && subject.turning !== wanted.turning && rotationOf(subject.angle) !== null;
  });
  const edgeDeg = other?.current.subject.what === 'port_edge' ? rotationOf(other.current.subject.angle) : null;
  if (edgeDeg === null) return null;
  const clockwiseDeg = wrapSigned(edgeDeg - rotationDeg);
  const toGoDeg = way === 'clockwise' ? clockwiseDeg : -clockwiseDeg;
  if (Math.abs(toGoDeg) > fromDeg) return null;
  const figure = Math.abs(toGoDeg).toFixed(1);
  const sentence = isThere(toGoDeg)
    ? 'at the edge'
    : toGoDeg > 0
      ? `${figure} degrees to go`
      : `${figure} degrees past`;
  return { toGoDeg, sentence };
}

export function isThere(toGoDeg: number): boolean {
  return Math.abs(toGoDeg) <= thereDeg;
}

/**
 * The tone of the approach: nearer is higher and quicker, past the edge it falls below where it began.
 * @returns pitch in Hz and the time until the next tone in ms
 */
export function toneOfApproach(toGoDeg: number): { readonly hz: number; readonly everyMs: number } {
  if (isThere(toGoDeg)) return { hz: 1320, everyMs: 120 };
  if (toGoDeg < 0) return { hz: 300, everyMs: 250 };
  const share = Math.min(1, toGoDeg / fromDeg);
  return { hz: 990 - 550 * share, everyMs: 150 + 750 * share };
}
