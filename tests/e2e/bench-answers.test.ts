import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { joinStamps } from '../../core/mockup/stamps.ts';
import { listenToTones, stateWordsSoFar, tonesSoFar } from '../support/heard-tones.ts';
import { setUpAndGoToBench, withSessionBench } from '../support/session-bench.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';

const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

/** First notes of the tones of the states, by the word that they tell. */
const wordOfTone: Readonly<Record<string, string>> = {
  '523': 'Steady',
  '392 523 659': 'Turning',
  '330 262 196': 'Can’t read',
  '587 294 587 294': 'Re-check TDC',
};

test('each state of the reading is told by its own tone once it lasts, until that is switched off', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  await withSessionBench(listenToTones, async (bench) => {
    const { page, host, goTo, mockUpId } = bench;
    await setUpAndGoToBench(bench);
    await page.waitForTimeout(20_000);
    const tones = (await tonesSoFar(page)).map(({ atMs, hz }) => ({ atMs, word: wordOfTone[hz.join(' ')] ?? '?' }));
    const words = await stateWordsSoFar(page);
    console.log(
      `${words.length} changes of the word, ${tones.length} tones: ${tones.map(({ word }) => word).join(', ')}`,
    );
    expect(new Set(tones.map(({ word }) => word)).has('?')).toBe(false);
    expect(tones.map(({ word }) => word)).toContain('Steady');
    expect(tones.map(({ word }) => word)).toContain('Turning');
    expect(tones.length).toBeLessThan(words.length);
    for (const [index, tone] of tones.entries()) {
      expect(tone.word).not.toBe(tones[index - 1]?.word);
      // The word on the screen had been the same for a while when its tone was heard.
      const shown = words.findLast(({ atMs }) => atMs <= tone.atMs);
      expect(shown?.word).toBe(tone.word);
      expect(tone.atMs - (shown?.atMs ?? 0)).toBeGreaterThan(250);
    }
    await goTo('#/preferences');
    await page.getByLabel(/^Tones when the reading changes/).uncheck();
    await goTo(`#/mock-up/${mockUpId}/bench`);
    await page.getByTestId('angle-figure').waitFor();
    const before = (await tonesSoFar(page)).length;
    const wordsBefore = (await stateWordsSoFar(page)).length;
    await page.waitForTimeout(8000);
    expect((await tonesSoFar(page)).length).toBe(before);
    expect((await stateWordsSoFar(page)).length).toBeGreaterThan(wordsBefore);
    await host.client.call('preferences.set', { key: 'stateTones', value: true });
    expect(bench.errors).toEqual([]);
  });
}, 120_000);

/** Types readings one after the other, each kept with Enter as it is typed. */
async function typeReadings(page: Page, readings: readonly string[]): Promise<void> {
  const stamps = page.getByTestId('stamp');
  for (const reading of readings) {
    const count = await stamps.count();
    await page.getByLabel('Wheel reading, degrees').fill(reading);
    await page.getByLabel('Wheel reading, degrees').press('Enter');
    await stamps.nth(count).waitFor();
  }
}

/** The wheel shows 20.0 at TDC; edges of the session's engine, read to half a degree. */
const at = (crankDeg: number, slipDeg = 0): string => ((((20 + crankDeg + slipDeg + 720) * 2) % 720) / 2).toFixed(1);
const forwardEdges = [91.5, 118.5, 241.5, 268.5];
const backwardEdges = [268, 241, 118, 91];

