import { frameView } from '../../core/wheel/frame-view.ts';
import { createImageOps } from '../../core/wheel/image-ops.ts';
import { matchPair } from '../../core/wheel/pair-match.ts';
import { ProvisionalReader } from '../../core/wheel/read-provisional.ts';
import { createWheelReader } from '../../core/wheel/reader.ts';
import { asState } from '../../core/wheel/state.ts';
import type { GreyPicture, TrackState, WheelReader, WheelSetup } from '../../core/wheel/types.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import { photograph, rimOf, type SyntheticSetup, syntheticSetup } from '../support/synthetic-wheel.ts';
import { textbookReader } from '../support/textbook-wheel.ts';
import { wheelInBrowser } from '../support/wheel-in-browser.ts';
import type { Bench, BenchResult } from './bench.ts';

const sizes = [
  { widthPx: 640, heightPx: 480, radiusPx: 200 },
  { widthPx: 1280, heightPx: 720, radiusPx: 280 },
  { widthPx: 1920, heightPx: 1080, radiusPx: 420 },
] as const;
/** Live tracking must beat the textbook way by this factor, and the simple estimator's p95 by that. */
const leastSpeedUp = 3;
const leastGain = 5;
const liveFrames = 60;

interface Ready {
  readonly scene: SyntheticSetup;
  readonly reference: GreyPicture;
  readonly setup: WheelSetup;
  readonly findMs: number;
  readonly setUpMs: number;
  readonly finishMs: number;
}

function timed<T>(work: () => T): [T, number] {
  const start = performance.now();
  const value = work();
  return [value, performance.now() - start];
}

function quantile(values: readonly number[], p: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] as number;
}

/** Sets a synthetic wheel up and turns it once. */
function prepare(reader: WheelReader, scene: SyntheticSetup): Ready | null {
  const reference = photograph(scene, { rotationDeg: 0, seed: 1 });
  const [, findMs] = timed(() => reader.findWheel(reference));
  const [made, setUpMs] = timed(() => reader.createSetup(reference, rimOf(scene, 0)));
  if (!made.ok) return null;
  const turn = reader.startTurn(made.setup);
  reader.addTurnFrame(turn, reference, null);
  for (let i = 1; i <= 11; i++)
    reader.addTurnFrame(turn, photograph(scene, { rotationDeg: i * 31.3, seed: i + 1 }), null);
  const [outcome, finishMs] = timed(() => reader.finishTurn(turn));
  return outcome.ok ? { scene, reference, setup: outcome.setup, findMs, setUpMs, finishMs } : null;
}

/** Frames of a crank turned at 8 degrees a second, 30 frames a second. */
function liveRun(scene: SyntheticSetup): { picture: GreyPicture; rotationDeg: number }[] {
  return Array.from({ length: liveFrames }, (_, i) => {
    const rotationDeg = 40 + (8 * i) / 30;
    return { rotationDeg, picture: photograph(scene, { rotationDeg, blurDeg: 0.1, seed: 100 + i }) };
  });
}

function trackTimes(reader: WheelReader, setup: WheelSetup, run: readonly { picture: GreyPicture }[]): number[] {
  let previous: TrackState | null = null;
  let last: number | null = null;
  const times: number[] = [];
  for (const { picture } of run) {
    const [reading, ms] = timed(() => reader.readFrame(setup, picture, { effort: 'track', previous }));
    times.push(ms);
    const now = reading.trackedDeg;
    previous =
      now === null
        ? null
        : { rotationDeg: now, velocityDegPerS: last === null ? 0 : (now - last) * 30, elapsedS: 1 / 30 };
    last = now;
  }
  // The first frames search the whole turn and warm the code up.
  return times.slice(10);
}

