import { createStore, type StoreApi } from 'zustand/vanilla';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { MockUp } from '../../core/contract/parts.ts';
import type {
  AngleReading,
  CameraAngle,
  Reading,
  Signal,
  Subject,
  Turning,
  Way,
} from '../../core/contract/readings.ts';
import { criterionOf } from '../../core/mockup/criterion.ts';
import { nextWanted, stampKey, type Wanted, wantedEvents, wantedKey } from '../../core/mockup/run-order.ts';
import { isUsable, joinStamps, type Stamp } from '../../core/mockup/stamps.ts';
import { wrapTurn } from '../../core/units.ts';
import type { AcceptedReading, RefusalReason } from '../../core/wheel/types.ts';
import type { AcceptedStamp } from '../wheel-worker/messages.ts';
import type { Approach } from '../wheel-worker/track.ts';
import type { MovedPlace } from './bench-setup-rows.ts';
import { type SetupInUse, setupsAtBench, sharesReference } from './bench-sight.ts';
import { type LocalRows, withLocal } from './local-rows.ts';

/** What the bench may ask for: an event of the run, or the check of TDC that anybody may call for at any time. */
export type BenchWanted = Wanted | { readonly what: 'tdc_check'; readonly turning: Turning };

/** A signal whose angle is still being read. */
export interface PendingSignal {
  readonly stampId: string;
  readonly wanted: BenchWanted;
  readonly signal: Signal;
  readonly takenAt: string;
  readonly pressedAtMs: number;
  /** The set-up that it was seen with, where the wheel was moved since. */
  readonly seenWith?: SetupInUse | null;
}

/** One press of "Wheel moved", with what it takes to undo it in one step. */
export interface WheelMove {
  /** Stamps that it put in doubt. */
  readonly doubtedIds: readonly string[];
  /** All stamps that there were then: one that isn't among them was taken later. */
  readonly knownIds: ReadonlySet<string>;
  /** Places of the wheel that it began; null where no camera set-up was in use. */
  readonly camera: MovedPlace | null;
  readonly typed: readonly MovedPlace[];
  /** What was asked for before. */
  readonly chosen: BenchWanted | null;
  readonly skipped: ReadonlySet<string>;
}

/** What "give back" gives back. */
export type TakenBack =
  | { readonly kind: 'stamp'; readonly readingId: string }
  | { readonly kind: 'wheel_moved'; readonly move: WheelMove };

export interface BenchNotice {
  readonly tone: 'done' | 'note' | 'refused';
  readonly sentence: string;
  readonly remedy: string;
}

/** What may be told by tone and voice. */
export type BenchEvent =
  | { readonly kind: 'stamped'; readonly reading: Reading; readonly wanted: BenchWanted }
  | { readonly kind: 'refused'; readonly notice: BenchNotice }
  | { readonly kind: 'taken_back'; readonly reading: Reading }
  /** "Wheel moved" was undone. */
  | { readonly kind: 'move_taken_back' }
  | { readonly kind: 'given_back' };

/** What happens at the bench in this sitting; what is kept of it lies in the database. */
export interface RunState extends LocalRows {
  readonly benchRunId: string;
  /** The operator asked for this event instead of the next in order. */
  readonly chosen: BenchWanted | null;
  readonly skipped: ReadonlySet<string>;
  readonly pending: readonly PendingSignal[];
  /** Presses of "Wheel moved" in this sitting that hold, latest last. */
  readonly moves: readonly WheelMove[];
  /** Taken back in this sitting, latest last: for redo. */
  readonly takenBack: readonly TakenBack[];
  /** Answer to what the operator did last. */
  readonly notice: BenchNotice | null;
  /** What came of earlier stamps meanwhile; it stands beside the answer and never takes its place. */
  readonly news: BenchNotice | null;
  /** Row that has just changed; counts up so that the same row can flash again. */
  readonly flash: { readonly readingId: string; readonly count: number } | null;
}