test('a wheel that slips is found by the check of TDC: how far is said, what is doubtful is kept, and reading goes on', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  await withSessionBench(
    async () => undefined,
    async (bench) => {
      const { page, host, mockUpId, goTo } = bench;
      await page.setViewportSize({ width: 1366, height: 768 });
      await host.client.call('preferences.set', {
        key: 'instruments',
        value: [
          {
            id: '01990000-0000-7000-8000-000000000001',
            name: 'Wheel 300',
            kind: 'degree_wheel',
            resolution: 0.5,
            unit: 'deg',
            serialNumber: '7',
            calibratedOn: '2026-01-10',
            calibrationDueOn: '',
            calibrationExpanded: 0.1,
            note: '',
          },
        ],
      });
      await goTo(`#/mock-up/${mockUpId}/bench`);
      await page.getByRole('button', { name: 'Type a wheel reading' }).click();
      await page
        .locator('label', { hasText: 'not from the list' })
        .locator('select')
        .selectOption({ label: 'Wheel 300' });
      expect(await page.getByLabel('Read to, degrees').inputValue()).toBe('0.5');
      await typeReadings(page, [at(-31.5), at(31.5), ...forwardEdges.map((deg) => at(deg))]);
      // The wheel slips by 3 degrees between the two passes.
      await typeReadings(
        page,
        backwardEdges.map((deg) => at(deg, 3)),
      );
      await page.getByText('Every event is stamped').first().waitFor();
      await page.getByRole('button', { name: 'Check TDC again' }).click();
      await page.getByText('Check of TDC: piston against the stop, turning forwards').first().waitFor();
      await typeReadings(page, [at(-40, 3)]);
      // The check goes on to its other side by itself.
      await page.getByText('Check of TDC: piston against the stop, turning backwards').first().waitFor();
      await typeReadings(page, [at(40, 3)]);
      await page
        .getByText(/True TDC has drifted by 3\.00 deg/)
        .first()
        .waitFor();
      const slipped = page.getByTestId('cause-wheel_slipped');
      await slipped.waitFor();
      expect(await slipped.getAttribute('data-standing')).toBe('possible');
      expect(await slipped.textContent()).toMatch(
        /between "Exhaust closes, turning forwards" and "Exhaust closes, turning backwards" on, readings lie 3\.\d deg higher/,
      );
      expect(await page.getByTestId('cause-pointer_moved').getAttribute('data-standing')).toBe('possible');
      expect(await page.getByText(/^Can’t be told apart from these readings: /).textContent()).toContain(
        'the wheel slipped on the crank; or the pointer was moved',
      );
      if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'slip-found.png'), fullPage: true });

      await page.getByRole('button', { name: 'Wheel moved: put what was read since in doubt' }).click();
      await page.getByText(/^Wheel moved: 12 stamps are in doubt and kept\./).waitFor();
      expect(await page.getByTestId('stamp').filter({ hasText: 'in doubt' }).count()).toBe(12);
      expect(await slipped.count()).toBe(0);
      await page.getByText('Piston against the stop, turning forwards').first().waitFor();
      if (pictures !== undefined) await page.screenshot({ path: join(pictures, 'slip-marked.png'), fullPage: true });

      await typeReadings(page, [...[-31.5, 31.5, ...forwardEdges, ...backwardEdges].map((deg) => at(deg, 3))]);
      await page.getByText('Every event is stamped').first().waitFor();
      expect(await page.getByTestId('duration:exhaust').textContent()).toContain('177.0');
      expect(await page.getByText(/drifted/).count()).toBe(0);
      const whole = await host.client.call('mockUp.whole', { id: mockUpId });
      const stamps = joinStamps(whole.readings, whole.marks);
      expect(stamps).toHaveLength(22);
      expect(stamps.filter(({ doubtful }) => doubtful)).toHaveLength(12);
      const setupIds = stamps.map(({ current: { subject } }) =>
        subject.what === 'quantity' ? '' : subject.angle.setupId,
      );
      expect(new Set(setupIds.slice(0, 12)).size).toBe(1);
      expect(new Set(setupIds.slice(12)).size).toBe(1);
      expect(setupIds[0]).not.toBe(setupIds[12]);
      for (const { current } of stamps) {
        expect(current.subject).toMatchObject({
          angle: { instrumentId: '01990000-0000-7000-8000-000000000001', instrumentSigmaDeg: 0.05 },
        });
      }
      if (pictures !== undefined)
        await page.screenshot({ path: join(pictures, 'slip-read-again.png'), fullPage: true });
      expect(bench.errors).toEqual([]);
    },
  );
}, 120_000);
