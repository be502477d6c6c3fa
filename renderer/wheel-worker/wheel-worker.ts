import { loadOpenCV } from '@opencvjs/web';
import { createImageOps } from '../../core/wheel/image-ops.ts';
import { createWheelReader } from '../../core/wheel/reader.ts';
import { Engine } from './engine.ts';
import { FrameTimes } from './frame-times.ts';
import { KeptFrames } from './kept-frames.ts';
import type { FromWorker, ToWorker } from './messages.ts';
import { evidenceOf, greyOfPicture } from './pictures.ts';
import { createTurnFitter, makeFitWorker } from './turn-fitter.ts';
import { createSearcher, makeSearchWorker } from './turn-search.ts';

/** The part of the worker's global scope that is used; the page's type library has no worker scope. */
interface WorkerDoor {
  postMessage(message: FromWorker, transfer?: Transferable[]): void;
  addEventListener(type: 'message', listener: (event: MessageEvent<ToWorker>) => void): void;
}
const door = globalThis as unknown as WorkerDoor;

const nowMs = (): number => performance.timeOrigin + performance.now();
const post = (message: FromWorker, transfer: Transferable[] = []): void => door.postMessage(message, transfer);

const frames = new KeptFrames();
const times = new FrameTimes();
let engine: Engine | null = null;
let reader: ReadableStreamDefaultReader<VideoFrame> | null = null;
/** Messages and frames are worked through one after the other; what is in work must be finished first. */
let line: Promise<void> = Promise.resolve();

function inLine(work: () => Promise<void>): Promise<void> {
  line = line.then(work).catch(fail);
  return line;
}

function fail(error: unknown): void {
  const detail = error instanceof Error ? error.message : `The image library gave up (${String(error)}).`;
  post({ kind: 'aborted', detail });
}

async function takeFrame(frame: VideoFrame, seenAtMs: number, isMirrored: boolean): Promise<void> {
  const startMs = nowMs();
  let kept: Awaited<ReturnType<KeptFrames['add']>>;
  try {
    kept = await frames.add(frame, seenAtMs, isMirrored);
  } finally {
    frame.close();
  }
  await engine?.frame(kept, nowMs() - startMs, times.dropped);
}

/** Pulls frames of a track: the next one is asked for when the last one is done, so the newest always wins. */
async function pull(readable: ReadableStream<VideoFrame>, isMirrored: boolean): Promise<void> {
  await reader?.cancel();
  const mine = readable.getReader();
  reader = mine;
  frames.clear();
  times.restart();
  for (;;) {
    const { done, value } = await mine.read();
    if (done) break;
    const seenAtMs = times.seenAt(value.timestamp / 1000, nowMs());
    if (reader !== mine) {
      value.close();
      break;
    }
    await inLine(() => takeFrame(value, seenAtMs, isMirrored));
  }
  if (reader === mine) {
    reader = null;
    post({ kind: 'frames_ended' });
  }
}

door.addEventListener('message', ({ data }) => {
  switch (data.kind) {
    case 'frames':
      pull(data.readable, data.isMirrored).catch(fail);
      return;
    case 'frame':
      void inLine(() => takeFrame(data.frame, data.capturedAtMs, data.isMirrored)).then(() =>
        post({ kind: 'frame_taken' }),
      );
      return;
    case 'stop_frames': {
      const stopped = reader;
      reader = null;
      stopped?.cancel().catch(fail);
      void inLine(async () => frames.clear());
      return;
    }
    default:
      void inLine(async () => engine?.handle(data));
  }
});

line = line
  .then(async () => {
    const startMs = nowMs();
    const cv = await loadOpenCV();
    engine = new Engine({
      reader: createWheelReader(createImageOps(cv)),
      fitter: createTurnFitter(makeFitWorker),
      searcher: createSearcher(makeSearchWorker, nowMs),
      frames,
      evidenceOf,
      greyOfPicture,
      nowMs,
      post,
      inLine: (work) => void inLine(async () => work()),
      later: (work, afterMs = 0) => void setTimeout(() => void inLine(async () => work()), afterMs),
    });
    post({ kind: 'ready', loadMs: nowMs() - startMs });
  })
  .catch(fail);
