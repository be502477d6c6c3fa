import type {
  GreyPicture,
  RefusalReason,
  RimEllipse,
  RingBand,
  StraightenedRing,
  WheelReader,
  WheelReading,
  WheelSetup,
} from '../../core/wheel/types.ts';
import { CameraPace } from './camera-pace.ts';
import { CameraWatch } from './camera-watch.ts';
import type { KeptFrame, KeptFrames } from './kept-frames.ts';
import { LiveTurn, type TurnNews } from './live-turn.ts';
import type { EvidencePicture, FromWorker, ToWorker, TurnInfo } from './messages.ts';
import { reRead } from './re-read.ts';
import { infoInPicture, infoOf } from './setup-info.ts';
import { Stamper } from './stamper.ts';
import { Track } from './track.ts';
import type { TurnFitter } from './turn-fitter.ts';
import type { Searcher } from './turn-search.ts';
import { WheelFinding } from './wheel-finding.ts';

/** What the engine needs besides the reader; a test gives stand-ins. */
export interface EngineTools {
  readonly reader: WheelReader;
  readonly fitter: TurnFitter;
  readonly searcher: Searcher;
  readonly frames: Pick<KeptFrames, 'latest' | 'upTo' | 'after'>;
  evidenceOf(frame: KeptFrame): Promise<EvidencePicture>;
  greyOfPicture(picture: Blob, isMirrored: boolean): Promise<GreyPicture>;
  nowMs(): number;
  post(message: FromWorker, transfer?: Transferable[]): void;
  /** Works something through between two frames or messages, never in the middle of one. */
  inLine(work: () => void): void;
  /** The same after a while, and after the frames and messages that have come meanwhile. */
  later(work: () => void | Promise<void>, afterMs?: number): void;
}

/** After this long without a frame the whole turn is searched again. */
const lostTrackS = 0.5;
/** A frame that was refused is followed on from the one before for so long: each try costs the time of several frames. */
const leadsOnS = 0.07;
/** Between frames of a camera this slow a lost wheel is searched for on the spot: an answer from elsewhere comes too late. */
const unhurriedMs = 50;

/**
 * The worker's reasoning, free of the worker itself: from frames to readings, set-ups, turns and stamps.
 * One call is worked through before the next begins; the caller sees to that.
 */
export class Engine {
  readonly #tools: EngineTools;
  readonly #track = new Track();
  readonly #cameraWatch: CameraWatch;
  readonly #stamper: Stamper;
  #setup: WheelSetup | null = null;
  /** The set-up that the present one took the place of. */
  #earlier: WheelSetup | null = null;
  #turn: LiveTurn | null = null;
  readonly #finding: WheelFinding;
  #rimWanted: RimEllipse | null = null;
  #tapeBand: RingBand | null = null;
  #tapeBuffer: Uint8Array | undefined;
  #previous: WheelReading | null = null;
  #previousMs = 0;
  readonly #pace = new CameraPace();
  /** What the latest search of the whole turn came to. */
  #searched: WheelReading | null = null;

