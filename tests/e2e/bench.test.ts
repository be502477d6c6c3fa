import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeMockUp } from '../support/book-records.ts';
import { openSocket, startHostProcess } from '../support/loopback.ts';
import {
  launchWithCamera,
  makeSessionCamera,
  missingBrowserReason,
  sessionDwells,
  untilFrame,
} from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const page0 = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

test('the session video, stamped by key in the held places, gives TDC and both durations', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'data'));
  const camera = process.env['PORTSIGHT_CAMERA_FILE'] ?? makeSessionCamera(folder);
  const host = await startHostProcess(join(folder, 'data'), page0);
  const browser = await launchWithCamera(join(folder, 'profile'), camera);
  try {
    const socket = await openSocket(host.url);
    const { client } = socket;
    const engine = await client.call('part.create', {
      kind: 'engine',
      name: 'Kart 123',
      data: { strokeMm: 54.5, rodLengthMm: 110 },
    });
    const barrel = await client.call('part.create', {
      kind: 'barrel',
      name: 'Barrel 1',
      data: {
        ports: [
          { portId: 'exhaust', kind: 'exhaust', label: 'Exhaust' },
          { portId: 'transfers', kind: 'transfer_main', label: 'Transfers', side: 'both' },
        ],
      },
    });
    const build = await client.call('build.create', {
      title: 'Hire fleet',
      engineId: engine.id,
      measuredBy: 'R. Holt',
    });
    const mockUp = await client.call('mockUp.create', {
      buildId: build.id,
      name: 'First',
      engineId: engine.id,
      barrelId: barrel.id,
    });

    const page = await browser.newPage();
    const errors: string[] = [];
    page.on('pageerror', (error) => errors.push(error.message));
    page.on('console', (message) => {
      if (message.type() === 'error') errors.push(message.text());
    });
    await page.goto(host.url);
    await page.waitForSelector('h1');
    await page.evaluate((id) => {
      window.location.hash = `#/mock-up/${id}/set-up`;
    }, mockUp.id);
    await page.getByRole('button', { name: 'Open the camera' }).click();
    await page.getByRole('button', { name: 'Forwards is clockwise' }).click({ timeout: 60_000 });
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'set-up.png') });
    await page.getByRole('link', { name: 'To the bench' }).click();
    const dwells = sessionDwells().filter((dwell) => dwell.kind !== 'reference');
    for (const dwell of dwells) {
      const middle = Math.round((dwell.start_frame + dwell.end_frame) / 2);
      await untilFrame(page, middle, dwell.end_frame - 4);
      await page.keyboard.press('Space');
    }
    await page.waitForTimeout(2500);
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'bench.png') });
    const figure = async (id: string): Promise<number> =>
      Number.parseFloat((await page.getByTestId(id).locator('td').textContent()) ?? '');
    const whole = await client.call('mockUp.whole', { id: mockUp.id });
    const superseded = new Set(whole.readings.map((reading) => reading.supersedesId));
    const standing = whole.readings.filter((reading) => !superseded.has(reading.id));
    const angles = standing.map((reading) =>
      reading.subject.what !== 'quantity' && reading.subject.angle.by === 'camera'
        ? reading.subject.angle.rotationDeg
        : NaN,
    );
    const byTime = standing
      .map((reading, index) => ({ takenAt: reading.takenAt, angle: angles[index] ?? NaN }))
      .sort((a, b) => (a.takenAt < b.takenAt ? -1 : 1));
    expect(byTime).toHaveLength(dwells.length);
    const zero = byTime[0]?.angle ?? NaN;
    const zeroTruth = dwells[0]?.rotation_deg ?? NaN;
    for (const [index, dwell] of dwells.entries()) {
      const read = (byTime[index]?.angle ?? NaN) - zero;
      const truth = dwell.rotation_deg - zeroTruth;
      const errorDeg = ((((read - truth + 540) % 360) + 360) % 360) - 180;
      console.log(`${dwell.name} ${dwell.direction}: ${errorDeg.toFixed(4)} deg`);
      expect(Math.abs(errorDeg)).toBeLessThan(0.1);
    }
    const turnings = standing
      .map((reading) => ({ takenAt: reading.takenAt, subject: reading.subject }))
      .sort((a, b) => (a.takenAt < b.takenAt ? -1 : 1))
      .map(({ subject }) => (subject.what === 'quantity' ? '' : `${subject.what} ${subject.turning}`));
    const wantedTurnings = dwells.map(
      (dwell) =>
        `${dwell.kind === 'stop' ? 'stop_contact' : 'port_edge'} ${dwell.direction === 'forward' ? 'forwards' : 'backwards'}`,
    );
    expect(turnings).toEqual(wantedTurnings);
    // The true durations of the barrel; the video's placement scatter of up to 0.3 deg is part of what is read.
    expect(Math.abs((await figure('duration:exhaust')) - 176.8)).toBeLessThan(0.5);
    expect(Math.abs((await figure('duration:transfers')) - 123.4)).toBeLessThan(0.5);
    expect(errors).toEqual([]);
    socket.close();
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 240_000);

test('without a camera the recorded demo camera is read in its place, and a typed reading is kept', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'data'));
  const host = await startHostProcess(join(folder, 'data'), page0);
  const browser = await launchWithCamera(join(folder, 'profile'), null);
  try {
    const socket = await openSocket(host.url);
    const { mockUp } = await makeMockUp(socket.client);
    const page = await browser.newPage();
    await page.goto(host.url);
    await page.waitForSelector('h1');
    await page.evaluate((id) => {
      window.location.hash = `#/mock-up/${id}/set-up`;
    }, mockUp.id);
    await page.getByRole('button', { name: 'Open the camera' }).click();
    await page.getByText('No camera is connected.').waitFor();
    await page.getByRole('button', { name: 'Play the recorded demo camera' }).click();
    await page.getByRole('button', { name: 'Forwards is clockwise' }).click({ timeout: 60_000 });
    await page.getByRole('link', { name: 'To the bench' }).click();
    await page
      .getByText(/^Steady$|^Turning$/)
      .first()
      .waitFor();
    await page.getByRole('button', { name: 'Type a wheel reading' }).click();
    await page.getByLabel('Wheel reading, degrees').fill('328,5');
    await page.getByRole('button', { name: 'Keep this reading' }).click();
    await page.getByTestId('stamp').waitFor();
    await page.waitForTimeout(500);
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'demo.png') });
    const whole = await socket.client.call('mockUp.whole', { id: mockUp.id });
    const [reading] = whole.readings;
    expect(reading?.subject).toMatchObject({
      what: 'stop_contact',
      turning: 'forwards',
      angle: { by: 'typed', wheelReadingDeg: 328.5, typedText: '328,5' },
    });
    socket.close();
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 120_000);
