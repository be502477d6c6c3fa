import { wrapSigned, wrapTurn } from '../../core/units.ts';
import type { AcceptedReading, RefusalReason, WheelReader, WheelReading, WheelSetup } from '../../core/wheel/types.ts';
import type { KeptFrame, KeptFrames } from './kept-frames.ts';
import type { AcceptedStamp, EvidencePicture, FromWorker, StampedAngle } from './messages.ts';
import { type PendingStamp, PendingStamps } from './pending-stamps.ts';
import { type AngleOfStretch, freshMs, steadySpanDeg, Track } from './track.ts';

export interface StamperTools {
  readonly reader: WheelReader;
  readonly frames: Pick<KeptFrames, 'upTo' | 'after'>;
  readonly track: Track;
  evidenceOf(frame: KeptFrame): Promise<EvidencePicture>;
  nowMs(): number;
  post(message: FromWorker): void;
  /** Works something through after a while, between frames and messages. */
  later(work: () => void | Promise<void>, afterMs: number): void;
}

/** Without any frame after it a signal is answered this long after it was given. */
const longestWaitMs = 1000;

/** A tracked value that the stamped frame alone contradicts by more than this was on the wrong tick. */
const disagreeDeg = 0.3;

interface Waiting {
  readonly setup: WheelSetup;
  readonly stampId: string;
  readonly atMs: number;
}

/** Answers signals: at once from the track, then with the proof of the stamped frame, then with the frames after it. */
export class Stamper {
  readonly #tools: StamperTools;
  readonly #pending = new PendingStamps();
  #waiting: Waiting[] = [];

  constructor(tools: StamperTools) {
    this.#tools = tools;
  }

  /** The set-up is let go: what still waits for frames of it has no answer. */
  clear(): void {
    this.#pending.clear();
    for (const { stampId, atMs } of this.#waiting) this.#refuse(stampId, atMs, 'wheel_not_found');
    this.#waiting = [];
  }

  /** Where the track doesn't tell yet where the crank was at the signal, the frames just after it are waited for. */
  async stamp(setup: WheelSetup | null, stampId: string, atMs: number): Promise<void> {
    const { track, nowMs, later } = this.#tools;
    if (setup === null) {
      this.#refuse(stampId, atMs, 'wheel_not_found');
      return;
    }
    const waiting: Waiting = { setup, stampId, atMs };
    const waitMs = atMs + longestWaitMs - nowMs();
    if (track.at(atMs) !== null || waitMs <= 0) await this.#answer(waiting);
    else {
      this.#waiting.push(waiting);
      later(() => this.#answerWaiting((one) => one === waiting), waitMs);
    }
  }

  /** One more frame is on the track: some signals can be answered by now, and the answers of some others made better. */
  async frameCame(nowMs: number): Promise<void> {
    // The frames of about the signal are all here by now, or it is on the track.
    await this.#answerWaiting(({ atMs }) => nowMs > atMs + freshMs || this.#tools.track.at(atMs) !== null);
    for (const due of this.#pending.refinable(nowMs)) this.#refine(due);
  }

  async #answerWaiting(isDue: (waiting: Waiting) => boolean): Promise<void> {
    const due = this.#waiting.filter(isDue);
    this.#waiting = this.#waiting.filter((waiting) => !due.includes(waiting));
    for (const waiting of due) await this.#answer(waiting);
  }

  #refuse(stampId: string, askedAtMs: number, reason: RefusalReason): void {
    const angle: StampedAngle = { ok: false, reason };
    this.#tools.post({ kind: 'stamped', stampId, angle, askedAtMs });
    this.#tools.post({ kind: 'stamp_kept', stampId, angle, picture: null });
  }

  /** The frame nearest to the signal, on either side of it. */
  #frameAbout(atMs: number): KeptFrame | null {
    const { frames } = this.#tools;
    const away = (frame: KeptFrame | null): number => Math.abs((frame?.timeMs ?? Infinity) - atMs);
    const [before, after] = [frames.upTo(atMs), frames.after(atMs)];
    const nearest = away(after) < away(before) ? after : before;
    return away(nearest) <= freshMs ? nearest : null;
  }

