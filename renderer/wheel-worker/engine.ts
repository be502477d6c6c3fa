import type {
  CameraCheck,
  GreyPicture,
  RimEllipse,
  StraightenedRing,
  Turn,
  TurnProgress,
  WheelReader,
  WheelReading,
  WheelSetup,
} from '../../core/wheel/types.ts';
import type { KeptFrame, KeptFrames } from './kept-frames.ts';
import type { EvidencePicture, FromWorker, SetupInfo, StampedAngle, ToWorker } from './messages.ts';
import { PendingStamps } from './pending-stamps.ts';
import { freshMs, Track } from './track.ts';

/** What the engine needs besides the reader; a test gives stand-ins. */
export interface EngineTools {
  readonly reader: WheelReader;
  readonly frames: Pick<KeptFrames, 'latest' | 'upTo'>;
  evidenceOf(frame: KeptFrame): Promise<EvidencePicture>;
  greyOfPicture(picture: Blob): Promise<GreyPicture>;
  nowMs(): number;
  post(message: FromWorker, transfer?: Transferable[]): void;
}

/** The model is fitted first when this much of the turn is covered, and again each time this much more is. */
const firstFitDeg = 120;
const refitDeg = 60;
/** From here on the turn counts as complete: vision study, section "What the operator does". */
const completeTurnDeg = 180;
const wholeTurnDeg = 350;
const findAgainMs = 700;
const cameraCheckMs = 1000;
const turnNewsMs = 200;

/**
 * The worker's reasoning, free of the worker itself: from frames to readings, set-ups, turns and stamps.
 * One call is worked through before the next begins; the caller sees to that.
 */
export class Engine {
  readonly #tools: EngineTools;
  readonly #track = new Track();
  readonly #stamps = new PendingStamps();
  #setup: WheelSetup | null = null;
  #turn: Turn | null = null;
  #arcDeg = 0;
  #fittedAtArcDeg = 0;
  #isComplete = false;
  #finding: { tries: number; notBeforeMs: number } | null = null;
  #rimWanted: RimEllipse | null = null;
  #tapeSize: { widthPx: number; heightPx: number } | null = null;
  #tapeBuffer: Uint8Array | undefined;
  #previous: WheelReading | null = null;
  #previousMs = 0;
  #cameraCheckedMs = 0;
  #turnNewsAtMs = 0;

  constructor(tools: EngineTools) {
    this.#tools = tools;
  }

  async handle(message: ToWorker): Promise<void> {
    switch (message.kind) {
      case 'find':
        this.#forget();
        this.#finding = { tries: 0, notBeforeMs: 0 };
        return;
      case 'snap':
        this.#snap(message.rim);
        return;
      case 'set_up':
        this.#finding = null;
        this.#rimWanted = message.rim;
        return;
      case 'restore':
        this.#restore(message.bytes, message.isTurnComplete);
        return;
      case 'forget':
        this.#forget();
        return;
      case 'stamp':
        await this.#stamp(message.stampId, message.atMs);
        return;
      case 're_read':
        await this.#reRead(message.requestId, message.picture, message.state);
        return;
      case 'tape':
        this.#tapeSize = { widthPx: message.widthPx, heightPx: message.heightPx };
        return;
      case 'frames':
      case 'frame':
      case 'stop_frames':
        return;
    }
  }

