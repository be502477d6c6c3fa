import { loadImageOps } from '../../electron/cli/load-opencv.ts';
import { sessionFrames } from '../support/session-camera.ts';
import { missingFfmpegReason } from '../support/session-files.ts';
import { type ReplayedFrame, replaySession } from '../support/session-replay.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import type { Bench, BenchResult } from './bench.ts';

const sizes = [
  { name: '640x480', widthPx: 640, heightPx: 480, filter: 'scale=1024:576,crop=640:480:227:58' },
  { name: '1280x720', widthPx: 1280, heightPx: 720, filter: 'null' },
  { name: '1920x1080', widthPx: 1920, heightPx: 1080, filter: 'scale=1920:1080' },
] as const;
/** Set-up and turn, then the whole session once. */
const passes = 1.5;
const mostDroppedPercent = 1;
const mostErrorDeg = 0.2;

function quantile(values: readonly number[], p: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] ?? Number.NaN;
}

/** Farthest reading of the finished model from the truth; which rotation the reference stood at is taken from the middle. */
function worstErrorDeg(frames: readonly ReplayedFrame[]): number {
  const truth = sessionFrames();
  const wrapped = (deg: number): number => ((((deg + 180) % 360) + 360) % 360) - 180;
  const away = frames.flatMap(({ index, reading }) =>
    reading?.accepted === true && !reading.provisional
      ? [wrapped(reading.rotationDeg - (truth[index]?.rotation_deg ?? 0))]
      : [],
  );
  const first = away[0] ?? 0;
  const middle = quantile(
    away.map((deg) => wrapped(deg - first)),
    0.5,
  );
  return Math.max(...away.map((deg) => Math.abs(wrapped(deg - first - middle))));
}

async function run(): Promise<BenchResult> {
  const missing = sharedFolder === null ? missingFixturesReason : missingFfmpegReason;
  if (missing !== null) throw new Error(missing);
  const ops = await loadImageOps();
  const figures: { what: string; value: number; unit: string }[] = [];
  const limits: { what: string; value: number; limit: number; ok: boolean }[] = [];
  for (const { name, ...size } of sizes) {
    const all = await replaySession(ops, size, passes);
    const frames = all.filter(({ isAfterTurn }) => isAfterTurn);
    const dropped = frames.reduce((sum, { droppedBefore }) => sum + droppedBefore, 0);
    const droppedPercent = (100 * dropped) / (dropped + frames.length);
    const worstDeg = worstErrorDeg(all);
    const work = frames.map(({ workMs }) => workMs);
    figures.push(
      { what: `${name}: a frame, median`, value: quantile(work, 0.5), unit: 'ms' },
      { what: `${name}: a frame, p95`, value: quantile(work, 0.95), unit: 'ms' },
      { what: `${name}: the longest frame`, value: Math.max(...work), unit: 'ms' },
      { what: `${name}: frames worked through`, value: frames.length, unit: '' },
      { what: `${name}: of these read`, value: frames.filter(({ reading }) => reading?.accepted).length, unit: '' },
    );
    limits.push(
      {
        what: `${name}: dropped at 30 frames/s by work alone, %`,
        value: droppedPercent,
        limit: mostDroppedPercent,
        ok: droppedPercent <= mostDroppedPercent,
      },
      {
        what: `${name}: farthest from the truth, deg`,
        value: worstDeg,
        limit: mostErrorDeg,
        ok: worstDeg <= mostErrorDeg,
      },
    );
  }
  return { figures, limits };
}

const bench: Bench = { name: 'live', run };
export default bench;