export type RunStore = StoreApi<RunState>;

export function createRunStore(benchRunId: string): RunStore {
  return createStore<RunState>(() => ({
    benchRunId,
    chosen: null,
    skipped: new Set(),
    pending: [],
    localReadings: [],
    localMarks: [],
    moves: [],
    takenBack: [],
    notice: null,
    news: null,
    flash: null,
  }));
}

/** Readings and marks as they stand, those on their way to the database included. */
export function stampsOf(whole: MockUpWhole, run: LocalRows): Stamp[] {
  const { readings, marks } = withLocal(whole, run);
  return joinStamps(readings, marks);
}

export function keyOf(wanted: BenchWanted): string {
  return wanted.what === 'tdc_check' ? `tdc_check:${wanted.turning}` : wantedKey(wanted);
}

/** The event asked for: the chosen one, else the next in the order of the run; null when all is done. */
export function wantedNow(
  whole: MockUpWhole,
  run: Pick<RunState, 'chosen' | 'skipped' | 'pending'> & LocalRows,
  setup: SetupInUse | null,
): BenchWanted | null {
  const inWork = new Set(run.pending.map((pending) => keyOf(pending.wanted)));
  if (run.chosen !== null && !inWork.has(keyOf(run.chosen))) return run.chosen;
  const skipped = new Set([...run.skipped, ...inWork]);
  return nextWanted(wantedList(whole), stampsOf(whole, run), setupsAtBench(whole.setups, setup), skipped);
}

export function wantedList(whole: MockUpWhole): Wanted[] {
  return wantedEvents(portsOf(whole));
}

export function portsOf(whole: MockUpWhole) {
  return whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
}

/**
 * After a stamp the choice has been served: a check goes on to its other side until it has both, else the order of the
 * run takes over.
 * @param stamps as they stood before this one
 */
export function afterStamp(stamps: readonly Stamp[], wanted: BenchWanted, benchRunId: string): BenchWanted | null {
  if (wanted.what !== 'tdc_check') return null;
  const sides = new Set<Turning>();
  for (const stamp of stamps) {
    const { subject } = stamp.current;
    if (subject.what !== 'tdc_check' || !isUsable(stamp) || stamp.root.benchRunId !== benchRunId) continue;
    // Two contacts make one check; the next one begins another.
    if (sides.size === 2) sides.clear();
    sides.add(subject.turning);
  }
  if (sides.size === 2) sides.clear();
  const other: Turning = wanted.turning === 'forwards' ? 'backwards' : 'forwards';
  return sides.has(other) ? null : { what: 'tdc_check', turning: other };
}

/** What is stored of an angle that answered an event. */
export function subjectOf(wanted: BenchWanted, turning: Turning, angle: AngleReading, mockUp: MockUp): Subject {
  switch (wanted.what) {
    case 'stop_contact':
      return { what: 'stop_contact', turning, stopDepthMm: null, angle };
    case 'tdc_check':
      return { what: 'tdc_check', turning, angle };
    case 'port_edge':
      return {
        what: 'port_edge',
        portId: wanted.portId,
        edge: wanted.edge,
        turning,
        criterion: criterionOf(mockUp, wanted.portId),
        angle,
      };
  }
}

/**
 * Which way the crank was turned, as the camera saw it.
 * @returns null where it isn't certain: then the event asked for says the way
 */
export function measuredTurning(approach: Approach, forwards: Way | null): Turning | null {
  if (approach === 'none' || forwards === null) return null;
  return approach === forwards ? 'forwards' : 'backwards';
}

/** Said where the crank came to the event from the other side than was asked for. */
export function otherWayNotice(wanted: BenchWanted, measured: Turning | null): BenchNotice | null {
  if (measured === null || measured === wanted.turning) return null;
  return {
    tone: 'note',
    sentence: `The crank came to it turning ${measured}, not ${wanted.turning} as asked for: it is kept as ${measured}.`,
    remedy: `Take it back if that is wrong; to read it turning ${wanted.turning}, go well past and come on to it again.`,
  };
}