  /** Works through one frame that was just kept. */
  async frame(kept: KeptFrame, copyMs: number, framesDropped: number): Promise<void> {
    if (this.#finding !== null) this.#find(kept);
    if (this.#rimWanted !== null) await this.#setUp(kept, this.#rimWanted);
    const startMs = this.#tools.nowMs();
    const reading = this.#read(kept);
    const readMs = this.#tools.nowMs() - startMs;
    if (reading !== null) this.#track.add(kept.timeMs, reading);
    const tape = this.#tape(kept);
    this.#tools.post(
      {
        kind: 'frame_read',
        capturedAtMs: kept.timeMs,
        widthPx: kept.widthPx,
        heightPx: kept.heightPx,
        reading,
        motion: reading === null ? 'unknown' : this.#track.motion(kept.timeMs),
        speedDegPerS: this.#track.speedDegPerS(kept.timeMs),
        approach: this.#track.approach(kept.timeMs),
        unwrappedDeg: this.#track.last?.unwrappedDeg ?? null,
        steps: { copyMs, readMs, tapeMs: this.#tools.nowMs() - startMs - readMs },
        framesDropped,
        tape,
      },
      tape === null ? [] : [tape.grey.buffer as ArrayBuffer],
    );
    this.#noteRest(kept.timeMs);
    await this.#fitWhenDue(kept);
    this.#checkCamera(kept);
    for (const due of this.#stamps.refinable(kept.timeMs)) {
      const around = this.#track.around(due.atMs);
      if (around === null) continue;
      const angle = { ok: true, ...around, approach: due.approach, motion: 'steady' } as const;
      this.#tools.post({ kind: 'stamp_refined', stampId: due.stampId, angle });
    }
  }

  #read(kept: KeptFrame): WheelReading | null {
    const setup = this.#setup;
    if (setup === null) return null;
    const elapsedS = (kept.timeMs - this.#previousMs) / 1000;
    let reading: WheelReading;
    if (this.#turn !== null && !setup.calibrated) {
      const progress = this.#tools.reader.addTurnFrame(this.#turn, kept.grey, elapsedS > 0 ? elapsedS : null);
      this.#arcDeg = progress.arcCoveredDeg;
      this.#turnNews(progress, kept.timeMs);
      reading = progress.reading;
    } else {
      const trackedDeg = this.#previous?.trackedDeg ?? null;
      reading = this.#tools.reader.readFrame(setup, kept.grey, {
        effort: 'track',
        previous:
          trackedDeg === null || elapsedS > lostTrackS
            ? null
            : {
                rotationDeg: trackedDeg,
                velocityDegPerS: this.#track.latestSpeedDegPerS,
                elapsedS: Math.max(elapsedS, 0.001),
              },
      });
      // Until the turn is whole each frame may still widen it, once the crank has come to a new place.
      if (this.#turn !== null && this.#shouldWiden(reading)) {
        const progress = this.#tools.reader.addTurnFrame(this.#turn, kept.grey, elapsedS > 0 ? elapsedS : null);
        this.#arcDeg = Math.max(this.#arcDeg, progress.arcCoveredDeg);
        this.#turnNews(progress, kept.timeMs);
      }
    }
    this.#previous = reading;
    this.#previousMs = kept.timeMs;
    return reading;
  }

  #widenedAtDeg: number | null = null;