  constructor(tools: EngineTools) {
    this.#tools = tools;
    const { reader, post } = tools;
    this.#finding = new WheelFinding({
      ...tools,
      found: (rim) => {
        this.#rimWanted = rim;
      },
    });
    this.#cameraWatch = new CameraWatch(reader, post);
    this.#stamper = new Stamper({ ...tools, track: this.#track });
  }

  async handle(message: ToWorker): Promise<void> {
    switch (message.kind) {
      case 'find':
        this.#earlier = this.#setup ?? this.#earlier;
        this.#forget();
        this.#finding.begin();
        return;
      case 'stop_finding':
        this.#finding.stop();
        // What the search found and was not set up yet is wanted no more.
        this.#rimWanted = null;
        return;
      case 'snap':
        this.#snap(message.rim);
        return;
      case 'mark_pointer':
        this.#markPointer(message.atPx);
        return;
      case 'unmark_pointer':
        if (this.#setup !== null) this.#keepPointer(this.#tools.reader.withPointerOf(this.#setup, null));
        return;
      case 'set_up':
        this.#finding.stop();
        this.#rimWanted = message.rim;
        return;
      case 'restore':
        this.#restore(message.bytes, message.isTurnComplete);
        return;
      case 'forget':
        this.#earlier = null;
        this.#forget();
        return;
      case 'stamp':
        await this.#stamper.stamp(this.#setup, message.stampId, message.atMs);
        return;
      case 're_read':
        this.#tools.post(await reRead(this.#tools, this.#setup, message));
        return;
      case 'tape':
        this.#tapeBand = message.band;
        return;
      case 'frames':
      case 'frame':
      case 'stop_frames':
        return;
    }
  }

  /** Works through one frame that was just kept. */
  async frame(kept: KeptFrame, copyMs: number, framesDropped: number): Promise<void> {
    // A wheel that was found is set up first.
    if (this.#rimWanted === null) this.#finding.offer(kept.grey);
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
        lastPlace: this.#track.last,
        steps: { copyMs, readMs, tapeMs: this.#tools.nowMs() - startMs - readMs },
        framesDropped,
        tape,
      },
      tape === null ? [] : [tape.grey.buffer as ArrayBuffer],
    );
    this.#turn?.fitWhenDue(this.#fitted(this.#turn));
    if (this.#setup !== null) this.#cameraWatch.lookWhenDue(kept, this.#setup);
    await this.#stamper.frameCame(kept.timeMs);
  }

  #read(kept: KeptFrame): WheelReading | null {
    const setup = this.#setup;
    if (setup === null) return null;
    this.#pace.add(kept.timeMs);
    const elapsedS = (kept.timeMs - this.#previousMs) / 1000;
    const tell = (info: TurnInfo): void => this.#tools.post({ kind: 'turn', info });
    let reading: WheelReading;
    if (this.#turn !== null && !setup.calibrated) reading = this.#turn.offer(kept, elapsedS, tell);
    else {
      reading = this.#follow(setup, kept, elapsedS);
      this.#turn?.widen(kept, reading, tell);
    }
    // One frame that was refused doesn't end the track: the next may be found from the one before it.
    const leadsOn = this.#previous?.trackedDeg != null && elapsedS < leadsOnS && setup.calibrated;
    if (reading.trackedDeg !== null || !leadsOn) {
      this.#previous = reading;
      this.#previousMs = kept.timeMs;
    }
    return this.#cameraWatch.withBestReason(kept, setup, reading);
  }

  /** Reads a live frame from where the wheel was a moment ago; a lost wheel is searched for elsewhere meanwhile. */
  #follow(setup: WheelSetup, kept: KeptFrame, elapsedS: number): WheelReading {
    const trackedDeg = this.#previous?.trackedDeg ?? null;
    const velocityDegPerS = this.#track.latestSpeedDegPerS;
    const reading = this.#tools.reader.readFrame(setup, kept.grey, {
      effort: 'track',
      search: this.#pace.intervalMs >= unhurriedMs,
      previous:
        trackedDeg === null || elapsedS > lostTrackS
          ? null
          : { rotationDeg: trackedDeg, velocityDegPerS, elapsedS: Math.max(elapsedS, 0.001) },
    });
    if (reading.accepted || reading.trackedDeg !== null || reading.reason === 'picture_size_changed') return reading;
    const { timeMs } = kept;
    this.#tools.searcher.search(kept.grey, (found) =>
      this.#tools.inLine(() => {
        if (this.#setup !== setup) return;
        this.#searched = found;
        // Frames that were read meanwhile are newer.
        if (!found.accepted || (this.#track.last?.timeMs ?? -Infinity) >= timeMs) return;
        this.#track.add(timeMs, found);
        this.#previous = found;
        this.#previousMs = timeMs;
      }),
    );
    // What the search of a moment ago found to be in the way says more than a prediction that failed.
    const found = this.#searched;
    return found === null || found.accepted
      ? { ...reading, reason: lostReason(reading.reason) }
      : { ...reading, reason: found.reason };
  }

  /** A fit comes back while frames go on: it counts from the next frame, unless its turn was given up meanwhile. */
  #fitted(turn: LiveTurn): (news: TurnNews) => void {
    return (news) =>
      this.#tools.inLine(() => {
        if (this.#turn !== turn) return;
        if (!news.ok) {
          this.#tools.post({ kind: 'calibration_refused', reason: news.reason });
          return;
        }
        const { findings, isComplete } = news;
        const { reader } = this.#tools;
        // The pointer may have been marked since the turn began.
        const isMarked = this.#setup !== null && this.#setup.pointerPx !== null;
        const setup = isMarked ? reader.withPointerOf(news.setup, this.#setup) : news.setup;
        const state = isMarked ? reader.serialiseSetup(setup) : news.bytes;
        this.#take(setup);
        // Its kept pictures are let go.
        if (turn.isWhole) this.#turn = null;
        this.#tools.post({ kind: 'calibrated', info: infoOf(setup), findings, state, isComplete });
      });
  }

  #markPointer(atPx: readonly [number, number]): void {
    const { latest } = this.#tools.frames;
    const marked =
      this.#setup === null || latest === null ? null : this.#tools.reader.markPointer(this.#setup, latest.grey, atPx);
    if (marked === null) this.#tools.post({ kind: 'pointer_not_marked' });
    else this.#keepPointer(marked);
  }

  #keepPointer(setup: WheelSetup): void {
    this.#setup = setup;
    this.#cameraWatch.forgetPointer();
    const state = this.#tools.reader.serialiseSetup(setup);
    this.#tools.post({ kind: 'pointer_marked', info: infoOf(setup), state });
  }

  #snap(rim: RimEllipse): void {
    const latest = this.#tools.frames.latest;
    const snapped = latest === null ? { rim, snapped: false } : this.#tools.reader.snapRim(latest.grey, rim);
    this.#tools.post({ kind: 'snapped', rim: snapped.rim, isSnapped: snapped.snapped });
  }

  async #setUp(kept: KeptFrame, rim: RimEllipse): Promise<void> {
    this.#rimWanted = null;
    const isByHand = !this.#finding.isWanted;
    const outcome = this.#tools.reader.createSetup(kept.grey, rim);
    if (!outcome.ok) {
      // A wheel that was found by itself is looked for again: the operator may just be aiming the camera.
      if (!isByHand) this.#finding.lookOn(outcome.reason);
      else this.#tools.post({ kind: 'set_up_refused', reason: outcome.reason });
      return;
    }
    const earlier = this.#setup ?? this.#earlier;
    const turnFromEarlierDeg = earlier === null ? null : this.#tools.reader.turnBetween(earlier, outcome.setup);
    this.#begin(outcome.setup);
    this.#tools.post({
      kind: 'set_up_made',
      isByHand,
      info: infoInPicture(this.#tools.reader, outcome.setup, kept.grey),
      state: this.#tools.reader.serialiseSetup(outcome.setup),
      reference: await this.#tools.evidenceOf(kept),
      turnFromEarlierDeg,
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
    if (isTurnComplete) this.#turn = null;
    this.#tools.post({ kind: 'restored', info: infoOf(setup) });
  }

  #begin(setup: WheelSetup): void {
    this.#forget();
    this.#take(setup);
    this.#turn = new LiveTurn(this.#tools.reader, this.#tools.fitter, setup);
  }

  #take(setup: WheelSetup): void {
    this.#setup = setup;
    this.#searched = null;
    if (setup.calibrated) this.#tools.searcher.use(setup);
  }

  #forget(): void {
    this.#setup = null;
    this.#turn = null;
    this.#finding.stop();
    this.#rimWanted = null;
    this.#previous = null;
    this.#cameraWatch.forget();
    this.#track.clear();
    this.#stamper.clear();
  }

  #tape(kept: KeptFrame): StraightenedRing | null {
    if (this.#setup === null || this.#tapeBand === null) return null;
    const ring = this.#tools.reader.straightenedRing(this.#setup, kept.grey, null, this.#tapeBand, this.#tapeBuffer);
    // Handed over with the message: the next one needs a buffer of its own.
    this.#tapeBuffer = undefined;
    return ring;
  }
}

/** A good picture that only its prediction didn't fit: the crank went faster than it was followed. */
function lostReason(reason: RefusalReason): RefusalReason {
  return reason === 'nothing_matches' || reason === 'position_not_unique' ? 'moving_too_fast' : reason;
}
