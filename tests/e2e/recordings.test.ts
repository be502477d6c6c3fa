import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import type { BrowserContext, Locator, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import { joinStamps } from '../../core/mockup/stamps.ts';
import { wrapSigned } from '../../core/units.ts';
import { makeMockUp } from '../support/book-records.ts';
import { type HostProcess, openSocket, type SocketClient, startHostProcess } from '../support/loopback.ts';
import { pressStampKey } from '../support/session-bench.ts';
import { launchWithCamera, missingBrowserReason, sessionFrames, untilFrame } from '../support/session-camera.ts';
import {
  makeSessionRecording,
  makeSessionStill,
  makeSidewaysJpeg,
  missingFfmpegReason,
} from '../support/session-files.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';

/** Files in place of a camera: the browser of these tests has none. */
const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const shots = process.env['PORTSIGHT_SCREENSHOTS'];
const missing = missingBrowserReason ?? missingFfmpegReason ?? (sharedFolder === null ? missingFixturesReason : null);
const recordedFrames = 180;
/** Frames with the crank held: twice within the recording, and two more for the pictures. */
const [held, heldAgain, far] = [20, 128, 240];

let host: HostProcess;
let socket: SocketClient;
let browser: BrowserContext;
let folder: string;
let recording: string;

beforeAll(async () => {
  if (missing !== null) return;
  folder = mkdtempSync(join(tmpdir(), 'portsight-test-'));
  mkdirSync(join(folder, 'data'));
  recording = join(folder, 'turn.webm');
  makeSessionRecording(recording, recordedFrames);
  host = await startHostProcess(join(folder, 'data'), builtPage);
  socket = await openSocket(host.url);
  browser = await launchWithCamera(join(folder, 'profile'), null);
}, 60_000);

afterAll(async () => {
  if (missing !== null) return;
  await browser.close();
  socket.close();
  await host.kill('SIGTERM');
  rmSync(folder, { recursive: true, force: true });
});

beforeEach((ctx) => ctx.skip(missing !== null, missing ?? ''));

async function shot(page: Page, name: string): Promise<void> {
  if (shots !== undefined) await page.screenshot({ path: join(shots, `${name}.png`) });
}

async function openSetUp(title: string): Promise<{ page: Page; mockUpId: string }> {
  const { mockUp } = await makeMockUp(socket.client, title);
  const page = await browser.newPage();
  page.setDefaultTimeout(20_000);
  await page.goto(host.url);
  await page.waitForSelector('h1');
  await page.evaluate((id) => {
    window.location.hash = `#/mock-up/${id}/set-up`;
  }, mockUp.id);
  await page.getByRole('heading', { name: 'Set-up' }).waitFor();
  return { page, mockUpId: mockUp.id };
}

function chooser(page: Page): Locator {
  return page.getByLabel('Recording or pictures');
}

/** Lets files fall on the screen as the system does: with their bytes, name and kind in the event. */
async function drop(page: Page, files: readonly { path: string; mimeType: string }[]): Promise<boolean> {
  const carried = files.map(({ path, mimeType }) => ({
    name: basename(path),
    mimeType,
    bytes: readFileSync(path).toString('base64'),
  }));
  return page.getByRole('region', { name: 'Set-up' }).evaluate((place, brought) => {
    const dataTransfer = new DataTransfer();
    for (const { name, mimeType, bytes } of brought) {
      const content = Uint8Array.from(atob(bytes), (one) => one.charCodeAt(0));
      dataTransfer.items.add(new File([content], name, { type: mimeType }));
    }
    const common = { bubbles: true, cancelable: true, dataTransfer };
    // An event that is let through would make the browser leave the program for the file.
    const isOverTaken = !place.dispatchEvent(new DragEvent('dragover', common));
    const isDropTaken = !place.dispatchEvent(new DragEvent('drop', common));
    return isOverTaken && isDropTaken;
  }, carried);
}

const truthDeg = (frame: number): number => sessionFrames()[frame]?.rotation_deg ?? Number.NaN;

/** Presses the stamp key while the recording shows the crank held around the frame, until the stamp is there. */
async function stampAt(page: Page, frame: number, index: number): Promise<void> {
  for (let pass = 0; pass < 3; pass += 1) {
    await untilFrame(page, frame - 5, frame + 5, 20_000);
    if (await pressStampKey(page, index + 1)) return;
  }
  throw new Error(`no stamp was taken at frame ${frame}`);
}

test('a recording plays in place of the camera, chosen or dropped: the wheel is found in it, read and stamped', async () => {
  const { page, mockUpId } = await openSetUp('Recording');
  await chooser(page).setInputFiles(recording);
  await page.getByText('turn.webm: 1280 × 720').waitFor();
  await page.getByRole('button', { name: 'Forwards is clockwise' }).click();
  await shot(page, 'recording-chosen');

  // The same file dropped on the screen while it plays: it starts again, and the set-up found in it is kept.
  await untilFrame(page, 60, 100);
  expect(await drop(page, [{ path: recording, mimeType: 'video/webm' }])).toBe(true);
  await untilFrame(page, 0, 30, 3000);
  await page.getByRole('link', { name: 'To the bench' }).click();
  await page.getByTestId('angle-figure').waitFor();

  await stampAt(page, heldAgain, 0);
  await stampAt(page, held, 1);
  // Each stamp is followed by what the steady frames around it give together.
  const stored = async () => {
    const { readings, marks } = await socket.client.call('mockUp.whole', { id: mockUpId });
    return joinStamps(readings, marks).map(({ root, current }) => {
      const { subject } = current;
      if (subject.what === 'quantity' || subject.angle.by !== 'camera') throw new Error('a stamp without an angle');
      const isRefined = current.id !== root.id;
      return { signal: root.signal, pictureId: root.pictureId, isRefined, rotationDeg: subject.angle.rotationDeg };
    });
  };
  await expect.poll(async () => (await stored()).filter(({ isRefined }) => isRefined).length).toBe(2);
  await shot(page, 'recording-stamped');
  const stamps = await stored();
  const { setups } = await socket.client.call('mockUp.whole', { id: mockUpId });
  expect(setups.length).toBe(1);
  const [first, second] = stamps;
  if (first === undefined || second === undefined) throw new Error('two stamps were stored, and now they are gone');
  expect(stamps.length).toBe(2);
  expect(stamps.every(({ signal, pictureId }) => signal === 'key' && pictureId !== null)).toBe(true);
  const missDeg = wrapSigned(second.rotationDeg - first.rotationDeg - (truthDeg(held) - truthDeg(heldAgain)));
  console.log(`between two holds of the recording: ${missDeg.toFixed(4)} deg off`);
  expect(Math.abs(missDeg)).toBeLessThan(0.05);
  await page.close();
}, 60_000);

test('pictures are read with the set-up in use, upright as their camera noted; other files are refused by name', async () => {
  const { page } = await openSetUp('Pictures');
  const files = {
    jpeg: join(folder, 'held.jpg'),
    png: join(folder, 'far.png'),
    sideways: join(folder, 'sideways.jpg'),
  };
  makeSessionStill(files.jpeg, held);
  makeSessionStill(files.png, far);
  makeSidewaysJpeg(files.sideways, heldAgain);

  // Nothing to read it with yet: said, not guessed.
  await chooser(page).setInputFiles(files.jpeg);
  await page.getByText(/held\.jpg can’t be read yet: .*Set the wheel up first/).waitFor();
  await chooser(page).setInputFiles(recording);
  await page.getByRole('button', { name: 'Forwards is clockwise' }).waitFor();

  await chooser(page).setInputFiles([files.jpeg, files.png]);
  expect(await drop(page, [{ path: files.sideways, mimeType: 'image/jpeg' }])).toBe(true);
  const row = (name: string): Locator => page.getByTestId('still').filter({ hasText: name });
  const readDeg = async (name: string): Promise<number> => {
    await row(name).getByText(/±/).waitFor();
    return Number.parseFloat((await row(name).locator('td').first().textContent()) ?? '');
  };
  const heldDeg = await readDeg('held.jpg');
  const misses = [
    ['far.png', far],
    ['sideways.jpg', heldAgain],
  ] as const;
  for (const [name, frame] of misses) {
    const missDeg = wrapSigned((await readDeg(name)) - heldDeg - (truthDeg(frame) - truthDeg(held)));
    console.log(`${name}: ${missDeg.toFixed(2)} deg off; ${await row(name).textContent()}`);
    expect(Math.abs(missDeg), name).toBeLessThan(0.4);
  }
  const size = await row('sideways.jpg')
    .getByRole('img')
    .evaluate((picture) => (picture instanceof HTMLImageElement ? [picture.naturalWidth, picture.naturalHeight] : []));
  expect(size).toEqual([1280, 720]);
  await row('sideways.jpg').scrollIntoViewIfNeeded();
  await shot(page, 'pictures-read');

  const refusals = [
    ['turn.avi', 'video/x-msvideo', /turn\.avi is AVI, which can’t be played here\. Convert it to WebM or MP4/],
    ['wheel.heic', '', /wheel\.heic is HEIC, which isn’t read here\. Save it as JPEG or PNG/],
    ['sheet.pdf', 'application/pdf', /sheet\.pdf is a PDF document\. .*save them as JPEG or PNG/],
    ['notes.txt', 'text/plain', /notes\.txt is a text file\. .*save them as JPEG or PNG/],
  ] as const;
  for (const [name, mimeType, sentence] of refusals) {
    await chooser(page).setInputFiles({ name, mimeType, buffer: Buffer.from('no picture') });
    await page.getByText(sentence).scrollIntoViewIfNeeded();
    await shot(page, `refused-${name}`);
  }
  // None of them stopped what was playing.
  await page.getByText('turn.webm: 1280 × 720').waitFor();
  expect(await page.getByTestId('still').count()).toBe(3);

  // By its name a recording, by its bytes none: said, and the earlier one can be had back.
  await chooser(page).setInputFiles({ name: 'broken.webm', mimeType: 'video/webm', buffer: Buffer.from('no picture') });
  await page.getByText('broken.webm can’t be played here.').waitFor();
  await page.getByText(/Convert it to WebM \(VP9\) or MP4/).waitFor();
  await shot(page, 'refused-broken');
  expect(await drop(page, [{ path: recording, mimeType: 'video/webm' }])).toBe(true);
  await page.getByText('turn.webm: 1280 × 720').waitFor();
  await page.close();
}, 60_000);
