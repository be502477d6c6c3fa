import { describe, expect, test } from 'vitest';
import { refusalText } from '../../../core/wheel/refusals.ts';
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
} from '../../../core/wheel/types.ts';
import { Engine } from '../../../renderer/wheel-worker/engine.ts';
import type { KeptFrame } from '../../../renderer/wheel-worker/kept-frames.ts';
import type { FromWorker } from '../../../renderer/wheel-worker/messages.ts';
import type { FittedTurn } from '../../../renderer/wheel-worker/turn-fitter.ts';

const rim = { centrePx: [640, 360], fullAxesPx: [560, 540], angleDeg: 0 } as const;
const picture: GreyPicture = { widthPx: 1280, heightPx: 720, stride: 1280, data: new Uint8Array(0) };

function setupOf(calibrated: boolean): WheelSetup {
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

function reading(rotationDeg: number, provisional: boolean): WheelReading {
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
      medianNcc: 0.9,
      contrast: 30,
      residualDeg: 0.01,
      blurDeg: 0,
      uniquenessZ: 10,
      ringShiftPx: 0,
    },
  };
}

function refused(reason: RefusalReason, { diagnostics, provisional }: WheelReading): WheelReading {
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
class StandIn {
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
        const read = reading(shown % 360, !setup.calibrated);
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

const findings = {
  residualDeg: 0.01,
  eccentricityOfRadius: 0.004,
  runOutDeg: 0.3,
  arcCoveredDeg: 130,
  tiltDeg: 10,
  focalLengthPx: 1200,
  framesUsed: 13,
};

test('frames are read and stamps answered while the turn is being fitted elsewhere', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(130, 1);
  expect(bench.records).toHaveLength(1);
  const before = bench.of('frame_read').length;
  await bench.frames(20, 0);
  expect(bench.of('frame_read')).toHaveLength(before + 20);
  await bench.engine.handle({ kind: 'stamp', stampId: 'first', atMs: bench.nowMs });
  const [stamped] = bench.of('stamped');
  expect(stamped?.angle).toMatchObject({ ok: true, rotationDeg: 130, isProvisional: true });
  expect(bench.of('stamp_kept')).toHaveLength(1);
  expect(bench.of('calibrated')).toHaveLength(0);

  await bench.fitted({ ok: true, setup: setupOf(true), findings });
  expect(bench.of('calibrated')[0]).toMatchObject({ isComplete: false, state: new Uint8Array([2]) });
  await bench.frames(1, 0);
  expect(bench.of('frame_read').at(-1)?.reading?.provisional).toBe(false);
});

test('once fitted, a turn is widened by what was read, and no frame is matched again', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(130, 1);
  await bench.fitted({ ok: true, setup: setupOf(true), findings });
  const { matched } = bench;
  await bench.frames(60, 1);
  expect(bench.matched).toBe(matched);
  expect(bench.records).toHaveLength(2);
});

test('one fit runs at a time, and the next waits until enough more of the turn is covered', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(200, 1);
  expect(bench.records).toHaveLength(1);
  await bench.fitted({ ok: false, reason: 'model_does_not_fit' });
  expect(bench.of('calibration_refused')).toHaveLength(1);
  await bench.frames(1, 1);
  expect(bench.records).toHaveLength(2);
});

test('the fit of a turn that was given up meanwhile is thrown away', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'set_up', rim });
  await bench.frames(130, 1);
  await bench.engine.handle({ kind: 'set_up', rim });
  bench.crankDeg = 0;
  await bench.frames(2, 0);
  await bench.fitted({ ok: true, setup: setupOf(true), findings });
  expect(bench.of('calibrated')).toHaveLength(0);
});

