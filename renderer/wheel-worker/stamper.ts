import type { AcceptedReading, RefusalReason, WheelReader, WheelReading, WheelSetup } from '../../core/wheel/types.ts';
import type { KeptFrame, KeptFrames } from './kept-frames.ts';
import type { EvidencePicture, FromWorker, StampedAngle } from './messages.ts';
import { PendingStamps } from './pending-stamps.ts';
import { type AngleOfStretch, freshMs, Track, wrapPositive, wrapToHalf } from './track.ts';

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

/** A frame is here at most this long after it was taken. */
const pictureTravelsMs = 100;

/** A tracked value that the stamped frame alone contradicts by more than this was on the wrong tick. */
const disagreeDeg = 0.3;

/** Answers signals: at once from the track, then with the proof of the stamped frame, then from the stretch around it. */
export class Stamper {
  readonly #tools: StamperTools;
  readonly #pending = new PendingStamps();

  constructor(tools: StamperTools) {
    this.#tools = tools;
  }

  clear(): void {
    this.#pending.clear();
  }

  /** Where the track doesn't tell where the crank was at the signal, the frames just after it are waited for. */
  async stamp(setup: WheelSetup | null, stampId: string, atMs: number): Promise<void> {
    const { track, nowMs, later } = this.#tools;
    const waitMs = atMs + freshMs + pictureTravelsMs - nowMs();
    if (setup === null || track.at(atMs) !== null || waitMs <= 0) await this.#answer(setup, stampId, atMs);
    else later(() => this.#answer(setup, stampId, atMs), waitMs);
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
  #fromFrames(
    setup: WheelSetup,
    nearest: KeptFrame,
    alone: AcceptedReading,
    atMs: number,
  ): AngleOfStretch | RefusalReason {
    const { frames } = this.#tools;
    const other = nearest.timeMs > atMs ? frames.upTo(atMs) : frames.after(atMs);
    const beside =
      other === null || other === nearest ? null : { frame: other, reading: this.#readAlone(setup, other) };
    const both = [{ frame: nearest, reading: alone as WheelReading }, ...(beside === null ? [] : [beside])];
    const track = new Track();
    for (const { frame, reading } of both.sort((a, b) => a.frame.timeMs - b.frame.timeMs)) {
      track.add(frame.timeMs, reading);
    }
    return track.at(atMs) ?? beside?.reading.reason ?? 'no_picture';
  }

  /** First answer from what was already read, then the proof from the stamped frame alone, then its picture. */
  async #answer(setup: WheelSetup | null, stampId: string, atMs: number): Promise<void> {
    const { frames, track, post, evidenceOf } = this.#tools;
    const tracked = track.at(atMs);
    const kept = this.#frameAbout(atMs) ?? (tracked === null ? null : frames.upTo(atMs));
    const approach = track.approach(atMs);
    const motion = track.motion(atMs);
    if (tracked !== null) {
      post({ kind: 'stamped', stampId, angle: { ok: true, ...tracked, approach, motion }, askedAtMs: atMs });
    }
    // The page was kept busy and the frames of that moment are gone: a later one says nothing against the track.
    const isLater = kept !== null && tracked !== null && kept.timeMs > atMs + freshMs;
    let isOfPlace = true;
    let angle: StampedAngle;
    if (setup === null) angle = { ok: false, reason: 'wheel_not_found' };
    // No frame from about the signal (a hidden page, a busy computer): where the crank was then isn't known.
    else if (kept === null) angle = { ok: false, reason: 'no_picture' };
    else {
      const alone = this.#readAlone(setup, kept);
      // A turning crank stood elsewhere when the frame was taken: the frame bears witness for its own moment.
      const there = isLater ? tracked : track.at(kept.timeMs);
      const isBorneOut = alone.accepted && there !== null && !disagree(alone, there);
      if (isLater) isOfPlace = isBorneOut;
      if (tracked !== null && (isLater || isBorneOut)) angle = { ok: true, ...tracked, approach, motion };
      else if (!alone.accepted) angle = { ok: false, reason: alone.reason };
      else if (tracked !== null) angle = { ok: true, ...corrected(alone, there, tracked), approach, motion };
      else {
        const found = this.#fromFrames(setup, kept, alone, atMs);
        angle = typeof found === 'string' ? { ok: false, reason: found } : { ok: true, ...found, approach, motion };
      }
    }
    if (tracked === null) post({ kind: 'stamped', stampId, angle, askedAtMs: atMs });
    // A picture of another place would be no evidence.
    const picture = kept === null || !isOfPlace ? null : await evidenceOf(kept);
    post({ kind: 'stamp_kept', stampId, angle, picture });
    if (angle.ok) this.#pending.add({ stampId, atMs, approach });
  }

  /** Stamps whose following frames have come get their value from the steady stretch around the signal. */
  refine(nowMs: number): void {
    for (const due of this.#pending.refinable(nowMs)) {
      const around = this.#tools.track.around(due.atMs);
      if (around === null) continue;
      const angle = { ok: true, ...around, approach: due.approach, motion: 'steady' } as const;
      this.#tools.post({ kind: 'stamp_refined', stampId: due.stampId, angle });
    }
  }
}

function disagree(alone: AcceptedReading, there: AngleOfStretch): boolean {
  const awayDeg = wrapToHalf(alone.rotationDeg - there.rotationDeg, alone.modulusDeg);
  // Two standard uncertainties more, since the track may have had to carry its value over a movement.
  return Math.abs(awayDeg) > disagreeDeg + 2 * there.sigmaDeg;
}

/** The frame's own reading, and the movement from there to the signal as the track saw it: that holds on a wrong tick too. */
function corrected(
  { rotationDeg, sigmaDeg, modulusDeg, provisional }: AcceptedReading,
  there: AngleOfStretch | null,
  tracked: AngleOfStretch,
): AngleOfStretch {
  const movedDeg = there === null ? 0 : wrapToHalf(tracked.rotationDeg - there.rotationDeg, modulusDeg);
  return {
    rotationDeg: wrapPositive(rotationDeg + movedDeg, modulusDeg),
    sigmaDeg: Math.hypot(sigmaDeg, tracked.sigmaDeg),
    modulusDeg,
    isProvisional: provisional,
    frames: 1,
  };
}