/** Known worse than a careful eye would have read it. */
const lessThanEyeDeg = 0.25;

/** Said where the crank was turning so fast at the signal that the stamp is hardly worth having. */
export function turningNotice({ movement }: AcceptedStamp): BenchNotice | null {
  if (movement === null || 2 * movement.sigmaDeg <= lessThanEyeDeg) return null;
  return {
    tone: 'note',
    sentence: 'The crank was turning at the signal, and the pictures beside it leave the angle wide open.',
    remedy: 'Take it back, hold the crank at the edge and stamp again.',
  };
}

export function cameraAngle(setupId: string, angle: AcceptedStamp): CameraAngle {
  return {
    by: 'camera',
    setupId,
    rotationDeg: angle.rotationDeg,
    sigmaDeg: angle.sigmaDeg,
    ...(angle.movement === null ? {} : { movement: angle.movement }),
    modulusDeg: angle.modulusDeg,
    provisional: angle.isProvisional,
  };
}

/** A reading of the kept picture as the angle of the stamp: with the way that a turning crank went from there to the signal. */
export function reReadAngle(stamped: CameraAngle, read: AcceptedReading): CameraAngle {
  const { turnedDeg, sigmaDeg } = stamped.movement ?? { turnedDeg: 0, sigmaDeg: 0 };
  return {
    ...stamped,
    rotationDeg: wrapTurn(read.rotationDeg + turnedDeg, read.modulusDeg),
    sigmaDeg: Math.hypot(read.sigmaDeg, sigmaDeg),
    modulusDeg: read.modulusDeg,
    provisional: read.provisional,
  };
}

/** The same reading with another angle, for one that replaces it. */
export function withAngle(subject: Subject, angle: AngleReading): Subject {
  return subject.what === 'quantity' ? subject : { ...subject, angle };
}

export function angleOf(reading: Reading): AngleReading | null {
  return reading.subject.what === 'quantity' ? null : reading.subject.angle;
}

/** The stamp that "take back" means: the latest angle that still stands. */
export function lastStanding(stamps: readonly Stamp[]): Stamp | null {
  return stamps.findLast((stamp) => !stamp.struck && stamp.current.subject.what !== 'quantity') ?? null;
}

/**
 * Angle stamps that "wheel moved" puts in doubt: all since the last check of TDC that came out right, later checks
 * included.
 * @param provenAt when that check was made; empty where there was none
 */
export function sinceProven(stamps: readonly Stamp[], provenAt: string): Stamp[] {
  return stamps.filter(
    (stamp) => isUsable(stamp) && stamp.current.subject.what !== 'quantity' && stamp.root.takenAt > provenAt,
  );
}

/** Camera stamps whose value is still provisional and whose picture was kept. */
export function toReRead(stamps: readonly Stamp[], setup: SetupInUse): Stamp[] {
  return stamps.filter((stamp) => {
    const angle = angleOf(stamp.current);
    return (
      !stamp.struck &&
      angle?.by === 'camera' &&
      angle.provisional &&
      sharesReference(setup, angle.setupId) &&
      stamp.current.pictureId !== null
    );
  });
}

/** How many usable readings each event of the run has. */
export function countByKey(stamps: readonly Stamp[]): ReadonlyMap<string, number> {
  const counts = new Map<string, number>();
  for (const stamp of stamps.filter(isUsable)) {
    const key = stampKey(stamp);
    if (key !== null) counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  return counts;
}

/** A refusal as the bench says it. */
export function refusalNotice(text: { what: string; remedy: string }, _reason: RefusalReason): BenchNotice {
  return { tone: 'refused', sentence: `Not stamped. ${text.what}`, remedy: text.remedy };
}
