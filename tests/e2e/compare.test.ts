import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { Page } from 'playwright-core';
import { v7 } from 'uuid';
import { expect, test } from 'vitest';
import { isPageBuilt, openBookPage } from '../support/book-page.ts';
import { openSocket } from '../support/loopback.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const row = (page: Page, title: RegExp) =>
  page.getByRole('region', { name: 'Side by side' }).getByRole('row', { name: title });
/** The choice stands in the address, so the tick follows the click a moment later. */
async function choose(page: Page, barrel: string): Promise<void> {
  const name = new RegExp(`^Barrel ${barrel} with`);
  await page.getByRole('checkbox', { name }).click();
  await page.getByRole('checkbox', { name, checked: true }).waitFor();
}

const columns = (page: Page) =>
  page
    .getByRole('region', { name: 'Side by side' })
    .locator('thead th a')
    .allTextContents()
    .then((names) => names.map((name) => /Barrel [A-D]/.exec(name)?.[0]));

test('the four barrels of the demo side by side: what differs, what is out of limits, the order, print, limits', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!isPageBuilt, 'the page is not built; run: npm run build');
  ctx.skip(!existsSync('/usr/bin/pdftotext'), 'no pdftotext was found; install it with: apt-get install poppler-utils');
  const book = await openBookPage({ args: ['--demo', '--no-browser-sandbox'] });
  const { page } = book;
  try {
    await book.goTo('#/compare', 'Compare');
    await page.getByText('Choose two mock-ups or more').waitFor();
    await book.look('compare-empty');
    for (const barrel of ['A', 'B', 'C', 'D']) {
      await choose(page, barrel);
    }
    await row(page, /^Exhaust, duration/).waitFor();
    await expect.poll(() => columns(page)).toEqual(['Barrel A', 'Barrel B', 'Barrel C', 'Barrel D']);

    // B opens 2 degrees before A, so it is open 4 longer: real, and more than the workshop's sheet allows.
    const duration = (await row(page, /^Exhaust, duration/).textContent()) ?? '';
    expect(duration).toContain('+4.00 real');
    expect(duration).toContain('does not conform');
    expect(duration).toContain("can't be decided");
    expect(duration).toContain('open');
    expect(await row(page, /^Tilt, exhaust side less opposite/).textContent()).toContain('does not conform');
    for (const title of [/Transfers, time-area/, /Head volume/, /Ratio, trapped/, /Piston clearance, by the largest/]) {
      expect(await row(page, title).count()).toBe(1);
    }
    await book.look('compare-four');

    await row(page, /Exhaust, duration/)
      .getByRole('button', { name: /order the columns/ })
      .click();
    await page.waitForFunction('/,now rising|now rising/.test(document.body.innerHTML)');
    await expect.poll(() => columns(page)).toEqual(['Barrel A', 'Barrel C', 'Barrel B', 'Barrel D']);
    await row(page, /Exhaust, duration/)
      .getByRole('button', { name: /order the columns/ })
      .click();
    await page.waitForFunction('/now falling/.test(document.body.innerHTML)');
    await expect.poll(() => columns(page)).toEqual(['Barrel A', 'Barrel B', 'Barrel C', 'Barrel D']);

    await page.getByRole('button', { name: /Make reference: Barrel B/ }).click();
    await page.waitForFunction('location.hash.startsWith("#/compare")');
    await page.getByText('−4.00 real').first().waitFor();
    expect((await columns(page))[0]).toBe('Barrel B');
    await page.reload();
    await page.getByText('−4.00 real').first().waitFor();
    expect((await columns(page))[0]).toBe('Barrel B');

    const before = await page.getByRole('status').filter({ hasText: 'rows' }).textContent();
    await page.getByRole('checkbox', { name: 'Hide rows without a real difference' }).check();
    expect(await row(page, /Stroke/).count()).toBe(0);
    expect(await row(page, /Exhaust, duration/).count()).toBe(1);
    expect(await page.getByRole('status').filter({ hasText: 'rows' }).textContent()).not.toBe(before);

    await row(page, /Exhaust, duration/)
      .getByRole('button', { name: /where does it come from/ })
      .first()
      .click();
    await page.getByRole('heading', { name: 'Its uncertainty' }).waitFor();
    await book.look('compare-origin');
    await page.keyboard.press('Escape');

    const set = page.getByRole('region', { name: 'As a set' });
    expect(await set.getByRole('row', { name: /Squish, smallest/ }).textContent()).toContain('more than that');
    expect(await set.getByRole('row', { name: /Squish, smallest/ }).textContent()).toMatch(
      /Barrel [A-C], Barrel [A-C]/,
    );
    await page.getByRole('combobox', { name: 'Port' }).selectOption({ label: 'Transfers' });
    await page.getByRole('group', { name: /^Transfers of Barrel/ }).waitFor();
    await set.scrollIntoViewIfNeeded();
    await book.look('compare-set');

    await page.getByRole('button', { name: 'Print side by side' }).click();
    const download = page.waitForEvent('download', { timeout: 60_000 });
    await page.getByRole('button', { name: 'Save as PDF' }).click();
    const folder = temporaryFolder();
    const pdf = join(folder, 'compare.pdf');
    await (await download).saveAs(pdf);
    const printed = execFileSync('pdftotext', ['-layout', pdf, '-'], { encoding: 'utf8' });
    for (const text of ['Side by side', 'Barrel A', 'Exhaust, duration', '4.00 real', 'page 1 of']) {
      expect(printed).toContain(text);
    }
    const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
    if (pictures !== undefined) execFileSync('pdftoppm', ['-r', '70', '-png', pdf, join(pictures, 'compare-sheet')]);
    await page.getByRole('button', { name: 'Back to the table' }).click();
    expect(book.faults).toEqual([]);
  } finally {
    await book.close();
  }
}, 120_000);