test('a lost wheel is searched for elsewhere while frames go on, and followed from where it was found', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  expect(bench.searchedWith).toHaveLength(1);
  await bench.frames(3, 1);
  bench.refuses = 'nothing_matches';
  await bench.frames(10, 0);
  expect(bench.searches).toBeGreaterThan(0);
  // Never searched for where frames are read.
  expect(bench.lastOptions.search).toBe(false);
  expect(bench.lastOptions.previous).toBeNull();
  expect(bench.of('frame_read').at(-1)?.reading?.reason).toBe('moving_too_fast');

  bench.answerSearch(reading(123, false));
  bench.refuses = null;
  bench.crankDeg = 123;
  await bench.frames(1, 0);
  expect(bench.lastOptions.previous).toMatchObject({ rotationDeg: 123 });
  expect(bench.of('frame_read').at(-1)?.reading?.rotationDeg).toBe(123);
});

test('what the search found to be in the way is what the operator reads', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  bench.refuses = 'nothing_matches';
  await bench.frames(1, 0);
  bench.answerSearch(refused('hand_over_rim', reading(0, false)));
  await bench.frames(1, 0);
  expect(bench.of('frame_read').at(-1)?.reading?.reason).toBe('hand_over_rim');
});

test('a slow camera’s lost wheel is searched for on the spot, a quick one’s only elsewhere', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  await bench.frames(20, 1, 66);
  expect(bench.lastOptions.search).toBe(true);
  // A busy computer hands frames over in bunches and leaves some out: the camera is no quicker for that.
  for (let bunch = 0; bunch < 8; bunch += 1) {
    await bench.frames(1, 1, 170);
    await bench.frames(1, 1, 28);
    await bench.frames(3, 1, 66);
    expect(bench.lastOptions.search).toBe(true);
  }
  await bench.frames(40, 1, 33);
  expect(bench.lastOptions.search).toBe(false);
  // Every second frame of a quick camera left out while the wheel is lost makes no slow camera of it.
  bench.refuses = 'nothing_matches';
  const before = bench.searches;
  for (let pair = 0; pair < 8; pair += 1) {
    await bench.frames(1, 0, 66);
    await bench.frames(1, 0, 33);
  }
  expect(bench.lastOptions.search).toBe(false);
  expect(bench.searches).toBeGreaterThan(before);
});

test('a signal that comes late is answered from the track, not by what a later frame shows', async () => {
  const bench = new StandIn();
  await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
  bench.crankDeg = 20;
  await bench.frames(20, 0);
  const heldAtMs = bench.nowMs;
  // The frames of that moment are kept no longer; the crank has moved on since.
  await bench.frames(40, 0.5);
  await bench.engine.handle({ kind: 'stamp', stampId: 'late', atMs: heldAtMs });
  expect(bench.of('stamp_kept')[0]).toMatchObject({ angle: { ok: true, rotationDeg: 20 }, picture: null });

  // Held still ever since, a later frame shows the same place and is kept with the stamp.
  await bench.frames(20, 0);
  const stillAtMs = bench.nowMs;
  await bench.frames(40, 0);
  await bench.engine.handle({ kind: 'stamp', stampId: 'still', atMs: stillAtMs });
  const [, still] = bench.of('stamp_kept');
  expect(still).toMatchObject({ angle: { ok: true, rotationDeg: 40 } });
  expect(still?.picture).not.toBeNull();
});

