import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { standInForSecondCamera, unplugSecondCamera } from '../support/bench-stand-ins.ts';
import { setUpAndGoToBench, stampByKey, withSessionBench } from '../support/session-bench.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { missingFixturesReason, sharedFolder } from '../support/shared-fixtures.ts';

const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
const axeScript = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

async function accessibilityFaults(page: Page): Promise<string[]> {
  await page.evaluate(readFileSync(axeScript, 'utf8'));
  return page.evaluate<string[]>(
    '(async () => (await axe.run(document)).violations.map((one) => one.id + ": " + one.nodes[0].html))()',
  );
}

/** Height of the digits that are really drawn, as a share of the screen's width. */
const figureShare = (page: Page): Promise<number> =>
  page.evaluate(() => {
    const figure = document.querySelector('[data-testid="angle-figure"]');
    if (figure === null) return 0;
    const style = getComputedStyle(figure);
    const context = new OffscreenCanvas(8, 8).getContext('2d');
    if (context === null) return 0;
    context.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
    return context.measureText('0').actualBoundingBoxAscent / window.innerWidth;
  });

const sizes = [
  { name: '1366', width: 1366, height: 768 },
  { name: '1920', width: 1920, height: 1080 },
  // What a browser at 200 % zoom leaves of the smaller screen.
  { name: 'zoom-200', width: 683, height: 384 },
] as const;

test('the bench: large figures, both themes, two pictures a stamp, take back and give back, wheel moved', async (ctx) => {
  ctx.skip(sharedFolder === null, missingFixturesReason);
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  await withSessionBench(standInForSecondCamera, async (bench) => {
    const { page } = bench;
    await setUpAndGoToBench(bench);
    await page.getByLabel('Second camera at the port').selectOption({ label: 'Borescope' });
    await page.getByTestId('second-picture').locator('video').waitFor();
    await page.waitForFunction(() => {
      const video = document.querySelector('[data-testid="second-picture"] video');
      return video instanceof HTMLVideoElement && video.readyState >= HTMLMediaElement.HAVE_CURRENT_DATA;
    });

    const stamps = page.getByTestId('stamp');
    await stampByKey(page, 1);
    await stampByKey(page, 2);
    await expect
      .poll(async () => (await bench.whole()).readings.filter((one) => one.supersedesId === null).length)
      .toBe(2);
    for (const reading of (await bench.whole()).readings.filter((one) => one.supersedesId === null)) {
      expect(reading.pictureId).not.toBeNull();
      expect(reading.secondPictureId).not.toBeNull();
    }
    await page
      .getByRole('button', { name: /^Open the picture of/ })
      .first()
      .click();
    await page.getByAltText('Degree wheel at the moment of the stamp').waitFor();
    await page.getByAltText('Second camera at the moment of the stamp').waitFor();
    await page.getByRole('button', { name: /^Close/ }).click();

    // Its loss is said and stops nothing.
    await unplugSecondCamera(page);
    await page.getByText(/^Second camera: Borescope/).waitFor();
    await stampByKey(page, 3);
    await expect
      .poll(
        async () => (await bench.whole()).readings.filter((one) => one.supersedesId === null).at(-1)?.secondPictureId,
      )
      .toBeNull();

    const struck = page.locator('[data-testid="stamp"][data-struck="true"]');
    await page.keyboard.press('Backspace');
    await struck.waitFor();
    await page.keyboard.press('Backspace');
    await struck.nth(1).waitFor();
    await page.keyboard.press('Shift+Backspace');
    await page.keyboard.press('Shift+Backspace');
    await struck.first().waitFor({ state: 'detached' });
    await page.getByRole('button', { name: 'Wheel moved' }).click();
    await page.getByText(/^Wheel moved: 3 stamps are in doubt and kept\./).waitFor();
    // A slip of the hand: the same key takes the whole of it back.
    await page.keyboard.press('Backspace');
    await page.getByText('"Wheel moved" is taken back: 3 stamps count again.').waitFor();
    await page.keyboard.press('Shift+Backspace');
    await page.getByText(/^Wheel moved: 3 stamps are in doubt and kept\./).waitFor();
    expect(await stamps.filter({ hasText: 'in doubt' }).count()).toBe(3);
    expect(await stamps.count()).toBe(3);

    const faults: string[] = [];
    for (const theme of ['bench', 'desk'] as const) {
      await page.evaluate((name) => {
        document.documentElement.dataset['theme'] = name;
      }, theme);
      for (const { name, width, height } of sizes) {
        await page.setViewportSize({ width, height });
        await page.evaluate(() => window.scrollTo(0, 0));
        await page.waitForTimeout(200);
        expect(await figureShare(page), `${name}, ${theme}`).toBeGreaterThanOrEqual(0.075);
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth), name).toBe(true);
        if (pictures !== undefined) await page.screenshot({ path: join(pictures, `bench-${name}-${theme}.png`) });
      }
      faults.push(...(await accessibilityFaults(page)).map((fault) => `${theme}: ${fault}`));
    }
    expect(faults).toEqual([]);
    expect(bench.errors).toEqual([]);
  });
}, 180_000);
