import { wrapSigned, wrapTurn } from '../../core/units.ts';
import type { WheelReading } from '../../core/wheel/types.ts';

/** One accepted reading on the time axis. */
export interface TrackPoint {
  readonly timeMs: number;
  /** Counted on over full turns. */
  readonly unwrappedDeg: number;
  readonly sigmaDeg: number;
  readonly modulusDeg: 360 | 180 | 90;
  readonly isProvisional: boolean;
}

/** Where the wheel was known to stand last, and when. */
export type TrackPlace = Pick<TrackPoint, 'timeMs' | 'unwrappedDeg' | 'modulusDeg'>;

/** How the wheel moves at the moment. */
export type Motion = 'steady' | 'turning' | 'unknown';

/** Which way the wheel last turned in the un-mirrored picture. */
export type Approach = 'clockwise' | 'anticlockwise' | 'none';

/** Readings are looked back on for this long: refined stamps and approaches need no more. */
const trackLengthMs = 20_000;
/** Still means within this span: several times the reader's scatter at rest, a tenth of a placement. */
export const steadySpanDeg = 0.06;
const steadyWindowMs = 260;
/** Readings further apart than this don't belong to one movement. */
const staleMs = 400;
/** Over a longer gap than this nobody knows what the crank did. */
const longestGapMs = 1000;
/** A movement over a gap may differ by this from what the speeds on both sides make it: hands speed up and slow down. */
const gapSurpriseDeg = 60;
/**
 * Where a crank was held, it may be taken to stand there still for so long without a reading, two frames of a slow
 * camera: after a longer pause of the reader it may be degrees away.
 */
export const freshMs = 160;
/** Movement smaller than this is tremble of the hand, not an approach. */
const approachDeg = 1;
/** An approach is at least this long altogether. */
const wholeApproachDeg = 4;

/** The latest accepted readings, oldest first. */
export class Track {
  #points: TrackPoint[] = [];

  get points(): readonly TrackPoint[] {
    return this.#points;
  }

  get last(): TrackPoint | null {
    return this.#points.at(-1) ?? null;
  }

  clear(): void {
    this.#points = [];
  }

