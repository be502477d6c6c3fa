import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContext, Page } from 'playwright-core';
import { makeMockUp } from './book-records.ts';
import { openSocket, startHostProcess } from './loopback.ts';
import { launchWithCamera } from './session-camera.ts';
import { sharedPath } from './shared-fixtures.ts';
import { type WatchedFrame, watchedUntilNow, watchWheelWorker } from './worker-watch.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
/** Two playings of the session at the 30 frames/s at which Chromium plays it. */
const watchedMs = 50_000;
const framesPerS = 30;

/**
 * Stands in for the wheel worker: takes the same frames and copies and reads nothing. It tells of each frame as the real
 * one does where there is no set-up, so the page draws and counts alike.
 */
const idleWorker = `
addEventListener('message', async ({ data }) => {
  if (data.kind !== 'frames') return;
  const reader = data.readable.getReader();
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return;
    const { codedWidth: widthPx, codedHeight: heightPx } = value;
    value.close();
    postMessage({ kind: 'frame_read', capturedAtMs: performance.timeOrigin + performance.now(), widthPx, heightPx,
      reading: null, motion: 'unknown', speedDegPerS: 0, approach: 'none', lastPlace: null,
      steps: { copyMs: 0, readMs: 0, tapeMs: 0 }, framesDropped: 0, tape: null });
  }
});
postMessage({ kind: 'ready', loadMs: 0 });
`;

export interface PlayedFrames {
  readonly framesRead: number;
  /** Share of the camera's frames that never arrived. */
  readonly droppedShare: number;
  readonly frames: readonly WatchedFrame[];
}

/**
 * Plays the session into the bench screen, with the program's own worker or with one that reads nothing.
 * @param camera the session in another size; as it is where absent
 */
export async function playSession(
  worker: 'reading' | 'idle',
  camera = sharedPath('fixtures', 'session', 'session.mjpeg'),
): Promise<PlayedFrames> {
  const folder = mkdtempSync(join(tmpdir(), 'portsight-bench-'));
  mkdirSync(join(folder, 'data'));
  const host = await startHostProcess(join(folder, 'data'), builtPage);
  const browser = await launchWithCamera(join(folder, 'profile'), camera);
  try {
    const socket = await openSocket(host.url);
    const { mockUp } = await makeMockUp(socket.client);
    if (worker === 'idle') await replaceWorker(browser);
    await watchWheelWorker(browser);
    const page = await browser.newPage();
    await page.goto(host.url);
    await page.waitForSelector('h1');
    await openPlace(page, mockUp.id, 'set-up');
    await page.getByRole('button', { name: 'Open the camera' }).click();
    if (worker === 'reading') {
      await page.locator('[data-testid="turn"][data-complete="true"]').waitFor({ timeout: 120_000 });
    } else await page.waitForTimeout(10_000);
    await openPlace(page, mockUp.id, 'bench');
    await page.waitForTimeout(2000);
    const before = (await watchedUntilNow(page)).frames;
    await page.waitForTimeout(watchedMs);
    const after = (await watchedUntilNow(page)).frames;
    socket.close();
    const frames = after.slice(before.length);
    const seconds = ((frames.at(-1)?.heardAtMs ?? 0) - (frames[0]?.heardAtMs ?? 0)) / 1000;
    return { framesRead: frames.length, droppedShare: 1 - (frames.length - 1) / (seconds * framesPerS), frames };
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  }
}

async function replaceWorker(browser: BrowserContext): Promise<void> {
  await browser.route('**/assets/wheel-worker-*.js', (route) =>
    route.fulfill({ status: 200, contentType: 'text/javascript', body: idleWorker }),
  );
}

async function openPlace(page: Page, mockUpId: string, place: string): Promise<void> {
  await page.evaluate(
    ([id, where]) => {
      window.location.hash = `#/mock-up/${id}/${where}`;
    },
    [mockUpId, place],
  );
}
