import type {
  FoundWheel,
  GreyPicture,
  PointerCheck,
  ReadOptions,
  RefusalReason,
  TurnOutcome,
  TurnProgress,
  TurnRecord,
  WheelReader,
  WheelReading,
  WheelSetup,
} from '../../core/wheel/types.ts';
import { Engine } from '../../renderer/wheel-worker/engine.ts';
import type { KeptFrame } from '../../renderer/wheel-worker/kept-frames.ts';
import type { FromWorker } from '../../renderer/wheel-worker/messages.ts';
import type { FittedTurn } from '../../renderer/wheel-worker/turn-fitter.ts';

export const rim = { centrePx: [640, 360], fullAxesPx: [560, 540], angleDeg: 0 } as const;
const picture: GreyPicture = { widthPx: 1280, heightPx: 720, stride: 1280, data: new Uint8Array(0) };

export function setupOf(calibrated: boolean): WheelSetup {
  return {
    kind: 'portsight-wheel-setup',
    widthPx: 1280,
    heightPx: 720,
    rim,
    tickStepDeg: 1,
    modulusDeg: 360,
    calibrated,
    tiltDeg: 10,
    inPictureFraction: 1,
    codedRing: null,
    pointerPx: null,
  };
}

export function reading(rotationDeg: number, provisional: boolean): WheelReading {
  return {
    accepted: true,
    provisional,
    rotationDeg,
    sigmaDeg: provisional ? 0.1 : 0.004,
    modulusDeg: 360,
    reason: null,
    trackedDeg: rotationDeg,
    diagnostics: {
      coveredFraction: 1,
      inViewFraction: 1,
      medianNcc: 0.9,
      contrast: 30,
      residualDeg: 0.01,
      blurDeg: 0,
      uniquenessZ: 10,
      ringShiftPx: 0,
    },
  };
}

export function refused(reason: RefusalReason, { diagnostics, provisional }: WheelReading): WheelReading {
  return {
    accepted: false,
    provisional,
    modulusDeg: 360,
    rotationDeg: null,
    sigmaDeg: null,
    reason,
    trackedDeg: null,
    diagnostics,
  };
}

/** A search of two steps that finds nothing. */
function* notFound(): Generator<number, FoundWheel> {
  yield 0.2;
  yield 0.7;
  return { ok: false, reason: 'wheel_not_found' };
}

/** A bench with a wheel that stands where it is told, and a fit that comes back when it is told. */
export class StandInBench {
  crankDeg = 0;
  nowMs = 1000;
  readonly said: FromWorker[] = [];
  readonly records: TurnRecord[] = [];
  readonly searchedWith: WheelSetup[] = [];
  searches = 0;
  /** Work that was put off until messages and frames have been seen to. */
  readonly later: (() => void | Promise<void>)[] = [];
  search: () => Generator<number, FoundWheel> = notFound;
  /** Frames that were matched against the reference, which takes long. */
  matched = 0;
  /** Where a marked pointer is seen. */
  pointer: PointerCheck = { state: 'there', shiftDeg: 0 };
  answerSearch: (found: WheelReading) => void = () => undefined;
  /** Live frames are refused for this reason while it is set. */
  refuses: RefusalReason | null = null;
  /** The live track is on a wrong tick by this much; a frame read by itself isn't. */
  trackOffDeg = 0;
  /** What the reader was told of the frame before. */
  lastOptions: ReadOptions = {};
  #answer: ((fitted: FittedTurn) => void) | null = null;
  readonly #kept: { frame: KeptFrame; crankDeg: number }[] = [];
  readonly engine: Engine;

