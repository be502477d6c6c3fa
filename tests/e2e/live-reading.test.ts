import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeMockUp } from '../support/book-records.ts';
import { openSocket, startHostProcess } from '../support/loopback.ts';
import { launchWithCamera, makeSessionCamera, missingBrowserReason, sessionHolds } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';
import { type WatchedFrame, watchedUntilNow, watchWheelWorker } from '../support/worker-watch.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
/** One playing of the session, and half of a second one: every place is then read with the finished model. */
const watchedMs = 80_000;

const wrapped = (angleDeg: number): number => ((((angleDeg + 180) % 360) + 360) % 360) - 180;
const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / values.length;

/** Stretches of at least ten frames in a row in which the wheel was read as held, by the finished model. */
function heldStretches(frames: readonly WatchedFrame[]): number[][] {
  const stretches: number[][] = [];
  let now: number[] = [];
  for (const frame of frames) {
    const first = now[0];
    const isHeld = frame.rotationDeg !== null && !frame.isProvisional && frame.motion === 'steady';
    if (isHeld && (first === undefined || Math.abs(wrapped((frame.rotationDeg ?? 0) - first)) < 0.1)) {
      now.push(frame.rotationDeg ?? 0);
      continue;
    }
    if (now.length >= 10) stretches.push(now);
    now = [];
  }
  return stretches;
}

/** No fit of the session's turn is quicker, on any machine met so far. */
const leastFitMs = 1500;

test('the session video through the camera path: read without a pause while the model is fitted, steady to 0.01 deg', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'data'));
  const camera = process.env['PORTSIGHT_CAMERA_FILE'] ?? makeSessionCamera(folder);
  const host = await startHostProcess(join(folder, 'data'), builtPage);
  const browser = await launchWithCamera(join(folder, 'profile'), camera);
  try {
    const socket = await openSocket(host.url);
    const { mockUp } = await makeMockUp(socket.client);
    await watchWheelWorker(browser);
    const page = await browser.newPage();
    await page.goto(host.url);
    await page.waitForSelector('h1');
    await page.evaluate((id) => {
      window.location.hash = `#/mock-up/${id}/set-up`;
    }, mockUp.id);
    await page.getByRole('button', { name: 'Open the camera' }).click();
    await page.getByTestId('turn').waitFor({ timeout: 60_000 });
    await page.waitForTimeout(20_000);
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'set-up-turning.png') });
    await page.waitForTimeout(watchedMs - 20_000);
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'set-up-turned.png') });
    const { frames, others } = await watchedUntilNow(page);

    const fits = others.filter(({ kind }) => kind === 'calibrated').map(({ heardAtMs }) => heardAtMs);
    expect(fits.length).toBeGreaterThan(0);
    const from = frames.find(({ rotationDeg }) => rotationDeg !== null)?.heardAtMs ?? Infinity;
    const read = frames.filter(({ heardAtMs }) => heardAtMs >= from);
    const gaps = read.slice(1).map((frame, i) => frame.heardAtMs - (read[i]?.heardAtMs ?? 0));
    const longestMs = Math.max(...gaps);
    const stretches = heldStretches(frames);
    const scatter = stretches.map((stretch) => {
      const [first = 0] = stretch;
      const away = stretch.map((one) => wrapped(one - first));
      const middle = mean(away);
      return Math.sqrt(away.reduce((sum, one) => sum + (one - middle) ** 2, 0) / (away.length - 1));
    });
    const worstScatter = Math.max(...scatter);

    // Where the reference frame was taken is not known from outside; all holds must lie at one distance from the truth.
    const truths = sessionHolds();
    const middles = stretches.map((stretch) => {
      const [first = 0] = stretch;
      return first + mean(stretch.map((one) => wrapped(one - first)));
    });
    const [firstMiddle = 0] = middles;
    const missFor = (offsetDeg: number): number[] =>
      middles.map((one) => Math.min(...truths.map((truth) => Math.abs(wrapped(one - truth - offsetDeg)))));
    const best = truths
      .map((truth) => missFor(wrapped(firstMiddle - truth)))
      .toSorted((a, b) => Math.max(...a) - Math.max(...b))[0] ?? [Infinity];
    const worstMiss = Math.max(...best);
    const dropped = frames.at(-1)?.framesDropped ?? 0;
    console.log(
      `${read.length} frames in ${(((read.at(-1)?.heardAtMs ?? 0) - from) / 1000).toFixed(1)} s, ${dropped} left out; ` +
        `longest pause ${longestMs.toFixed(0)} ms; fits came at ${fits.map((at) => ((at - from) / 1000).toFixed(1)).join(', ')} s; ${stretches.length} holds: ` +
        `scatter at most ${worstScatter.toFixed(4)} deg (median ${scatter.toSorted((a, b) => a - b)[scatter.length >> 1]?.toFixed(4)}), ` +
        `farthest from the truth ${worstMiss.toFixed(4)} deg`,
    );
    // A fit takes seconds: one that stopped the reading would leave no frame in the time before its news.
    for (const at of fits) {
      const meanwhile = read.filter(({ heardAtMs }) => heardAtMs < at && heardAtMs > at - leastFitMs);
      expect(meanwhile.length, `frames read during the fit that came at ${at - from} ms`).toBeGreaterThan(0);
    }
    expect(stretches.length).toBeGreaterThanOrEqual(8);
    expect(worstScatter).toBeLessThanOrEqual(0.01);
    expect(worstMiss).toBeLessThan(0.05);
    socket.close();
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 300_000);