async function run(): Promise<BenchResult> {
  const { loadOpenCV } = await import('@opencvjs/web');
  const cv = await loadOpenCV();
  const reader = createWheelReader(createImageOps(cv));
  const figures: { what: string; value: number; unit: string }[] = [];
  const limits: { what: string; value: number; limit: number; ok: boolean }[] = [];
  const figure = (what: string, value: number, unit: string): void => {
    figures.push({ what, value, unit });
  };

  for (const { widthPx, heightPx, radiusPx } of sizes) {
    const name = `${widthPx}x${heightPx}`;
    const ready = prepare(reader, syntheticSetup(71, { size: [widthPx, heightPx], radiusPx, tiltDeg: 15 }));
    if (ready === null) throw new Error(`the synthetic wheel at ${name} could not be set up`);
    const run = liveRun(ready.scene);
    trackTimes(reader, ready.setup, run.slice(0, 20));
    const live = trackTimes(reader, ready.setup, run);
    const full = run.slice(0, 12).map(({ picture }) => timed(() => reader.readFrame(ready.setup, picture))[1]);
    const textbook = textbookReader(cv, ready.reference, ready.setup.rim);
    for (const { picture } of run.slice(0, 4)) textbook.read(picture);
    const plain = run.slice(0, 24).map(({ picture }) => timed(() => textbook.read(picture))[1]);
    textbook.close();
    const band = run
      .slice(0, 24)
      .map(({ picture }) => timed(() => reader.straightenedRing(ready.setup, picture, 40))[1]);
    figure(`${name}: find the wheel`, ready.findMs, 'ms');
    figure(`${name}: set up`, ready.setUpMs, 'ms');
    figure(`${name}: fit the turn, 12 frames`, ready.finishMs, 'ms');
    figure(`${name}: live frame, median`, quantile(live, 0.5), 'ms');
    figure(`${name}: live frame, p95`, quantile(live, 0.95), 'ms');
    figure(`${name}: stamp, median`, quantile(full, 0.5), 'ms');
    figure(`${name}: straightened ring for the screen, median`, quantile(band, 0.5), 'ms');
    figure(`${name}: textbook way, median`, quantile(plain, 0.5), 'ms');
    figure(`${name}: textbook way, p95`, quantile(plain, 0.95), 'ms');
    const ratio = quantile(plain, 0.5) / quantile(live, 0.5);
    limits.push({
      what: `${name}: live tracking faster than the textbook way, times`,
      value: ratio,
      limit: leastSpeedUp,
      ok: ratio >= leastSpeedUp,
    });
  }

  const { ours, simple, textbook } = accuracy(reader, cv);
  figure('p95 error, tilt 10 deg or more: this reader', quantile(ours, 0.95), 'deg');
  figure('p95 error, same frames: whole-ring mean against one strip', quantile(simple, 0.95), 'deg');
  figure('p95 error, same frames: textbook way', quantile(textbook, 0.95), 'deg');
  figure('frames compared', ours.length, '');
  const gain = quantile(simple, 0.95) / quantile(ours, 0.95);
  limits.push({
    what: 'p95 error smaller than the simple estimator’s, times',
    value: gain,
    limit: leastGain,
    ok: gain >= leastGain,
  });
  const inBrowser = missingBrowserReason === null && sharedFolder !== null ? await wheelInBrowser() : null;
  if (inBrowser === null)
    console.error(`The half in Chromium is left out: ${missingBrowserReason ?? missingFixturesReason}`);
  return {
    figures: [...figures, ...(inBrowser?.figures ?? [])],
    limits: [...limits, ...(inBrowser?.limits ?? [])],
  };
}

/** Errors on the same frames of tilted set-ups with run-out and eccentricity as benches have them. */
function accuracy(reader: WheelReader, cv: object): { ours: number[]; simple: number[]; textbook: number[] } {
  const ours: number[] = [];
  const simple: number[] = [];
  const textbook: number[] = [];
  const miss = (a: number, b: number): number => Math.abs(((a - b + 540) % 360) - 180);
  for (let i = 0; i < 6; i++) {
    const ready = prepare(reader, syntheticSetup(200 + i, { size: [640, 480], radiusPx: 200, tiltDeg: 10 + 4 * i }));
    if (ready === null) continue;
    const one = new ProvisionalReader(asState(ready.setup));
    const first = one.unroll(ready.reference);
    const { repeatDeg } = asState(ready.setup);
    const reference = frameView(first.ring, first.face, repeatDeg);
    const polar = textbookReader(cv, ready.reference, ready.setup.rim);
    for (let k = 0; k < 10; k++) {
      const rotationDeg = 17 + k * 34.7;
      const picture = photograph(ready.scene, { rotationDeg, seed: 500 + k });
      const reading = reader.readFrame(ready.setup, picture);
      if (!reading.accepted) continue;
      ours.push(miss(reading.rotationDeg, rotationDeg));
      const { ring, face } = one.unroll(picture);
      // Told which tick it is, so that only its geometry counts.
      const match = matchPair(
        reference,
        frameView(ring, face, repeatDeg),
        ready.setup.tickStepDeg,
        [rotationDeg],
        true,
      );
      if (match !== null) simple.push(miss(match.rotationDeg, rotationDeg));
      textbook.push(miss(polar.read(picture), rotationDeg));
    }
    polar.close();
  }
  return { ours, simple, textbook };
}

const bench: Bench = { name: 'wheel', run };
export default bench;