  #readAlone(setup: WheelSetup, frame: KeptFrame): WheelReading {
    return this.#tools.reader.readFrame(setup, frame.grey, { effort: 'full', previous: null });
  }

  /**
   * The angle from frames that the track doesn't know: the nearest one, and the one on the other side of the signal,
   * without which nobody knows how far the crank moved between picture and signal.
   */
  #fromFrames(setup: WheelSetup, nearest: KeptFrame, alone: AcceptedReading, atMs: number): Placed | RefusalReason {
    const { frames } = this.#tools;
    const other = nearest.timeMs > atMs ? frames.upTo(atMs) : frames.after(atMs);
    const beside =
      other === null || other === nearest ? null : { frame: other, reading: this.#readAlone(setup, other) };
    const both = [{ frame: nearest, reading: alone as WheelReading }, ...(beside === null ? [] : [beside])];
    const track = new Track();
    for (const { frame, reading } of both.sort((a, b) => a.frame.timeMs - b.frame.timeMs)) {
      track.add(frame.timeMs, reading);
    }
    const angle = track.at(atMs);
    if (angle !== null) return placed(angle, track.at(nearest.timeMs));
    return beside?.reading.reason ?? 'no_picture';
  }

  /** First answer from what was already read, then the proof from the stamped frame alone, then its picture. */
  async #answer({ setup, stampId, atMs }: Waiting): Promise<void> {
    const { frames, track, post, evidenceOf } = this.#tools;
    const tracked = track.at(atMs);
    const kept = this.#frameAbout(atMs) ?? (tracked === null ? null : frames.upTo(atMs));
    // No frame from about the signal (a hidden page, a busy computer): where the crank was then isn't known.
    if (kept === null) {
      this.#refuse(stampId, atMs, 'no_picture');
      return;
    }
    // The page was kept busy and the frames of that moment are gone: a later one says nothing against the track.
    const isLater = tracked !== null && kept.timeMs > atMs + freshMs;
    // A turning crank stood elsewhere when the frame was taken: the frame bears witness for its own moment.
    const there = isLater ? tracked : track.at(kept.timeMs);
    const seen = { ok: true, approach: track.approach(atMs), motion: track.motion(atMs) } as const;
    const first = tracked === null ? null : placed(tracked, there);
    if (first !== null) post({ kind: 'stamped', stampId, angle: { ...first, ...seen }, askedAtMs: atMs });
    const alone = this.#readAlone(setup, kept);
    const isBorneOut = alone.accepted && there !== null && !disagree(alone, there);
    let found: Placed | RefusalReason;
    if (first !== null && (isLater || isBorneOut)) found = first;
    else if (!alone.accepted) found = alone.reason;
    else if (tracked !== null) found = placed(corrected(alone, there, tracked), alone);
    else found = this.#fromFrames(setup, kept, alone, atMs);
    const angle: StampedAngle = typeof found === 'string' ? { ok: false, reason: found } : { ...found, ...seen };
    if (first === null) post({ kind: 'stamped', stampId, angle, askedAtMs: atMs });
    // A picture of another place would be no evidence.
    const picture = isLater && !isBorneOut ? null : await evidenceOf(kept);
    post({ kind: 'stamp_kept', stampId, angle, picture });
    if (angle.ok) this.#pending.add({ stampId, atMs, angle, pictureMs: picture === null ? null : kept.timeMs });
  }

  /** The frames that followed the signal tell whether the crank was held, and else between which places it stood. */
  #refine({ stampId, atMs, angle: before, pictureMs }: PendingStamp): void {
    const { track, post } = this.#tools;
    const held = track.around(atMs);
    const angle = held ?? track.at(atMs);
    // A track that the stamped frame spoke against isn't asked again.
    if (angle === null || disagree(before, angle)) return;
    const isNews = held !== null || angle.rotationDeg !== before.rotationDeg || angle.sigmaDeg !== before.sigmaDeg;
    if (!isNews) return;
    const { approach } = before;
    const motion = held === null ? 'turning' : 'steady';
    const pictured = pictureMs === null ? null : track.at(pictureMs);
    post({ kind: 'stamp_refined', stampId, angle: { ok: true, ...placed(angle, pictured), approach, motion } });
  }
}

/** An angle, and where its picture shows another moment of a moving crank, the way from there. */
type Placed = Omit<AcceptedStamp, 'ok' | 'approach' | 'motion'>;

function placed(angle: AngleOfStretch, pictured: { readonly rotationDeg: number } | null): Placed {
  const { movementSigmaDeg, ...rest } = angle;
  const turnedDeg = pictured === null ? 0 : wrapSigned(angle.rotationDeg - pictured.rotationDeg, angle.modulusDeg);
  const isHeld = movementSigmaDeg === 0 && Math.abs(turnedDeg) <= steadySpanDeg / 2;
  return { ...rest, movement: isHeld ? null : { turnedDeg, sigmaDeg: movementSigmaDeg } };
}

type Angle = Pick<AngleOfStretch, 'rotationDeg' | 'sigmaDeg' | 'modulusDeg'>;

/** Further apart than a wrong tick allows, and than both may be off: a value may have been carried over a movement. */
function disagree(one: Angle, other: Angle): boolean {
  const awayDeg = wrapSigned(one.rotationDeg - other.rotationDeg, one.modulusDeg);
  return Math.abs(awayDeg) > disagreeDeg + 2 * Math.hypot(one.sigmaDeg, other.sigmaDeg);
}

/** The frame's own reading, and the movement from there to the signal as the track saw it: that holds on a wrong tick too. */
function corrected(
  { rotationDeg, sigmaDeg, modulusDeg, provisional }: AcceptedReading,
  there: AngleOfStretch | null,
  tracked: AngleOfStretch,
): AngleOfStretch {
  const movedDeg = there === null ? 0 : wrapSigned(tracked.rotationDeg - there.rotationDeg, modulusDeg);
  return {
    rotationDeg: wrapTurn(rotationDeg + movedDeg, modulusDeg),
    sigmaDeg: Math.hypot(sigmaDeg, tracked.movementSigmaDeg),
    movementSigmaDeg: tracked.movementSigmaDeg,
    modulusDeg,
    isProvisional: provisional,
    frames: 1,
  };
}
