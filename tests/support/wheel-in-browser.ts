import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BenchResult } from '../bench/bench.ts';
import { type PlayedFrames, playSession } from './played-session.ts';
import { sharedPath } from './shared-fixtures.ts';

/** The session as other cameras would have sent it: the smaller one sees the wheel nearly as large, cut out round it. */
const cameras = [
  { name: '640x480', filter: 'scale=1024:576,crop=640:480:227:58' },
  { name: '1280x720', filter: null },
  { name: '1920x1080', filter: 'scale=1920:1080' },
] as const;
/** Reading may cost this many of a hundred frames more than a page that reads nothing. */
const mostDroppedPoints = 1;

function quantile(values: readonly number[], p: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] ?? Number.NaN;
}

function inSize(folder: string, name: string, filter: string): string {
  const file = join(folder, `${name}.mjpeg`);
  const session = sharedPath('fixtures', 'session', 'session.mjpeg');
  const input = ['-f', 'mjpeg', '-i', session];
  execFileSync('ffmpeg', ['-y', '-loglevel', 'error', ...input, '-vf', filter, '-q:v', '3', '-f', 'mjpeg', file]);
  return file;
}

/** The live path in Chromium's worker, by step and size of the picture, and what it costs in frames. */
export async function wheelInBrowser(): Promise<BenchResult> {
  const folder = mkdtempSync(join(tmpdir(), 'portsight-bench-'));
  const figures: { what: string; value: number; unit: string }[] = [];
  const limits: { what: string; value: number; limit: number; ok: boolean }[] = [];
  try {
    for (const { name, filter } of cameras) {
      const camera = filter === null ? undefined : inSize(folder, name, filter);
      const played = await playSession('reading', camera);
      figures.push(...stepsOf(name, played));
      if (filter !== null) continue;
      const idle = await playSession('idle', camera);
      figures.push({
        what: `Chromium, ${name} at 30 frames/s: dropped, reading`,
        value: 100 * played.droppedShare,
        unit: '%',
      });
      figures.push({
        what: `Chromium, ${name} at 30 frames/s: dropped, not reading`,
        value: 100 * idle.droppedShare,
        unit: '%',
      });
      const points = 100 * (played.droppedShare - idle.droppedShare);
      limits.push({
        what: 'Chromium: more frames dropped by reading, percentage points',
        value: points,
        limit: mostDroppedPoints,
        ok: points <= mostDroppedPoints,
      });
    }
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  return { figures, limits };
}

function stepsOf(name: string, { frames }: PlayedFrames): BenchResult['figures'] {
  const figure = (step: string, values: readonly number[], p: number) => ({
    what: `Chromium, ${name}: ${step}, ${p === 0.5 ? 'median' : 'p95'}`,
    value: quantile(values, p),
    unit: 'ms',
  });
  const steps = [
    ['copy of the luma', frames.map(({ copyMs }) => copyMs)],
    ['live frame', frames.map(({ readMs }) => readMs)],
    ['straightened ring for the screen', frames.map(({ tapeMs }) => tapeMs)],
  ] as const;
  return [
    ...steps.flatMap(([step, values]) => [figure(step, values, 0.5), figure(step, values, 0.95)]),
    { what: `Chromium, ${name}: frames read`, value: frames.length, unit: '' },
  ];
}
