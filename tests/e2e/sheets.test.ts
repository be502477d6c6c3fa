import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { isPageBuilt, openBookPage } from '../support/book-page.ts';
import { openSocket } from '../support/loopback.ts';
import { checkBarsMm } from '../support/printed-page.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { overlongPx } from '../support/sheet-frame.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const missing = missingBrowserReason ?? (isPageBuilt ? null : 'the page is not built; run: npm run build');
const missingPoppler = existsSync('/usr/bin/pdftoppm')
  ? null
  : 'no pdftoppm was found; install it with: apt-get install poppler-utils';
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

const kinds = [
  { button: 'New timing sheet', heading: 'Timing sheet' },
  { button: 'New checks sheet', heading: /^Checks/ },
  { button: 'New port map', heading: 'Port map' },
  { button: 'New plan sheet: Lower barrel', heading: /^Plan/ },
] as const;

test('every sheet is printed at true scale on both papers, and the preview shows the whole width of it', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  ctx.skip(missingPoppler !== null, missingPoppler ?? '');
  const book = await openBookPage({ args: ['--demo'] });
  const socket = await openSocket(book.host.url);
  const { page } = book;
  try {
    const mockUp = (await socket.client.call('mockUp.list', {})).find(({ name }) => name.startsWith('Barrel A'));
    if (mockUp === undefined) throw new Error('the demo has no Barrel A');
    await book.goTo(`#/mock-up/${mockUp.id}/plan`, 'Plan');
    await page.getByLabel('Name of the plan').fill('Lower barrel');
    await page.getByLabel('Off the foot of the barrel').fill('0.1');
    await page.getByText('Kept', { exact: true }).waitFor();
    const folder = temporaryFolder();
    for (const [paper, size] of [
      ['A4', /595 x 842|594\.\d+ x 841\.\d+/],
      ['Letter', /612 x 792/],
    ] as const) {
      await socket.client.call('preferences.set', { key: 'paperSize', value: paper });
      await book.goTo(`#/mock-up/${mockUp.id}/sheets`, 'Sheets');
      await page.reload();
      for (const { button, heading } of kinds) {
        await page.getByRole('button', { name: button }).click();
        const frame = page.frameLocator('iframe');
        await frame.getByRole('heading', { level: 1, name: heading }).first().waitFor();
        expect(
          await frame.locator('html').evaluate((root) => root.scrollWidth - root.clientWidth),
          `${button} on ${paper}, preview`,
        ).toBe(0);
        expect(Math.max(...(await overlongPx(frame))), `${button} on ${paper}, too long`).toBe(0);
        const download = page.waitForEvent('download', { timeout: 60_000 });
        await page.getByRole('button', { name: 'Save as PDF' }).click();
        const path = join(folder, `${paper}-${kinds.findIndex((one) => one.button === button)}.pdf`);
        await (await download).saveAs(path);
        const info = execFileSync('pdfinfo', [path], { encoding: 'utf8' });
        expect(info).toMatch(size);
        const pages = Number(/Pages:\s+(\d+)/.exec(info)?.[1]);
        expect(pages).toBe(await frame.locator('main.sheet').count());
        for (let number = 1; number <= pages; number++) {
          const bars = checkBarsMm(readFileSync(path), number);
          const what = `${button} on ${paper}, page ${number}`;
          expect(Math.abs(bars.across - 100), `${what}, across: ${bars.across}`).toBeLessThan(0.4);
          expect(Math.abs(bars.upright - 100), `${what}, upright: ${bars.upright}`).toBeLessThan(0.4);
        }
        if (pictures !== undefined) {
          const name = `sheet-${paper}-${button.replaceAll(/\W+/g, '-')}`;
          execFileSync('pdftoppm', ['-r', '80', '-png', path, join(pictures, name)]);
        }
      }
    }
    expect(book.faults).toEqual([]);
  } finally {
    socket.close();
    await book.close();
  }
});