  /** Adds an accepted reading; a refused one leaves a gap in time, nothing else. */
  add(timeMs: number, reading: WheelReading): void {
    if (!reading.accepted) return;
    const last = this.last;
    const unwrappedDeg =
      last === null
        ? reading.rotationDeg
        : last.unwrappedDeg + wrapSigned(reading.rotationDeg - last.unwrappedDeg, reading.modulusDeg);
    this.#points.push({
      timeMs,
      unwrappedDeg,
      sigmaDeg: reading.sigmaDeg,
      modulusDeg: reading.modulusDeg,
      isProvisional: reading.provisional,
    });
    const oldest = timeMs - trackLengthMs;
    let drop = 0;
    while ((this.#points[drop]?.timeMs ?? timeMs) < oldest) drop += 1;
    if (drop > 0) this.#points.splice(0, drop);
  }

  /** Steady when the last quarter of a second stayed inside the steady span. */
  motion(nowMs: number): Motion {
    const recent = this.#points.filter((point) => point.timeMs > nowMs - steadyWindowMs);
    const [first] = recent;
    const last = recent.at(-1);
    if (first === undefined || last === undefined || recent.length < 3) return 'unknown';
    return spanOf(recent) <= steadySpanDeg ? 'steady' : 'turning';
  }

  /** Degrees per second between the last two readings, to guess the next one from: an average would lag behind. */
  get latestSpeedDegPerS(): number {
    const last = this.#points.at(-1);
    const before = this.#points.at(-2);
    if (last === undefined || before === undefined || last.timeMs <= before.timeMs) return 0;
    if (last.timeMs - before.timeMs > staleMs) return 0;
    return ((last.unwrappedDeg - before.unwrappedDeg) / (last.timeMs - before.timeMs)) * 1000;
  }

  /** Degrees per second over the last quarter of a second, clockwise positive. */
  speedDegPerS(nowMs: number): number {
    const recent = this.#points.filter((point) => point.timeMs > nowMs - steadyWindowMs);
    const [first] = recent;
    const last = recent.at(-1);
    if (first === undefined || last === undefined || last.timeMs <= first.timeMs) return 0;
    return ((last.unwrappedDeg - first.unwrappedDeg) / (last.timeMs - first.timeMs)) * 1000;
  }

  /**
   * Which way the wheel came to where it stood at that moment. Over a gap in the readings (too fast, a hand, a busy
   * computer) the places on both sides tell the way only where the speeds there bear it out; else nothing is said. The
   * last small movement and the larger one before it must agree: a touch back over the edge is no approach.
   */
  approach(atMs: number): Approach {
    const index = this.#points.findLastIndex((point) => point.timeMs <= atMs + 1);
    const here = this.#points[index];
    if (here === undefined) return 'none';
    let near: Approach = 'none';
    for (let at = index - 1; at >= 0; at -= 1) {
      const point = this.#points[at];
      if (point === undefined || !this.#isContinuous(at)) return 'none';
      const cameDeg = here.unwrappedDeg - point.unwrappedDeg;
      const way = cameDeg > 0 ? 'clockwise' : 'anticlockwise';
      if (near === 'none' && Math.abs(cameDeg) > approachDeg) near = way;
      if (Math.abs(cameDeg) > wholeApproachDeg) return near === way ? way : 'none';
    }
    return 'none';
  }

  /** Whether the movement from one reading to the next is known, and not only where it ended. */
  #isContinuous(index: number): boolean {
    const before = this.#points[index];
    const after = this.#points[index + 1];
    if (before === undefined || after === undefined) return false;
    const gapMs = after.timeMs - before.timeMs;
    if (gapMs <= staleMs) return true;
    if (gapMs > longestGapMs) return false;
    const speedDegPerMs = (this.#stepSpeed(index - 1) + this.#stepSpeed(index + 1)) / 2;
    return Math.abs(after.unwrappedDeg - before.unwrappedDeg - speedDegPerMs * gapMs) <= gapSurpriseDeg;
  }

  /** Degrees a millisecond from this reading to the next; 0 where one of them is missing or far off in time. */
  #stepSpeed(index: number): number {
    const from = this.#points[index];
    const to = this.#points[index + 1];
    if (from === undefined || to === undefined || to.timeMs - from.timeMs > staleMs || to.timeMs <= from.timeMs)
      return 0;
    return (to.unwrappedDeg - from.unwrappedDeg) / (to.timeMs - from.timeMs);
  }

  /**
   * The angle at the moment of the signal: the median of the steady stretch that ends there, else the line between the
   * frames on both sides (those after exist where the operator's delay is taken off or a frame was waited for). What the
   * crank may have moved between reading and signal is part of the uncertainty.
   * @returns null where no reading is near enough in time, or where a crank that wasn't held was seen on one side only
   */
  at(atMs: number): AngleOfStretch | null {
    const index = this.#points.findLastIndex((point) => point.timeMs <= atMs + 1);
    const here = this.#points[index];
    const after = this.#points[index + 1];
    if (here !== undefined) {
      let from = index;
      while (from > 0 && this.#isSteadyWith(from - 1, here, here.timeMs - 500)) from -= 1;
      // Without frames for a while a crank that was held may have gone on: only the next one tells that it hasn't.
      const goesOnHeld = this.#isSteadyWith(index + 1, here, -Infinity, here.timeMs + longestGapMs);
      if (index - from >= 2 && (goesOnHeld || atMs - here.timeMs <= freshMs)) {
        const held = angleOf(this.#points.slice(from, index + 1));
        return goesOnHeld ? held : withMovement(held, this.#leftDeg(here, after, atMs) / Math.sqrt(3));
      }
      if (atMs - here.timeMs <= 1) return angleOf([here]);
      if (after !== undefined && after.timeMs - here.timeMs < 2 * freshMs) {
        return this.#between(index, here, after, atMs);
      }
    }
    return this.#heldFrom(index + 1, atMs);
  }

  /** The first steady readings after a pause of the reader. */
  #heldFrom(index: number, atMs: number): AngleOfStretch | null {
    const first = this.#points[index];
    if (first === undefined || first.timeMs - atMs > freshMs) return null;
    const isHeld = this.#isSteadyWith(index + 1, first, -Infinity) && this.#isSteadyWith(index + 2, first, -Infinity);
    return isHeld ? angleOf(this.#points.slice(index, index + 3)) : null;
  }

  /** How far a crank that was held had gone by then at most: it picks up speed towards where it is seen next. */
  #leftDeg(here: TrackPoint, after: TrackPoint | undefined, atMs: number): number {
    if (after === undefined || after.timeMs - here.timeMs > staleMs) return 0;
    const share = Math.max(0, atMs - here.timeMs) / (after.timeMs - here.timeMs);
    return Math.abs(after.unwrappedDeg - here.unwrappedDeg) * share;
  }

  /** The line between two readings; the crank left it by as much as its speed changed around them at most, rectangular. */
  #between(index: number, here: TrackPoint, after: TrackPoint, atMs: number): AngleOfStretch {
    const share = (atMs - here.timeMs) / (after.timeMs - here.timeMs);
    const between = here.unwrappedDeg + share * (after.unwrappedDeg - here.unwrappedDeg);
    const speed = this.#stepSpeed(index);
    // A missing step counts as rest: the movement may have begun or ended at the reading.
    const change = Math.max(...[index - 1, index + 1].map((step) => Math.abs(this.#stepSpeed(step) - speed)));
    const placed = { ...angleOf([here, after]), rotationDeg: wrapTurn(between, here.modulusDeg) };
    return withMovement(placed, (change * Math.min(atMs - here.timeMs, after.timeMs - atMs)) / Math.sqrt(3));
  }

  /**
   * The steady stretch around a signal, at most a second to each side.
   * @returns null where the crank wasn't held for at least four readings, two of them after the signal
   */
  around(atMs: number): AngleOfStretch | null {
    const before = this.#points.findLastIndex((point) => point.timeMs <= atMs + 1);
    // The reading nearest to the signal, on either side: the one before it may still belong to the turn.
    const distanceMs = (at: number): number => Math.abs((this.#points[at]?.timeMs ?? Infinity) - atMs);
    const index = distanceMs(before + 1) < distanceMs(before) ? before + 1 : before;
    const here = this.#points[index];
    if (here === undefined || distanceMs(index) > staleMs) return null;
    let from = index;
    while (from > 0 && this.#isSteadyWith(from - 1, here, atMs - 1000)) from -= 1;
    let to = index;
    while (to + 1 < this.#points.length && this.#isSteadyWith(to + 1, here, -Infinity, atMs + 1000)) to += 1;
    if (to - from < 3 || to - index < 2) return null;
    return angleOf(this.#points.slice(from, to + 1));
  }

  #isSteadyWith(index: number, here: TrackPoint, earliestMs: number, latestMs = Infinity): boolean {
    const point = this.#points[index];
    return (
      point !== undefined &&
      point.timeMs >= earliestMs &&
      point.timeMs <= latestMs &&
      point.isProvisional === here.isProvisional &&
      Math.abs(point.unwrappedDeg - here.unwrappedDeg) <= steadySpanDeg / 2
    );
  }
}

export interface AngleOfStretch {
  readonly rotationDeg: number;
  /** Standard uncertainty, movement included. */
  readonly sigmaDeg: number;
  /** Of what the crank may have moved between the readings and the moment asked for; 0 where it was held. */
  readonly movementSigmaDeg: number;
  readonly modulusDeg: 360 | 180 | 90;
  readonly isProvisional: boolean;
  readonly frames: number;
}

/** Median angle; the reader's uncertainty is common to all frames of a set-up, so it doesn't shrink with their number. */
function angleOf(stretch: readonly TrackPoint[]): AngleOfStretch {
  const last = stretch.at(-1);
  if (last === undefined) throw new Error('A stretch of readings can’t be empty.');
  return {
    rotationDeg: wrapTurn(median(stretch.map((point) => point.unwrappedDeg)), last.modulusDeg),
    sigmaDeg: median(stretch.map((point) => point.sigmaDeg)),
    movementSigmaDeg: 0,
    modulusDeg: last.modulusDeg,
    isProvisional: stretch.some((point) => point.isProvisional),
    frames: stretch.length,
  };
}

function withMovement(angle: AngleOfStretch, movementSigmaDeg: number): AngleOfStretch {
  return { ...angle, movementSigmaDeg, sigmaDeg: Math.hypot(angle.sigmaDeg, movementSigmaDeg) };
}

function spanOf(points: readonly TrackPoint[]): number {
  const angles = points.map((point) => point.unwrappedDeg);
  return Math.max(...angles) - Math.min(...angles);
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  const upper = sorted[middle] ?? Number.NaN;
  return sorted.length % 2 === 1 ? upper : ((sorted[middle - 1] ?? upper) + upper) / 2;
}