describe('a signal at a moment of which there is no picture', () => {
  /** The wheel was read, then the camera gave nothing for two seconds. */
  async function heldUp(): Promise<StandIn> {
    const bench = new StandIn();
    await bench.engine.handle({ kind: 'restore', bytes: new Uint8Array([1]), isTurnComplete: true });
    bench.crankDeg = 20;
    await bench.frames(20, 0);
    bench.nowMs += 2000;
    bench.crankDeg = 75;
    return bench;
  }

  test('is answered from the first frame after it', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'early', atMs: bench.nowMs });
    expect(bench.of('stamped')).toEqual([]);
    await bench.frames(1, 0, 120);
    const firstAtMs = bench.nowMs;
    await bench.frames(3, 0);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')[0]?.angle).toMatchObject({ ok: true, rotationDeg: 75, sigmaDeg: 0.004 });
    expect(bench.of('stamp_kept')[0]?.picture).toMatchObject({ takenAtMs: firstAtMs });
  });

  test('is the less certain the farther the crank may have turned since', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'turning', atMs: bench.nowMs });
    await bench.frames(4, 1, 40);
    await bench.later.shift()?.();
    const { angle } = bench.of('stamp_kept')[0] ?? {};
    expect(angle).toMatchObject({ ok: true, rotationDeg: 76 });
    // A degree a frame, one frame away.
    expect(angle?.ok === true ? angle.sigmaDeg : 0).toBeCloseTo(Math.hypot(0.004, 1), 9);
  });

  test('is refused where one lone picture does not tell whether the crank moved', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'lone', atMs: bench.nowMs });
    await bench.frames(1, 0, 120);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')[0]?.angle).toEqual({ ok: false, reason: 'no_picture' });
  });

  test('is read from the frames on both sides of it where the live reading lost the wheel', async () => {
    const bench = await heldUp();
    bench.refuses = 'nothing_matches';
    await bench.frames(4, 1, 40);
    const signalMs = bench.nowMs + 20;
    await bench.engine.handle({ kind: 'stamp', stampId: 'lost', atMs: signalMs });
    await bench.frames(4, 1, 40);
    bench.refuses = null;
    await bench.later.shift()?.();
    const { angle } = bench.of('stamp_kept')[0] ?? {};
    // Half-way between two frames a degree apart; two pictures alone don't tell whether it turned evenly.
    expect(angle).toMatchObject({ ok: true, rotationDeg: 79.5 });
    expect(angle?.ok === true ? angle.sigmaDeg : 0).toBeCloseTo(Math.hypot(0.004, 0.5 / Math.sqrt(3)), 9);
  });

  test('is refused as one where the next frame came too late to show where the crank was', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'unseen', atMs: bench.nowMs });
    await bench.frames(1, 0, 200);
    await bench.later.shift()?.();
    expect(bench.of('stamp_kept')).toMatchObject([{ angle: { ok: false, reason: 'no_picture' }, picture: null }]);
    expect(refusalText('no_picture').what).toContain('no picture at the moment of the signal');
  });

  test('is not waited for once that time is over', async () => {
    const bench = await heldUp();
    await bench.engine.handle({ kind: 'stamp', stampId: 'late', atMs: bench.nowMs - 900 });
    expect(bench.later).toHaveLength(0);
    expect(bench.of('stamp_kept')[0]?.angle).toEqual({ ok: false, reason: 'no_picture' });
  });
});

test('a search for the wheel goes on between frames and messages, tells how far it is, and can be stopped', async () => {
  const bench = new StandIn();
  const work = (): void => void bench.later.shift()?.();
  await bench.engine.handle({ kind: 'find' });
  await bench.frames(1, 0);
  expect(bench.later).toHaveLength(1);
  work();
  // Frames that come meanwhile are seen, and begin no second search.
  await bench.frames(3, 0);
  expect(bench.of('frame_read')).toHaveLength(4);
  expect(bench.later).toHaveLength(1);
  work();
  work();
  expect(bench.of('finding').map(({ share }) => share)).toEqual([0.2]);
  expect(bench.of('not_found')).toHaveLength(1);

  // After a pause it is tried again, and stopped in the middle: nothing more is said.
  await bench.frames(30, 0);
  work();
  await bench.engine.handle({ kind: 'stop_finding' });
  work();
  work();
  expect(bench.of('not_found')).toHaveLength(1);
  await bench.frames(30, 0);
  expect(bench.later).toHaveLength(0);

  // What is found is set up from the next frame, once.
  bench.search = function* () {
    yield 0.5;
    return { ok: true, rim, confidence: 0.9 };
  };
  await bench.engine.handle({ kind: 'find' });
  await bench.frames(1, 0);
  work();
  work();
  expect(bench.of('found')).toMatchObject([{ rim, confidence: 0.9 }]);
  await bench.frames(40, 0);
  expect(bench.of('set_up_made')).toHaveLength(1);
  expect(bench.later).toHaveLength(0);
});
