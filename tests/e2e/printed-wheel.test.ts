import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContext, Page } from 'playwright-core';
import sharp from 'sharp';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import type { GreyPicture } from '../../core/wheel/types.ts';
import { makeMockUp } from '../support/book-records.ts';
import { codedFace, trueAbsoluteDeg } from '../support/coded-wheel.ts';
import { type HostProcess, openSocket, type SocketClient, startHostProcess } from '../support/loopback.ts';
import { launchWithCamera, missingBrowserReason } from '../support/session-camera.ts';
import { servePictures, showPicture, standInCameras } from '../support/stand-in-camera.ts';
import { photograph, syntheticSetup } from '../support/synthetic-wheel.ts';

/** The printed wheel from the page that prints it to the camera that sees it; the camera is a stand-in that shows rendered pictures. */
const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const shots = process.env['PORTSIGHT_SCREENSHOTS'];
const scene = syntheticSetup(61, { face: codedFace('anticlockwise'), tiltDeg: 14, size: [960, 540], radiusPx: 225 });

let host: HostProcess;
let socket: SocketClient;
let browser: BrowserContext;
let folder: string;

function jpegOf({ data, widthPx, heightPx }: GreyPicture): Promise<Buffer> {
  return sharp(Buffer.from(data), { raw: { width: widthPx, height: heightPx, channels: 1 } })
    .jpeg({ quality: 92 })
    .toBuffer();
}

beforeAll(async () => {
  if (missingBrowserReason !== null) return;
  folder = mkdtempSync(join(tmpdir(), 'portsight-test-'));
  mkdirSync(join(folder, 'data'));
  host = await startHostProcess(join(folder, 'data'), builtPage);
  socket = await openSocket(host.url);
  browser = await launchWithCamera(join(folder, 'profile'), null);
  const picture = photograph(scene, { rotationDeg: 0, seed: 3 });
  const seenInMirror = await sharp(await jpegOf(picture))
    .flop()
    .jpeg({ quality: 92 })
    .toBuffer();
  await servePictures(browser, { 'straight.jpg': await jpegOf(picture), 'mirrored.jpg': seenInMirror });
  await standInCameras(browser, '/stand-in-pictures/straight.jpg', ['Bench camera']);
}, 60_000);

afterAll(async () => {
  if (missingBrowserReason !== null) return;
  await browser.close();
  socket.close();
  await host.kill('SIGTERM');
  rmSync(folder, { recursive: true, force: true });
});

beforeEach((ctx) => ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? ''));

async function open(hash: string): Promise<Page> {
  const page = await browser.newPage();
  page.setDefaultTimeout(30_000);
  await page.goto(host.url);
  await page.waitForSelector('h1');
  await page.evaluate((to) => {
    window.location.hash = to;
  }, hash);
  return page;
}

async function shot(page: Page, name: string): Promise<void> {
  if (shots !== undefined) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
}

test('the manual prints a wheel of the chosen paper and size', { timeout: 60_000 }, async () => {
  const page = await open('#/help/printed-wheel');
  const form = page.getByRole('region', { name: 'Print a wheel' });
  await form.getByLabel('Paper').selectOption('a3');
  await expect.poll(() => form.getByLabel('Diameter').inputValue()).toBe('275');
  await form.getByLabel('Diameter').fill('400');
  await form.getByText('it must be from 90 to 279 mm', { exact: false }).first().waitFor();
  expect(await form.getByRole('button', { name: 'Save as PDF' }).isDisabled()).toBe(true);
  await form.getByLabel('Diameter').fill('250');
  await form.getByLabel('Numbers grow').selectOption('anticlockwise');
  await form.getByRole('img', { name: 'Preview of the page with the wheel' }).waitFor();
  await shot(page, 'print-a-wheel');
  const download = page.waitForEvent('download');
  await form.getByRole('button', { name: 'Save as PDF' }).click();
  const file = await download;
  expect(file.suggestedFilename()).toBe('Degree wheel 250 mm A3 anticlockwise.pdf');
  expect(readFileSync(await file.path()).toString('latin1')).toContain('Degree wheel 250 mm, hole 10 mm');
  await page.close();
});

test('the set-up says that the coded ring is seen, and where its zero stands', { timeout: 90_000 }, async () => {
  const { mockUp } = await makeMockUp(socket.client, 'Printed wheel');
  const page = await open(`#/mock-up/${mockUp.id}/set-up`);
  await page.getByRole('button', { name: 'Open the camera' }).click();
  const line = page.getByTestId('coded-ring');
  await line.getByText('seen, absolute', { exact: false }).waitFor();
  await line.getByText('The zero mark stands', { exact: false }).waitFor();
  const text = (await line.textContent()) ?? '';
  expect(text).toContain('numbers grow anticlockwise');
  const zeroDeg = Number(/stands ([\d.]+) degrees/.exec(text)?.[1]);
  const miss = zeroDeg - trueAbsoluteDeg(scene, 0);
  expect(Math.abs(miss - 360 * Math.round(miss / 360))).toBeLessThan(0.3);
  await shot(page, 'coded-ring-seen');
  await showPicture(page, '/stand-in-pictures/mirrored.jpg');
  await page.waitForTimeout(500);
  await page.getByRole('button', { name: 'Find the wheel again' }).first().click();
  await page.getByText('Mirrored picture').waitFor();
  await shot(page, 'coded-ring-mirrored');
  await page.close();
});
