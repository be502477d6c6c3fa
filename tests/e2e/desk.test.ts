import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { expect, test } from 'vitest';
import { startHostProcess } from '../support/loopback.ts';
import { chromiumPath, missingBrowserReason } from '../support/session-camera.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const axeScript = createRequire(import.meta.url).resolve('axe-core/axe.min.js');

test('every desk screen of the demo book opens without a fault of accessibility and without an error', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!existsSync(join(builtPage, 'index.html')), 'the page is not built; run: npm run build');
  const folder = temporaryFolder();
  mkdirSync(join(folder, 'data'));
  const host = await startHostProcess(join(folder, 'data'), builtPage, ['--demo']);
  const browser = await chromium.launch({
    executablePath: chromiumPath,
    args: ['--no-sandbox', '--disable-gpu'],
  });
  try {
    const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
    const errors: string[] = [];
    page.on('pageerror', (error) => errors.push(error.message));
    await page.goto(host.url);
    await page.getByRole('heading', { name: 'Book' }).waitFor();
    const faults: string[] = [];
    const check = async (name: string) => {
      await page.evaluate(readFileSync(axeScript, 'utf8'));
      const found = await page.evaluate<string[]>(
        '(async () => (await axe.run(document)).violations.map((one) => one.id + ": " + one.nodes[0].html))()',
      );
      faults.push(...found.map((fault) => `${name}: ${fault}`));
    };
    await check('book');
    await page.getByRole('rowheader').getByRole('link').first().click();
    await page.getByRole('heading', { name: 'Mock-ups' }).waitFor();
    await check('build');
    await page.getByRole('link', { name: 'Compare its mock-ups' }).click();
    await page.getByRole('heading', { name: 'Timing, one below the other' }).waitFor();
    await check('compare');
    // Barrel B opens 2 degrees before barrel A by the demo's own data: more than its uncertainty.
    const compared = page.getByRole('region', { name: 'Side by side' });
    expect(await compared.getByRole('row', { name: /^Exhaust opens/ }).textContent()).toContain('−2.00 real');
    await page.goBack();
    await page.getByRole('rowheader').getByRole('link').first().click();
    await page.getByRole('heading', { name: 'Timing diagram' }).waitFor();
    await check('mock-up');
    await page.getByRole('link', { name: 'Sheets', exact: true }).click();
    await page.getByRole('button', { name: 'Print' }).waitFor();
    await check('sheets');
    for (const place of ['new-build', 'instruments', 'preferences', 'help']) {
      await page.evaluate(`location.hash = '#/${place}'`);
      await page.getByRole('heading', { level: 1 }).waitFor();
      await check(place);
    }
    expect(faults).toEqual([]);
    expect(errors).toEqual([]);
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 90_000);