  constructor() {
    const progress = (): TurnProgress => ({
      arcCoveredDeg: Math.min(360, this.crankDeg),
      sectorsCovered: [],
      framesUsed: 5,
      expectedSigmaDeg: 0.01,
      sentence: '',
      reading: reading(this.crankDeg % 360, true),
    });
    const reader: WheelReader = {
      readCodedRing: () => ({ state: 'not_seen' }),
      findWheel: () => ({ ok: false, reason: 'wheel_not_found' }),
      findWheelSteps: () => this.search(),
      snapRim: (_, dragged) => ({ rim: dragged, snapped: true }),
      createSetup: () => ({ ok: true, setup: setupOf(false) }),
      readFrame: (setup, grey, options = {}) => {
        this.lastOptions = options;
        const shown = this.#kept.find(({ frame }) => frame.grey === grey)?.crankDeg ?? this.crankDeg;
        const off = options.effort === 'track' ? this.trackOffDeg : 0;
        const read = reading((shown + off) % 360, !setup.calibrated);
        return this.refuses === null ? read : refused(this.refuses, read);
      },
      startTurn: () => ({ kind: 'portsight-turn' }),
      addTurnFrame: () => {
        this.matched += 1;
        return progress();
      },
      widenTurn: progress,
      finishTurn: () => {
        throw new Error('the reading thread must not fit');
      },
      recordOfTurn: () => ({ kind: 'portsight-turn-record' }),
      straightenedRing: () => ({ widthPx: 0, heightPx: 0, grey: new Uint8Array(0) }),
      turnBetween: () => null,
      checkCamera: () => ({ state: 'still', shiftPx: 0, corners: 50 }),
      markPointer: (setup, _, atPx) => ({ ...setup, pointerPx: atPx }),
      withPointerOf: (setup, other) => ({ ...setup, pointerPx: other?.pointerPx ?? null }),
      checkPointer: (setup) => (setup.pointerPx === null ? null : this.pointer),
      serialiseSetup: () => new Uint8Array([1]),
      restoreSetup: () => setupOf(true),
    };
    this.engine = new Engine({
      reader,
      fitter: {
        fit: (record) => {
          this.records.push(record);
          return new Promise((resolve) => {
            this.#answer = resolve;
          });
        },
        close: () => undefined,
      },
      searcher: {
        use: (setup) => this.searchedWith.push(setup),
        search: (_, done) => {
          this.searches += 1;
          this.answerSearch = done;
        },
      },
      frames: {
        latest: null,
        upTo: (atMs) => {
          const kept = this.#inMemory();
          return kept.findLast(({ timeMs }) => timeMs <= atMs + 1) ?? kept[0] ?? null;
        },
        after: (atMs) => this.#inMemory().find(({ timeMs }) => timeMs > atMs + 1) ?? null,
      },
      evidenceOf: async (kept) => ({ jpeg: new Blob(), widthPx: 1280, heightPx: 720, takenAtMs: kept.timeMs }),
      greyOfPicture: async () => picture,
      nowMs: () => this.nowMs,
      post: (message) => this.said.push(message),
      inLine: (work) => work(),
      later: (work) => this.later.push(work),
    });
  }

  /** As many frames as 0.9 s of a quick camera give. */
  #inMemory(): KeptFrame[] {
    return this.#kept.slice(-27).map(({ frame }) => frame);
  }

  async frames(count: number, stepDeg: number, intervalMs = 33): Promise<void> {
    for (let i = 0; i < count; i += 1) {
      this.nowMs += intervalMs;
      this.crankDeg += stepDeg;
      const grey = { ...picture };
      const frame = { timeMs: this.nowMs, widthPx: 1280, heightPx: 720, grey } as KeptFrame;
      this.#kept.push({ frame, crankDeg: this.crankDeg });
      await this.engine.frame(frame, 1, 0);
    }
  }

  async fitted(outcome: TurnOutcome): Promise<void> {
    this.#answer?.({ outcome, bytes: new Uint8Array([2]) });
    await new Promise((resolve) => setImmediate(resolve));
  }

  of<K extends FromWorker['kind']>(kind: K): Extract<FromWorker, { kind: K }>[] {
    return this.said.filter((one): one is Extract<FromWorker, { kind: K }> => one.kind === kind);
  }
}
