import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeMockUp } from '../support/book-records.ts';
import { openSocket, startHostProcess } from '../support/loopback.ts';
import { launchWithCamera, missingBrowserReason } from '../support/session-camera.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const page0 = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

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
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'demo.png') });
    const kept = async () => (await socket.client.call('mockUp.whole', { id: mockUp.id })).readings;
    await expect.poll(async () => (await kept()).length).toBe(1);
    const [reading] = await kept();
    expect(reading?.subject).toMatchObject({
      what: 'stop_contact',
      turning: 'forwards',
      angle: { by: 'typed', wheelReadingDeg: 328.5, typedText: '328,5' },
    });

    // The second contact on the same side as the first: said at once with what to do, and both stamps stay.
    await page.getByLabel('Wheel reading, degrees').fill('300');
    await page.getByRole('button', { name: 'Keep this reading' }).click();
    await page
      .getByText(/the readings are swapped, or the stop sits below half the stroke/)
      .first()
      .waitFor();
    expect(await page.getByTestId('stamp').count()).toBe(2);
    if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'contacts-on-one-side.png') });
    socket.close();
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 120_000);
