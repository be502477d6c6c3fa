import type { Turning, WheelSetup } from '../contract/readings.ts';
import { outliersAmong } from '../uncertainty/outliers.ts';
import { type Deg, wrapSigned, wrapTurn } from '../units.ts';
import { placedAngle } from './edge-readings.ts';
import { isUsable, type Stamp } from './stamps.ts';

/** Repeats of one edge in one direction, in the place of the wheel in which it was read last. */
export interface Repeats {
  readonly count: number;
  /** On the rising scale of the set-up, 0 to 360. */
  readonly meanDeg: Deg;
  /** Largest less smallest; 0 for one reading. */
  readonly spreadDeg: Deg;
  /** Standard deviation, or null with fewer than two. */
  readonly scatterDeg: Deg | null;
  /** Stamps that stand apart from the others; they are marked and still count. */
  readonly outlierIds: readonly string[];
}

export interface RepeatsBothWays {
  readonly forwards: Repeats | null;
  readonly backwards: Repeats | null;
  /** Forwards less backwards, or null with one direction only. */
  readonly differenceDeg: Deg | null;
}

/** Differences of this much are placement, whatever the others do: the default scatter of conventions, once. */
const ordinaryDeg = 0.25;

/**
 * The repeats of one edge.
 * @param stamps stamps of this edge, oldest first; struck, doubtful and void ones are passed over
 * @param setups set-ups of the mock-up
 */
export function repeatsOf(stamps: readonly Stamp[], setups: readonly WheelSetup[]): RepeatsBothWays {
  const read = stamps.flatMap((stamp) => {
    const { subject } = stamp.current;
    if (subject.what !== 'port_edge' || !isUsable(stamp)) return [];
    const placed = placedAngle(subject.angle, setups);
    if (placed === null) return [];
    const { frameId, read: angle } = placed;
    return [{ id: stamp.root.id, turning: subject.turning, frameId, angleDeg: angle.angleDeg }];
  });
  // Readings of another place of camera or wheel don't compare with these.
  const frameId = read.at(-1)?.frameId;
  const way = (turning: Turning): Repeats | null =>
    repeats(read.filter((one) => one.frameId === frameId && one.turning === turning));
  const forwards = way('forwards');
  const backwards = way('backwards');
  const differenceDeg =
    forwards === null || backwards === null ? null : wrapSigned(forwards.meanDeg - backwards.meanDeg);
  return { forwards, backwards, differenceDeg };
}

function repeats(read: readonly { readonly id: string; readonly angleDeg: Deg }[]): Repeats | null {
  const [first] = read;
  if (first === undefined) return null;
  const away = read.map(({ angleDeg }) => wrapSigned(angleDeg - first.angleDeg));
  const mean = away.reduce((sum, one) => sum + one, 0) / away.length;
  const isOutlier = outliersAmong(away, ordinaryDeg);
  const squares = away.reduce((sum, one) => sum + (one - mean) ** 2, 0);
  return {
    count: read.length,
    meanDeg: wrapTurn(first.angleDeg + mean),
    spreadDeg: Math.max(...away) - Math.min(...away),
    scatterDeg: read.length < 2 ? null : Math.sqrt(squares / (read.length - 1)),
    outlierIds: read.filter((_, index) => isOutlier[index] === true).map(({ id }) => id),
  };
}
