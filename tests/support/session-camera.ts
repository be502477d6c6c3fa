import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { type BrowserContext, chromium, type Page } from 'playwright-core';
import { sharedPath } from './shared-fixtures.ts';

export const chromiumPath = process.env['PORTSIGHT_CHROMIUM'] ?? '/usr/bin/chromium';

/** Why browser tests can't run here, or null. */
export const missingBrowserReason = existsSync(chromiumPath)
  ? null
  : 'no Chromium was found; install it with: apt-get install chromium';

interface SessionDwell {
  readonly name: string;
  readonly kind: 'reference' | 'stop' | 'port';
  readonly direction: 'forward' | 'backward';
  readonly start_frame: number;
  readonly end_frame: number;
  readonly rotation_deg: number;
}

/** Where the crank is held in the session video, and the true rotation there. */
export function sessionDwells(): readonly SessionDwell[] {
  const text = readFileSync(sharedPath('fixtures', 'session', 'session-truth.json'), 'utf8');
  return (JSON.parse(text) as { dwells: SessionDwell[] }).dwells;
}

export interface SessionFrame {
  readonly frame: number;
  readonly time_s: number;
  readonly rotation_deg: number;
  readonly blur_deg: number;
  readonly motion: string;
  readonly occluded_fraction: number;
}

/** The truth of every frame of the session video. */
export function sessionFrames(): readonly SessionFrame[] {
  const text = readFileSync(sharedPath('fixtures', 'session', 'session-truth.json'), 'utf8');
  return (JSON.parse(text) as { frames: SessionFrame[] }).frames;
}

/** True rotations of all places where the crank stands still for eight frames or more, named dwells or not. */
export function sessionHolds(): readonly number[] {
  const frames = sessionFrames();
  const holds: number[] = [];
  let length = 0;
  for (const [index, frame] of frames.entries()) {
    const before = frames[index - 1];
    const isOn = before !== undefined && Math.abs(frame.rotation_deg - before.rotation_deg) < 0.01;
    length = isOn && frame.motion === 'still' ? length + 1 : 1;
    if (length === 8) holds.push(frame.rotation_deg);
  }
  return holds;
}

/** The session at its true 15 frames/s as Chromium's fake camera wants it: about 1 GB, so it lives in the test's folder. */
export function makeSessionCamera(folder: string): string {
  const file = join(folder, 'camera.y4m');
  const input = ['-f', 'mjpeg', '-framerate', '15', '-i', sharedPath('fixtures', 'session', 'session.mjpeg')];
  execFileSync('ffmpeg', ['-y', '-loglevel', 'error', ...input, '-pix_fmt', 'yuv420p', file]);
  return file;
}

/** A browser whose camera plays the file. Tests run as root here and there, where Chromium has no sandbox. */
export function launchWithCamera(profile: string, camera: string | null): Promise<BrowserContext> {
  return chromium.launchPersistentContext(profile, {
    executablePath: chromiumPath,
    headless: true,
    viewport: { width: 1366, height: 768 },
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      ...(camera === null
        ? []
        : [
            '--use-fake-ui-for-media-stream',
            '--use-fake-device-for-media-stream',
            `--use-file-for-fake-video-capture=${camera}`,
          ]),
    ],
  });
}

/** Number of the frame that the camera picture shows: ten squares at its top left, most significant first. */
export function shownFrame(page: Page): Promise<number> {
  return page.evaluate(() => {
    const video = document.querySelector('[data-testid="camera-picture"]');
    if (!(video instanceof HTMLVideoElement) || video.videoWidth === 0) return -1;
    const canvas = document.createElement('canvas');
    canvas.width = 176;
    canvas.height = 32;
    const context = canvas.getContext('2d');
    if (context === null) return -1;
    context.drawImage(video, 0, 0, 176, 32, 0, 0, 176, 32);
    let value = 0;
    for (let square = 0; square < 10; square += 1) {
      const [red = 0] = context.getImageData(16 + 16 * square, 16, 1, 1).data;
      value = 2 * value + (red > 128 ? 1 : 0);
    }
    return value;
  });
}

/** Waits until the camera shows a frame inside the range. */
export async function untilFrame(page: Page, from: number, to: number, timeoutMs = 70_000): Promise<number> {
  const endsAt = Date.now() + timeoutMs;
  for (;;) {
    const frame = await shownFrame(page);
    if (frame >= from && frame <= to) return frame;
    if (Date.now() > endsAt) throw new Error(`The camera never showed frames ${from} to ${to}; last ${frame}.`);
    await page.waitForTimeout(20);
  }
}
