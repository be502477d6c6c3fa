import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { setUpAndGoToBench, withSessionBench } from '../support/session-bench.ts';
import { missingBrowserReason, untilFrame } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import type { Bench, BenchResult } from './bench.ts';

const presses = 30;
/** The session video, and so the camera, gives 15 frames a second. */
const frameMs = 1000 / 15;
const framesAllowed = 3;

/**
 * In the page: the time from a key's own time stamp to the frame in which its answer is painted. Bare: a key that only
 * changes a text. Stamp: the stamp key, until the new row of the list is painted.
 */
async function listen(page: Page): Promise<void> {
  await page.evaluate(() => {
    const times = { bare: [] as number[], stamp: [] as number[] };
    (window as unknown as { times: unknown }).times = times;
    const mark = document.createElement('output');
    mark.style.cssText = 'position:fixed;bottom:0;right:0';
    document.body.append(mark);
    const painted = (from: number, into: number[]): void => {
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        // A message posted in the animation frame is handled after that frame was painted.
        channel.port1.onmessage = () => into.push(performance.now() - from);
        channel.port2.postMessage(null);
      });
    };
    let waiting: number | null = null;
    window.addEventListener(
      'keydown',
      (event) => {
        if (event.code === 'F9') {
          mark.textContent = String(times.bare.length);
          painted(event.timeStamp, times.bare);
        } else if (event.code === 'Space') waiting = event.timeStamp;
      },
      { capture: true },
    );
    const rows = (): number => document.querySelectorAll('[data-testid="stamp"]').length;
    let known = rows();
    new MutationObserver(() => {
      const now = rows();
      if (now > known && waiting !== null) {
        painted(waiting, times.stamp);
        waiting = null;
      }
      known = now;
    }).observe(document.body, { childList: true, subtree: true });
  });
}

function quantile(values: readonly number[], p: number): number {
  const sorted = values.toSorted((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(p * sorted.length))] ?? Number.NaN;
}

async function measure(): Promise<{ bare: number[]; stamp: number[] }> {
  let times: { bare: number[]; stamp: number[] } = { bare: [], stamp: [] };
  await withSessionBench(
    async () => undefined,
    async (bench) => {
      const { page } = bench;
      await setUpAndGoToBench(bench);
      // The crank has been turned round by then: the reader works with the finished model, as it does all day.
      await untilFrame(page, 440, 470);
      await listen(page);
      const event = page.getByLabel('Event to stamp');
      const keys = await event
        .locator('option')
        .evaluateAll((all) => all.map((one) => (one as HTMLOptionElement).value));
      for (let index = 0; index < presses; index += 1) {
        // Any event may be stamped again at any time; which one doesn't matter here.
        await event.selectOption(keys[index % keys.length] ?? '');
        await page.keyboard.press('F9');
        await page.waitForTimeout(150 + 37 * (index % 5));
        // An edge is stamped with the crank held; a wheel turned too fast is refused, which is another matter.
        await page.getByTestId('state-word').getByText('Steady').waitFor();
        const before = await page.getByTestId('stamp').count();
        await page.keyboard.press('Space');
        // One that never comes is missing among the stamps shown.
        await page
          .getByTestId('stamp')
          .nth(before)
          .waitFor({ timeout: 3000 })
          .catch(() => undefined);
        await page.waitForTimeout(600);
      }
      times = await page.evaluate(() => (window as unknown as { times: typeof times }).times);
    },
  );
  return times;
}

/** Stamp latency in real Chromium with the session video as camera, against the same page's bare key-to-paint time. */
const bench: Bench = {
  name: 'stamp',
  async run(): Promise<BenchResult> {
    if (sharedFolder === null) throw new Error(missingFixturesReason);
    if (missingBrowserReason !== null) throw new Error(missingBrowserReason);
    if (!existsSync(join(import.meta.dirname, '..', '..', 'out', 'renderer', 'index.html'))) {
      throw new Error('the page is not built; run: npm run build');
    }
    const { bare, stamp } = await measure();
    const limitMs = quantile(bare, 0.95) + framesAllowed * frameMs;
    const value = quantile(stamp, 0.95);
    return {
      figures: [
        { what: 'stamps shown', value: stamp.length, unit: `of ${presses}` },
        { what: 'bare key to paint, median', value: quantile(bare, 0.5), unit: 'ms' },
        { what: 'bare key to paint, p95', value: quantile(bare, 0.95), unit: 'ms' },
        { what: 'signal to stamp shown, median', value: quantile(stamp, 0.5), unit: 'ms' },
        { what: 'signal to stamp shown, p95', value, unit: 'ms' },
        { what: 'frame interval of the camera', value: frameMs, unit: 'ms' },
      ],
      limits: [
        { what: 'p95 over bare key to paint and 3 frames', value, limit: limitMs, ok: value <= limitMs },
        {
          what: 'share of signals that were stamped',
          value: stamp.length / presses,
          limit: 0.9,
          ok: stamp.length >= 0.9 * presses,
        },
      ],
    };
  },
};

export default bench;
