import type { WheelReader, WheelSetup } from '../../core/wheel/types.ts';
import type { KeptFrame, KeptFrames } from './kept-frames.ts';
import type { EvidencePicture, FromWorker, StampedAngle } from './messages.ts';
import { PendingStamps } from './pending-stamps.ts';
import { freshMs, type Track } from './track.ts';

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

  /** Where neither the track nor a frame shows the moment of the signal, a frame just after it is waited for. */
  async stamp(setup: WheelSetup | null, stampId: string, atMs: number): Promise<void> {
    const { track, nowMs, later } = this.#tools;
    const isShown = track.at(atMs) !== null || this.#frameAbout(atMs) !== null;
    const waitMs = atMs + freshMs + pictureTravelsMs - nowMs();
    if (setup === null || isShown || waitMs <= 0) await this.#answer(setup, stampId, atMs);
    else later(() => this.#answer(setup, stampId, atMs), waitMs);
  }

  /** The frame that shows the crank as it stood at the signal: the last before it, else the first after it. */
  #frameAbout(atMs: number): KeptFrame | null {
    const { frames } = this.#tools;
    const isFresh = (frame: KeptFrame | null): boolean => frame !== null && Math.abs(frame.timeMs - atMs) <= freshMs;
    return [frames.upTo(atMs), frames.after(atMs)].find(isFresh) ?? null;
  }

  /** First answer from what was already read, then the proof from the stamped frame alone, then its picture. */
  async #answer(setup: WheelSetup | null, stampId: string, atMs: number): Promise<void> {
    const { frames, track, post, evidenceOf } = this.#tools;
    const tracked = track.at(atMs);
    const kept = tracked === null ? this.#frameAbout(atMs) : frames.upTo(atMs);
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
      const alone = this.#tools.reader.readFrame(setup, kept.grey, { effort: 'full', previous: null });
      const isBorneOut =
        tracked !== null && alone.accepted && !disagree(alone.rotationDeg, tracked.rotationDeg, alone.modulusDeg);
      if (isLater) {
        isOfPlace = isBorneOut;
        angle = { ok: true, ...tracked, approach, motion };
      } else if (!alone.accepted) angle = { ok: false, reason: alone.reason };
      else if (tracked === null || !isBorneOut) {
        const { rotationDeg, sigmaDeg, modulusDeg, provisional } = alone;
        const isProvisional = provisional;
        angle = { ok: true, rotationDeg, sigmaDeg, modulusDeg, isProvisional, frames: 1, approach, motion };
      } else angle = { ok: true, ...tracked, approach, motion };
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

function disagree(aDeg: number, bDeg: number, modulusDeg: number): boolean {
  const away = (((aDeg - bDeg) % modulusDeg) + 1.5 * modulusDeg) % modulusDeg;
  return Math.abs(away - modulusDeg / 2) > disagreeDeg;
}
