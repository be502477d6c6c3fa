import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { tdcFromStop } from '../../core/crank/dead-centre.ts';
import { wrapSigned } from '../../core/units.ts';
import { openSocket, startHostProcess } from '../support/loopback.ts';
import { pressStampKey, quietMockUp } from '../support/session-bench.ts';
import {
  launchWithCamera,
  makeSessionCamera,
  missingBrowserReason,
  sessionDwells,
  shownFrame,
  untilFrame,
} from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

const turn = (angleDeg: number): number => ((angleDeg % 360) + 360) % 360;

/** Enters a new build by keyboard, form by form, as a newcomer does. */
async function enterBuild(page: Page): Promise<void> {
  await page.getByRole('link', { name: 'New build' }).first().click();
  await page.getByLabel('Title of the job').fill('Hire kart 7');
  await page.getByLabel('Job number').fill('J-12');
  await page.getByLabel('Who measures').fill('R. Holt');
  await page.getByLabel('Customer', { exact: true }).fill('Ferrowick Kart Hall');
  await page.keyboard.press('Enter');
  await page.getByLabel('Name of the engine').fill('Kart engine 123 cc');
  await page.getByLabel('Rod length').fill('20');
  await page.getByLabel('Stroke').fill('54,5');
  await page.keyboard.press('Enter');
  // A rod that short can't let the crank turn: core's own sentence stands at the field and the step stays open.
  await page
    .getByText(/the crank could not turn/)
    .first()
    .waitFor();
  await page.getByLabel('Rod length').fill('110');
  await page.keyboard.press('Enter');
  await page.getByLabel('Name of the barrel').fill('Barrel D');
  await page.keyboard.press('Enter');
  await page.getByLabel('Name of the mock-up').fill('First, 0.45 base gasket');
  await page.getByLabel(/Base gasket as fitted/).fill('0.45');
  await page.keyboard.press('Enter');
  await page.waitForURL(/#\/(build|mock-up)\//);
}

test('the main job through the screen: a build, the session video, durations, a reload and one printed page', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!existsSync('/usr/bin/pdftotext'), 'no pdftotext was found; install it with: apt-get install poppler-utils');
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'data'));
  const camera = process.env['PORTSIGHT_CAMERA_FILE'] ?? makeSessionCamera(folder);
  const host = await startHostProcess(join(folder, 'data'), builtPage, ['--no-browser-sandbox']);
  const browser = await launchWithCamera(join(folder, 'profile'), camera);
  try {
    const page = await browser.newPage();
    page.setDefaultTimeout(20_000);
    const errors: string[] = [];
    page.on('pageerror', (error) => errors.push(error.message));
    await page.goto(host.url);
    await page.waitForSelector('h1');
    await enterBuild(page);

    const socket = await openSocket(host.url);
    const [mockUp] = await socket.client.call('mockUp.list', {});
    if (mockUp === undefined) throw new Error('the form stored no mock-up');
    await page.evaluate((id) => {
      window.location.hash = `#/mock-up/${id}/set-up`;
    }, mockUp.id);
    await page.getByRole('button', { name: 'Open the camera' }).click();
    await page.getByRole('button', { name: 'Forwards is clockwise' }).click({ timeout: 60_000 });
    await page.getByRole('link', { name: 'To the bench' }).click();
    const dwells = sessionDwells().filter((dwell) => dwell.kind !== 'reference');
    for (const [index, dwell] of dwells.entries()) {
      await untilFrame(page, dwell.start_frame + 6, dwell.end_frame - 4);
      // As a person does: press, look whether it was taken, press again while the crank is still held.
      for (;;) {
        if (await pressStampKey(page, index + 1)) break;
        const frame = await shownFrame(page);
        if (frame < dwell.start_frame || frame > dwell.end_frame - 4) {
          const said = (await page.getByTestId('state-word').textContent()) ?? '';
          const notices = (await page.locator('.notice').allTextContents()).join(' | ');
          throw new Error(`${dwell.name}, ${dwell.direction}, was not taken while it was held: ${said} ${notices}`);
        }
      }
    }
    const whole = await quietMockUp(() => socket.client.call('mockUp.whole', { id: mockUp.id }));
    if (pictures !== undefined) {
      await page.evaluate(() => window.scrollTo(0, 0));
      await page.screenshot({ path: join(pictures, 'main-job-bench.png') });
    }
    // Each event within 0.05 deg of the crank's true place, by the value that stands.
    const superseded = new Set(whole.readings.map(({ supersedesId }) => supersedesId));
    const standing = whole.readings
      .filter(({ id }) => !superseded.has(id))
      .toSorted((a, b) => (a.takenAt < b.takenAt ? -1 : 1));
    const rotations = standing.map(({ subject }) =>
      subject.what !== 'quantity' && subject.angle.by === 'camera' ? subject.angle.rotationDeg : Number.NaN,
    );
    expect(rotations).toHaveLength(dwells.length);
    for (const [index, dwell] of dwells.entries()) {
      const fromFirst = (rotations[index] ?? Number.NaN) - (rotations[0] ?? Number.NaN);
      const trueFromFirst = dwell.rotation_deg - (dwells[0]?.rotation_deg ?? Number.NaN);
      const errorDeg = Math.abs(((((fromFirst - trueFromFirst + 180) % 360) + 360) % 360) - 180);
      expect(errorDeg, `${dwell.name}, ${dwell.direction}`).toBeLessThan(0.05);
    }
    const turnings = standing.map(({ subject }) => (subject.what === 'quantity' ? null : subject.turning));
    expect(turnings).toEqual(dwells.map(({ direction }) => (direction === 'forward' ? 'forwards' : 'backwards')));
    // True TDC lies at +7.35 deg of rotation from the reference; the wheel was never moved.
    const { tdcReadingDeg } = tdcFromStop({
      forwardDeg: turn(rotations[0] ?? Number.NaN),
      backwardDeg: turn(rotations[1] ?? Number.NaN),
      forwardSigmaDeg: 0,
      backwardSigmaDeg: 0,
    });
    const referenceDeg = turn((rotations[0] ?? Number.NaN) - (dwells[0]?.rotation_deg ?? Number.NaN));
    expect(Math.abs(wrapSigned(tdcReadingDeg.value - referenceDeg - 7.35))).toBeLessThan(0.3);
    // The first stamps came before the turn was complete: each was read again and the new value replaces the old one.
    const replaced = whole.readings.filter(({ signal }) => signal === 're_read');
    expect(replaced.length).toBeGreaterThan(0);
    for (const reading of whole.readings) expect(reading.pictureId, 'every stamp keeps its picture').not.toBeNull();

    const truthDeg = (name: RegExp, direction: 'forward' | 'backward'): number => {
      const dwell = dwells.find((one) => name.test(one.name) && one.direction === direction);
      if (dwell === undefined) throw new Error(`the session has no dwell ${String(name)}`);
      return dwell.rotation_deg;
    };
    const mean = (name: RegExp): number => (truthDeg(name, 'forward') + truthDeg(name, 'backward')) / 2;
    const expected = {
      exhaust: turn(mean(/exhaust.*clos/i) - mean(/exhaust.*open/i)),
      transfers: turn(mean(/transfer.*clos/i) - mean(/transfer.*open/i)),
    };
    const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
    const shown = async (kind: 'exhaust' | 'transfer_main'): Promise<number> => {
      const key = `duration:${ports.find((port) => port.kind === kind)?.portId ?? ''}`;
      return Number.parseFloat((await page.getByTestId(key).locator('td').textContent()) ?? '');
    };
    const exhaustDeg = await shown('exhaust');
    const transfersDeg = await shown('transfer_main');
    console.log(
      `exhaust ${exhaustDeg} (${expected.exhaust.toFixed(2)}), transfers ${transfersDeg} (${expected.transfers.toFixed(2)})`,
    );
    expect(Math.abs(exhaustDeg - expected.exhaust)).toBeLessThan(0.5);
    expect(Math.abs(transfersDeg - expected.transfers)).toBeLessThan(0.5);

    await page.reload();
    await page.locator('[data-testid^="duration:"]').first().waitFor();
    expect(await shown('exhaust')).toBe(exhaustDeg);
    expect(await shown('transfer_main')).toBe(transfersDeg);

    await page.evaluate((id) => {
      window.location.hash = `#/mock-up/${id}/sheets`;
    }, mockUp.id);
    const download = page.waitForEvent('download', { timeout: 60_000 });
    await page.getByRole('button', { name: 'Save as PDF' }).click();
    const pdf = join(folder, 'sheet.pdf');
    await (await download).saveAs(pdf);
    expect(execFileSync('pdfinfo', [pdf], { encoding: 'utf8' })).toMatch(/Pages:\s+1\n/);
    const printed = execFileSync('pdftotext', ['-layout', pdf, '-'], { encoding: 'utf8' });
    for (const text of ['Hire kart 7', 'J-12', 'R. Holt', exhaustDeg.toFixed(1), transfersDeg.toFixed(1)]) {
      expect(printed).toContain(text);
    }
    if (pictures !== undefined) execFileSync('pdftoppm', ['-r', '80', '-png', pdf, join(pictures, 'main-job-sheet')]);
    expect(errors).toEqual([]);
    socket.close();
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 300_000);