  #shouldWiden(reading: WheelReading): boolean {
    if (!reading.accepted) return false;
    const last = this.#widenedAtDeg;
    if (last !== null && Math.abs(reading.rotationDeg - last) < widenStepDeg) return false;
    this.#widenedAtDeg = reading.rotationDeg;
    return true;
  }

  #turnNews(progress: TurnProgress, timeMs: number): void {
    if (timeMs - this.#turnNewsAtMs < turnNewsMs && timeMs >= this.#turnNewsAtMs) return;
    this.#turnNewsAtMs = timeMs;
    const { arcCoveredDeg, sectorsCovered, framesUsed, expectedSigmaDeg, sentence } = progress;
    this.#tools.post({
      kind: 'turn',
      info: { arcCoveredDeg, sectorsCovered, framesUsed, expectedSigmaDeg, sentence },
    });
  }

  /** When the crank came to rest, or null while it turns. */
  #restSinceMs: number | null = null;
  #isStampedAtRest = false;

  /**
   * Fitting keeps the reader busy for seconds, in which no frame is read. A crank that has just come to rest is about
   * to be stamped, so the first model waits for that stamp, or for a rest that is longer than a stamp takes; a later,
   * slightly better one only for such a rest.
   */
  #isFreeToFit(nowMs: number): boolean {
    if (this.#restSinceMs === null) return false;
    const isFirst = this.#fittedAtArcDeg === 0;
    return (isFirst && this.#isStampedAtRest) || nowMs - this.#restSinceMs > stampTakesMs;
  }

  /** Every frame, whether a fit is due or not: a stamp taken at an earlier rest must not count for this one. */
  #noteRest(nowMs: number): void {
    if (this.#track.motion(nowMs) === 'steady') this.#restSinceMs ??= nowMs;
    else {
      this.#restSinceMs = null;
      this.#isStampedAtRest = false;
    }
  }

  /** Fits when enough is new and the pause disturbs nobody. */
  async #fitWhenDue(kept: KeptFrame): Promise<void> {
    if (this.#turn === null || this.#setup === null) return;
    const gained = this.#arcDeg - this.#fittedAtArcDeg;
    const isWhole = this.#arcDeg >= wholeTurnDeg;
    const isDue =
      this.#fittedAtArcDeg === 0 ? this.#arcDeg >= firstFitDeg : gained >= refitDeg || (isWhole && gained > 5);
    if (!isDue) return;
    if (!this.#isFreeToFit(kept.timeMs)) return;
    this.#fittedAtArcDeg = this.#arcDeg;
    const outcome = this.#tools.reader.finishTurn(this.#turn);
    if (!outcome.ok) {
      this.#tools.post({ kind: 'calibration_refused', reason: outcome.reason });
      return;
    }
    this.#setup = outcome.setup;
    this.#isComplete = outcome.findings.arcCoveredDeg >= completeTurnDeg;
    this.#tools.post({
      kind: 'calibrated',
      info: infoOf(outcome.setup),
      findings: outcome.findings,
      state: this.#tools.reader.serialiseSetup(outcome.setup),
      isComplete: this.#isComplete,
    });
    if (isWhole) this.#turn = null;
  }

  #checkCamera(kept: KeptFrame): void {
    if (this.#setup === null || kept.timeMs - this.#cameraCheckedMs < cameraCheckMs) return;
    this.#cameraCheckedMs = kept.timeMs;
    let check: CameraCheck;
    if (kept.widthPx === this.#setup.widthPx && kept.heightPx === this.#setup.heightPx) {
      check = this.#tools.reader.checkCamera(this.#setup, kept.grey);
    } else {
      check = { state: 'cannot_check', shiftPx: null, corners: 0 };
    }
    this.#tools.post({ kind: 'camera_checked', check });
  }

  #find(kept: KeptFrame): void {
    const finding = this.#finding;
    if (finding === null || this.#tools.nowMs() < finding.notBeforeMs) return;
    const found = this.#tools.reader.findWheel(kept.grey);
    if (found.ok) {
      this.#finding = null;
      this.#tools.post({ kind: 'found', rim: found.rim, confidence: found.confidence });
      this.#rimWanted = found.rim;
      return;
    }
    finding.tries += 1;
    finding.notBeforeMs = this.#tools.nowMs() + findAgainMs;
    this.#tools.post({ kind: 'not_found', reason: found.reason, tries: finding.tries });
  }

  #snap(rim: RimEllipse): void {
    const latest = this.#tools.frames.latest;
    const snapped = latest === null ? { rim, snapped: false } : this.#tools.reader.snapRim(latest.grey, rim);
    this.#tools.post({ kind: 'snapped', rim: snapped.rim, isSnapped: snapped.snapped });
  }

  async #setUp(kept: KeptFrame, rim: RimEllipse): Promise<void> {
    this.#rimWanted = null;
    const outcome = this.#tools.reader.createSetup(kept.grey, rim);
    if (!outcome.ok) {
      this.#forget();
      this.#tools.post({ kind: 'set_up_refused', reason: outcome.reason });
      return;
    }
    this.#begin(outcome.setup);
    this.#tools.post({
      kind: 'set_up_made',
      info: infoOf(outcome.setup),
      state: this.#tools.reader.serialiseSetup(outcome.setup),
      reference: await this.#tools.evidenceOf(kept),
    });
  }

  #restore(bytes: Uint8Array, isTurnComplete: boolean): void {
    const setup = this.#tools.reader.restoreSetup(bytes);
    if (setup === null) {
      this.#forget();
      this.#tools.post({ kind: 'not_restored' });
      return;
    }
    this.#begin(setup);
    this.#isComplete = isTurnComplete;
    if (isTurnComplete) this.#turn = null;
    this.#tools.post({ kind: 'restored', info: infoOf(setup) });
  }

  #begin(setup: WheelSetup): void {
    this.#forget();
    this.#setup = setup;
    this.#turn = this.#tools.reader.startTurn(setup);
  }

  #forget(): void {
    this.#setup = null;
    this.#turn = null;
    this.#arcDeg = 0;
    this.#fittedAtArcDeg = 0;
    this.#widenedAtDeg = null;
    this.#isComplete = false;
    this.#finding = null;
    this.#rimWanted = null;
    this.#previous = null;
    this.#track.clear();
    this.#stamps.clear();
  }

  #tape(kept: KeptFrame): StraightenedRing | null {
    if (this.#setup === null || this.#tapeSize === null) return null;
    const ring = this.#tools.reader.straightenedRing(this.#setup, kept.grey, null, this.#tapeSize, this.#tapeBuffer);
    // Handed over with the message: the next one needs a buffer of its own.
    this.#tapeBuffer = undefined;
    return ring;
  }

  /** First answer from what was already read, then the proof from the stamped frame alone, then its picture. */
  async #stamp(stampId: string, atMs: number): Promise<void> {
    const setup = this.#setup;
    const kept = this.#tools.frames.upTo(atMs);
    const tracked = this.#track.at(atMs);
    const approach = this.#track.approach(atMs);
    const motion = this.#track.motion(atMs);
    if (tracked !== null) {
      this.#tools.post({
        kind: 'stamped',
        stampId,
        angle: { ok: true, ...tracked, approach, motion },
        askedAtMs: atMs,
      });
    }
    let angle: StampedAngle;
    if (setup === null || kept === null) angle = { ok: false, reason: 'wheel_not_found' };
    // While the model was fitted no frame was kept: where the crank was at the signal isn't known.
    else if (tracked === null && Math.abs(atMs - kept.timeMs) > freshMs) angle = { ok: false, reason: 'too_uncertain' };
    else {
      const alone = this.#tools.reader.readFrame(setup, kept.grey, { effort: 'full', previous: null });
      if (!alone.accepted) angle = { ok: false, reason: alone.reason };
      else if (tracked === null || disagree(alone.rotationDeg, tracked.rotationDeg, alone.modulusDeg)) {
        const { rotationDeg, sigmaDeg, modulusDeg, provisional } = alone;
        angle = {
          ok: true,
          rotationDeg,
          sigmaDeg,
          modulusDeg,
          isProvisional: provisional,
          frames: 1,
          approach,
          motion,
        };
      } else angle = { ok: true, ...tracked, approach, motion };
    }
    if (tracked === null) this.#tools.post({ kind: 'stamped', stampId, angle, askedAtMs: atMs });
    const picture = kept === null ? null : await this.#tools.evidenceOf(kept);
    this.#tools.post({ kind: 'stamp_kept', stampId, angle, picture });
    if (angle.ok) this.#stamps.add({ stampId, atMs, approach });
    this.#isStampedAtRest = angle.ok;
  }

  async #reRead(requestId: string, picture: Blob, state: Uint8Array | null): Promise<void> {
    const setup = state === null ? this.#setup : this.#tools.reader.restoreSetup(state);
    if (setup === null) {
      this.#tools.post({
        kind: 're_read_done',
        requestId,
        reading: null,
        detail: 'There is no set-up to read it with.',
      });
      return;
    }
    try {
      const grey = await this.#tools.greyOfPicture(picture);
      const reading = this.#tools.reader.readFrame(setup, grey, { effort: 'full', previous: null });
      this.#tools.post({ kind: 're_read_done', requestId, reading, detail: '' });
    } catch (error) {
      const detail = error instanceof Error ? error.message : String(error);
      this.#tools.post({ kind: 're_read_done', requestId, reading: null, detail });
    }
  }
}

/** A crank that rests longer than this is not about to be stamped. */
const stampTakesMs = 2500;

/** After this long without a frame the whole turn is searched again. */
const lostTrackS = 0.5;
const widenStepDeg = 8;
/** A tracked value that the stamped frame alone contradicts by more than this was on the wrong tick. */
const disagreeDeg = 0.3;

function disagree(aDeg: number, bDeg: number, modulusDeg: number): boolean {
  const away = (((aDeg - bDeg) % modulusDeg) + 1.5 * modulusDeg) % modulusDeg;
  return Math.abs(away - modulusDeg / 2) > disagreeDeg;
}

function infoOf(setup: WheelSetup): SetupInfo {
  return {
    rim: setup.rim,
    widthPx: setup.widthPx,
    heightPx: setup.heightPx,
    tickStepDeg: setup.tickStepDeg,
    modulusDeg: setup.modulusDeg,
    isCalibrated: setup.calibrated,
    tiltDeg: setup.tiltDeg,
    inPictureFraction: setup.inPictureFraction,
  };
}
