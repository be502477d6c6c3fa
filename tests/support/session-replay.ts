import { execFileSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, readSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import type { ImageOps } from '../../core/wheel/image-ops.ts';
import { createWheelReader } from '../../core/wheel/reader.ts';
import type { GreyPicture, WheelReading } from '../../core/wheel/types.ts';
import { Engine, type EngineTools } from '../../renderer/wheel-worker/engine.ts';
import type { KeptFrame } from '../../renderer/wheel-worker/kept-frames.ts';
import { fitRecord } from '../../renderer/wheel-worker/turn-fitter.ts';
import { TurnSearch } from '../../renderer/wheel-worker/turn-search.ts';
import { sessionFrames } from './session-camera.ts';
import { sharedPath } from './shared-fixtures.ts';

/** One frame of the session as the worker's engine worked it through. */
export interface ReplayedFrame {
  /** Its place in the session. */
  readonly index: number;
  /** Frames that came while the one before was worked through and that a newer one took the place of. */
  readonly droppedBefore: number;
  /** Processor time of everything that was done for it. */
  readonly workMs: number;
  readonly reading: WheelReading | null;
  /** The turn was complete two seconds before. */
  readonly isAfterTurn: boolean;
}

/** Taking a frame over and telling of it, which isn't done here. */
const handOverMs = 0.5;
const settledMs = 2000;

function processorMs(): number {
  const { user, system } = process.threadCpuUsage();
  return (user + system) / 1000;
}

/** The session's grey pictures in the size wanted, one after the other in a file. */
function decode(file: string, filter: string): void {
  const input = ['-f', 'mjpeg', '-i', sharedPath('fixtures', 'session', 'session.mjpeg')];
  // The grey picture is the luma as the camera sends it, in its limited range.
  const output = ['-vf', `${filter},format=yuv420p,extractplanes=y`, '-f', 'rawvideo', file];
  execFileSync('ffmpeg', ['-y', '-loglevel', 'error', ...input, ...output]);
}

function pictureIn(descriptor: number, index: number, widthPx: number, heightPx: number): GreyPicture {
  const bytes = widthPx * heightPx;
  const data = new Uint8Array(bytes);
  readSync(descriptor, data, 0, bytes, index * bytes);
  return { widthPx, heightPx, stride: widthPx, data };
}

/**
 * Plays the session through the worker's engine at 30 frames/s on a clock that runs by processor time alone: what a frame
 * costs is what it works, whatever else the computer does meanwhile. Fits and searches run beside it, as they do in
 * workers of their own. One frame waits while another is worked through; a newer one takes its place.
 */
export async function replaySession(
  ops: ImageOps,
  size: { readonly widthPx: number; readonly heightPx: number; readonly filter: string },
  passes: number,
): Promise<ReplayedFrame[]> {
  const folder = mkdtempSync(join(tmpdir(), 'portsight-bench-'));
  const file = join(folder, 'session.grey');
  try {
    decode(file, size.filter);
    const descriptor = openSync(file, 'r');
    const frames = sessionFrames().length;
    const pictureOf = (index: number): GreyPicture =>
      pictureIn(descriptor, index % frames, size.widthPx, size.heightPx);
    const replay = new Replay(ops);
    await replay.begin();
    while (replay.next < frames * passes) await replay.step(pictureOf, frames);
    closeSync(descriptor);
    return replay.done;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const intervalMs = 1000 / 30;

class Replay {
  readonly done: ReplayedFrame[] = [];
  /** The frame that is due next. */
  next = 0;
  #nowMs = 0;
  /** Processor time at which the frame in work was begun, less what was done for others meanwhile. */
  #startedMs = 0;
  #freeAtMs = 0;
  #reading: WheelReading | null = null;
  #completeAtMs = Infinity;
  #due: { readonly atMs: number; work(): void }[] = [];
  readonly #engine: Engine;
  readonly #frames: { latest: KeptFrame | null; upTo(): KeptFrame | null; after(): null } = {
    latest: null,
    upTo: () => null,
    after: () => null,
  };

  constructor(ops: ImageOps) {
    const search = new TurnSearch();
    let isSearching = false;
    const tools: EngineTools = {
      reader: createWheelReader(ops),
      fitter: {
        fit: (record) =>
          new Promise((resolve) => {
            const [fitted, tookMs] = this.#elsewhere(() => fitRecord(record));
            this.#due.push({ atMs: this.#nowMs + tookMs, work: () => resolve(fitted) });
          }),
        close: () => undefined,
      },
      searcher: {
        use: (setup) => void this.#elsewhere(() => search.work({ kind: 'setup', setup })),
        search: (picture, done) => {
          if (isSearching) return;
          isSearching = true;
          const [found, tookMs] = this.#elsewhere(() => search.work({ kind: 'search', picture }));
          const work = (): void => {
            isSearching = false;
            if (found !== null) done(found);
          };
          this.#due.push({ atMs: this.#nowMs + this.#workedMs() + tookMs, work });
        },
      },
      frames: this.#frames,
      evidenceOf: async ({ widthPx, heightPx, timeMs }) => ({ jpeg: new Blob(), widthPx, heightPx, takenAtMs: timeMs }),
      greyOfPicture: async () => {
        throw new Error('No picture is read again here.');
      },
      nowMs: () => this.#nowMs + this.#workedMs(),
      post: (message) => {
        if (message.kind === 'frame_read') this.#reading = message.reading;
        if (message.kind === 'calibrated' && message.isComplete)
          this.#completeAtMs = Math.min(this.#completeAtMs, this.#nowMs);
      },
      inLine: (work) => work(),
      // The search for the wheel lies before what is measured.
      later: (work) => void work(),
    };
    this.#engine = new Engine(tools);
  }

  async begin(): Promise<void> {
    await this.#engine.handle({
      kind: 'tape',
      band: { widthPx: 640, heightPx: 64, fromDeg: 230, spanDeg: 80 },
    });
    await this.#engine.handle({ kind: 'find' });
  }

  async step(pictureOf: (index: number) => GreyPicture, frames: number): Promise<void> {
    const index = Math.max(this.next, Math.floor(this.#freeAtMs / intervalMs));
    this.#nowMs = Math.max(this.#freeAtMs, index * intervalMs);
    await this.#answer();
    const grey = pictureOf(index);
    const timeMs = index * intervalMs;
    const { widthPx, heightPx } = grey;
    const kept = { timeMs, widthPx, heightPx, grey, bytes: grey.data } as unknown as KeptFrame;
    this.#frames.latest = kept;
    this.#startedMs = processorMs();
    await this.#engine.frame(kept, handOverMs, 0);
    const workMs = this.#workedMs();
    this.done.push({
      index: index % frames,
      droppedBefore: index - this.next,
      workMs,
      reading: this.#reading,
      isAfterTurn: this.#nowMs > this.#completeAtMs + settledMs,
    });
    this.#freeAtMs = this.#nowMs + workMs + handOverMs;
    this.next = index + 1;
  }

  /** What was worked out elsewhere comes in between two frames. */
  async #answer(): Promise<void> {
    const due = this.#due.filter(({ atMs }) => atMs <= this.#nowMs).sort((a, b) => a.atMs - b.atMs);
    this.#due = this.#due.filter((one) => !due.includes(one));
    this.#startedMs = processorMs();
    for (const { work } of due) {
      work();
      await nextTurn();
    }
  }

  #workedMs(): number {
    return processorMs() - this.#startedMs;
  }

  /** Does something that another thread would do; its time isn't the frame's. */
  #elsewhere<T>(work: () => T): [T, number] {
    const fromMs = processorMs();
    const value = work();
    const tookMs = processorMs() - fromMs;
    this.#startedMs += tookMs;
    return [value, tookMs];
  }
}