test('limits from the three measured barrels are kept with the fourth, and its note too', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!isPageBuilt, 'the page is not built; run: npm run build');
  const book = await openBookPage({ args: ['--demo'] });
  const { page } = book;
  try {
    await book.goTo('#/compare', 'Compare');
    for (const barrel of ['A', 'B', 'C']) {
      await choose(page, barrel);
    }
    await page
      .getByLabel(/^Barrel A/)
      .last()
      .waitFor();
    const note = page.getByRole('region', { name: 'Notes' }).getByRole('textbox').first();
    await note.fill('Best of the casting; keep for kart 7');
    await page.getByRole('button', { name: 'Keep the note' }).first().click();
    await page.getByRole('button', { name: 'Limits from these barrels' }).click();
    const panel = page.getByRole('region', { name: 'Limits from these barrels' });
    // 176, 180 and 174 deg: mean 176.7, s = 3.06, half width 4.30 s sqrt(4/3) = 15.2.
    expect(await panel.getByRole('row', { name: /Exhaust, duration, deg/ }).textContent()).toContain(
      '176.7 (161.4 to 191.9)',
    );
    await panel.getByRole('combobox', { name: 'Keep them with' }).selectOption({ label: 'Barrel D with 0.5 gasket' });
    await book.look('compare-limits');
    await panel.getByRole('button', { name: /^Keep \d+ limits/ }).click();
    await panel.getByText(/limits are kept with Barrel D/).waitFor();
    await page.evaluate("location.hash = '#/book'");
    await page.getByRole('rowheader').getByRole('link').first().click();
    await page
      .getByRole('link', { name: /^Barrel D with/ })
      .first()
      .click();
    await page
      .getByText(/161.4 to 191.9/)
      .first()
      .waitFor();
    await page
      .getByText(/own barrels Barrel A, Barrel B, Barrel C/)
      .first()
      .waitFor();
    expect(book.faults).toEqual([]);
  } finally {
    await book.close();
  }
}, 90_000);

test('of a twin the program says which barrel belongs on which cylinder', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!isPageBuilt, 'the page is not built; run: npm run build');
  const book = await openBookPage();
  const { page, host } = book;
  const socket = await openSocket(host.url);
  const { client } = socket;
  try {
    const engine = await client.call('part.create', {
      kind: 'engine',
      name: 'Twin',
      data: {
        strokeMm: 54.5,
        rodLengthMm: 110,
        crankPhasesDeg: [0, 180],
        cylinderNames: ['Drive side', 'Ignition side'],
      },
    });
    const build = await client.call('build.create', { title: 'Twin for the workshop', engineId: engine.id });
    const barrels = new Map<string, string>();
    for (const name of ['Barrel E', 'Barrel F']) {
      const barrel = await client.call('part.create', { kind: 'barrel', name, data: { boreMm: 53.6 } });
      barrels.set(name, barrel.id);
    }
    // The ignition side stands 0.10 higher and barrel F is 0.08 taller: on the same cylinder they add up.
    const read = [
      { name: 'Barrel E', cylinderIndex: 0, squishMm: 1 },
      { name: 'Barrel E', cylinderIndex: 1, squishMm: 1.1 },
      { name: 'Barrel F', cylinderIndex: 1, squishMm: 1.18 },
    ];
    const ids: string[] = [];
    for (const { name, cylinderIndex, squishMm } of read) {
      const mockUp = await client.call('mockUp.create', {
        buildId: build.id,
        name: `${name}, cylinder ${cylinderIndex + 1}`,
        engineId: engine.id,
        barrelId: barrels.get(name) ?? '',
        cylinderIndex,
      });
      ids.push(mockUp.id);
      for (const position of ['0', '90', '180', '270']) {
        await client.call('reading.add', {
          reading: {
            id: v7(),
            mockUpId: mockUp.id,
            subject: {
              what: 'quantity',
              quantity: 'squish',
              position,
              value: squishMm,
              unit: 'mm',
              typedText: String(squishMm),
              resolution: 0.01,
            },
            signal: 'typed',
            takenAt: '2026-03-01T10:00:00.000Z',
          },
        });
      }
    }
    await book.goTo(`#/compare?of=${ids.join(',')}`, 'Compare');
    const set = page.getByRole('region', { name: 'As a set' });
    await set.getByRole('heading', { name: 'Which barrel on which cylinder' }).waitFor();
    expect(await set.getByRole('listitem').allTextContents()).toEqual([
      'Drive side: Barrel F, 1.08 mm',
      'Ignition side: Barrel E, 1.10 mm',
    ]);
    await set.getByText(/spread is then 0\.02 mm; as it stands it is 0\.18 mm/).waitFor();
    await set.scrollIntoViewIfNeeded();
    await book.look('compare-twin');
    expect(book.faults).toEqual([]);
  } finally {
    socket.close();
    await book.close();
  }
}, 60_000);
