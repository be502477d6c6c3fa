import { chmodSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { describe, expect, it, type TestContext } from 'vitest';
import { bookFileName } from '../../electron/database/location.ts';
import { programSchemaVersion } from '../../electron/database/migrations/index.ts';
import { makeMockUp, openTestBook } from '../support/book.ts';
import { fillLargeBook } from '../support/book-bench/large-book.ts';
import { type BookPage, isPageBuilt, openBookPage } from '../support/book-page.ts';
import { exportBytes } from '../support/books.ts';
import { missingBrowserReason } from '../support/session-camera.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

async function withPage(
  ctx: TestContext,
  options: Parameters<typeof openBookPage>[0],
  step: (opened: BookPage) => Promise<void>,
): Promise<void> {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!isPageBuilt, 'the page is not built; run: npm run build');
  const opened = await openBookPage(options);
  try {
    await step(opened);
    expect(opened.faults).toEqual([]);
  } finally {
    await opened.close();
  }
}

/** Saves what a press hands to the browser's downloads. */
async function saved({ page }: BookPage, press: () => Promise<void>): Promise<{ name: string; path: string }> {
  const [download] = await Promise.all([page.waitForEvent('download'), press()]);
  const path = join(temporaryFolder(), download.suggestedFilename());
  await download.saveAs(path);
  return { name: download.suggestedFilename(), path };
}

/** Pixels by which the page is wider than its window. */
function wideness(page: BookPage['page']): Promise<number> {
  return page.evaluate('document.documentElement.scrollWidth - document.documentElement.clientWidth');
}

it(
  "another figure in a part's entry is asked about, and a change of the part marks readings void where it is used",
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async (opened) => {
      const { page, goTo, look } = opened;
      const question = page.getByRole('region', { name: 'Was the part changed?' });
      const changed = question.getByRole('button', { name: 'The part itself changed: mark them void' });
      const kept = page.getByText('Kept', { exact: true });
      const marked = page.getByText('Readings are marked void.');
      const portEvents = page.getByRole('link', { name: /Port events, both directions/ });
      const openPart = async (name: string) => {
        await goTo('#/book/parts', 'Parts');
        await page.getByRole('link', { name, exact: true }).click();
        await page.getByRole('heading', { name, level: 1 }).waitFor();
      };
      const openUse = async () => {
        const uses = page.getByRole('region', { name: 'Used in' }).getByRole('link');
        await uses
          .filter({ hasText: /^Barrel A/ })
          .first()
          .click();
        await portEvents.waitFor();
      };

      // A change that is undone leaves every reading as it was.
      await openPart('Piston, first size');
      const skirt = page.getByRole('textbox', { name: /skirt/i });
      await skirt.fill('37.5');
      await question.getByText(/length of the skirt 38 mm before, 37.5 mm now/).waitFor();
      await changed.click();
      await marked.waitFor();
      await page.getByRole('button', { name: 'Undo' }).click();
      await marked.waitFor({ state: 'detached' });
      expect(await skirt.inputValue()).toBe('38');
      await openUse();
      expect(await portEvents.textContent()).not.toContain('void');

      // Put back, the question is gone and nothing is kept.
      await openPart('Base gasket 0.5');
      const crushed = page.getByRole('textbox', { name: 'Thickness, crushed' });
      await crushed.fill('0.40');
      await question.getByText(/Barrel A.*port events \(\d+\)/).waitFor();
      await look('part-question');
      await question.getByRole('button', { name: 'Put it back' }).click();
      await kept.waitFor();
      expect(await question.count()).toBe(0);
      expect(await crushed.inputValue()).toBe('0.45');

      await crushed.fill('0.40');
      await changed.click();
      await marked.waitFor();
      await look('part-voided');
      await openUse();
      await page.getByRole('link', { name: /Port events, both directions void, read again/ }).waitFor();
      const changes = page.getByRole('region', { name: 'Changes of the parts' });
      await changes.getByText(/Base gasket 0.5: thickness, crushed 0.45 mm before, 0.4 mm now/).waitFor();
      await changes.scrollIntoViewIfNeeded();
      await look('part-voided-mock-up');
    }),
  120_000,
);

it(
  'a search finds builds, parts and customers, a barrel is edited, and the history puts it back',
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async (opened) => {
      const { page, goTo, look } = opened;
      await look('builds');
      await page.keyboard.press('/');
      await page.keyboard.type('barrel b');
      await page
        .getByRole('region', { name: 'Also found' })
        .getByRole('link', { name: 'Barrel B', exact: true })
        .waitFor();
      await look('search');
      await page.getByRole('searchbox').fill('ferrowick');
      await page.getByRole('link', { name: /^Ferrowick/ }).waitFor();
      await page.getByRole('searchbox').fill('nowhere at all');
      await page.getByRole('heading', { name: /Nothing in the book fits/ }).waitFor();
      await page.getByRole('button', { name: 'Show all builds' }).click();
      await page.getByRole('combobox', { name: 'Measured' }).selectOption({ label: 'Not measured yet' });
      await page.getByRole('heading', { name: 'No build fits the filter' }).waitFor();
      await page.getByRole('button', { name: 'Show all builds' }).click();
      await page.getByRole('rowheader').getByRole('link').first().waitFor();

      await page.getByRole('heading', { name: 'Book' }).click();
      await page.keyboard.press('2');
      await page.getByRole('heading', { name: 'Parts', level: 1 }).waitFor();
      await look('parts');
      await page.getByRole('link', { name: 'Barrel B', exact: true }).click();
      const width = page.getByRole('textbox', { name: 'Width, chord of Exhaust' });
      await width.fill('38,1');
      await page.getByRole('button', { name: 'This was a correction: they stay valid' }).click();
      await page.getByText('Kept', { exact: true }).waitFor();
      await look('barrel');
      await page.setViewportSize({ width: 683, height: 384 });
      expect(await wideness(page)).toBe(0);
      await page.setViewportSize({ width: 1366, height: 768 });
      await page.getByRole('button', { name: 'Undo' }).click();
      await expect.poll(() => width.inputValue()).toBe('37.3');
      await page.getByRole('button', { name: 'Redo' }).click();
      await page.getByText('Kept', { exact: true }).waitFor();
      await page.getByRole('link', { name: 'History of this part' }).click();
      const row = page.getByRole('row', { name: /width, chord.*37.3 mm.*38.1 mm/ }).first();
      await row.waitFor();
      await look('history-part');
      const putBack = row.getByRole('button', { name: /^Put back/ });
      const putBackQuestion = page.getByRole('dialog', { name: /^Was the part changed/ });
      await putBack.click();
      await putBackQuestion.getByText(/width 38.1 mm before, 37.3 mm now/).waitFor();
      await look('put-back-question');
      await page.keyboard.press('Escape');
      await expect.poll(() => putBackQuestion.count()).toBe(0);
      await putBack.click();
      await putBackQuestion.getByRole('button', { name: 'This was a correction: they stay valid' }).click();
      await page
        .getByRole('row', { name: /width, chord.*38.1 mm.*37.3 mm/ })
        .first()
        .waitFor();
      await page.goBack();
      await expect.poll(() => width.inputValue()).toBe('37.3');

      await goTo('#/book/history', 'History of the book');
      await page
        .getByRole('row', { name: /Reading/ })
        .first()
        .waitFor();
      await look('history');
      await goTo('#/book/parts/new/piston', 'New piston');
      await page.getByRole('button', { name: 'Put it into the book' }).click();
      await page.getByText('Give the piston a name, for instance its size mark.').first().waitFor();
      await page.getByRole('textbox', { name: 'Name of the piston' }).fill('Piston, second size');
      await page.getByRole('textbox', { name: 'Diameter' }).fill('53.56');
      await page.getByRole('button', { name: 'Put it into the book' }).click();
      await page.getByRole('heading', { name: 'Piston, second size' }).waitFor();
      await look('piston');
    }),
  120_000,
);

it(
  'an archive goes out of one book and, looked at first, into another, where it is complete',
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async (from) => {
      await from.goTo('#/book/exchange', 'Exchange');
      await from.look('exchange');
      const archive = await saved(from, () => from.page.getByRole('button', { name: 'Export an archive' }).click());
      expect(archive.name).toMatch(/\.portsight\.zip$/);
      await from.page.getByText(/^Saved as/).waitFor();
      const table = await saved(from, () => from.page.getByRole('button', { name: /^Only the readings/ }).click());
      expect(readFileSync(table.path, 'utf8').split('\n')[0]).toContain('reading,build,mock_up');

      const to = await openBookPage();
      try {
        await to.page.getByRole('heading', { name: 'The book is empty' }).waitFor();
        await to.look('empty');
        await to.goTo('#/book/exchange', 'Exchange');
        await to.page.getByLabel('Choose an archive').setInputFiles(table.path);
        await to.page.getByText('Nothing was imported.').waitFor();
        await to.look('import-refused');
        await to.page.getByLabel('Choose an archive').setInputFiles(archive.path);
        await to.page.getByRole('heading', { name: 'What is inside' }).waitFor();
        await to.page.getByRole('row', { name: /Added: readings/ }).waitFor();
        await to.look('import');
        await to.page.getByRole('button', { name: 'Import it' }).click();
        await to.page.getByText('What was done').waitFor();
        await to.page.getByLabel('Choose an archive').setInputFiles(archive.path);
        await to.page.getByText('Everything in it is in this book already.').waitFor();
        await to.goTo('#/book', 'Book');
        await to.page.getByRole('link', { name: 'Hire karts, four barrels of one casting' }).waitFor();
        expect(to.faults).toEqual([]);
      } finally {
        await to.close();
      }
    }),
  120_000,
);

it(
  'two books bring each other up to date, and what both changed is settled side by side',
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async (first) => {
      await first.goTo('#/book/exchange', 'Exchange');
      const archive = await saved(first, () => first.page.getByRole('button', { name: 'Export an archive' }).click());
      const second = await openBookPage();
      const changeMarks = async ({ page, goTo }: BookPage, marks: string) => {
        await goTo('#/book/parts', 'Parts');
        await page.getByRole('link', { name: 'Barrel B', exact: true }).click();
        await page.getByRole('textbox', { name: 'Marks' }).fill(marks);
        await page.getByText('Kept', { exact: true }).waitFor();
        await goTo('#/book/exchange', 'Exchange');
      };
      try {
        await second.goTo('#/book/exchange', 'Exchange');
        await second.page.getByLabel('Choose an archive').setInputFiles(archive.path);
        await second.page.getByRole('button', { name: 'Import it' }).click();
        await second.page.getByText('What was done').waitFor();
        const state = await saved(second, () =>
          second.page.getByRole('button', { name: 'Save the state of this book' }).click(),
        );
        await changeMarks(second, 'two punch marks, chipped');
        await changeMarks(first, 'two punch marks, honed');
        const changes = await saved(first, () =>
          first.page.getByLabel("Choose the other book's state").setInputFiles(state.path),
        );
        await second.page.getByLabel('Choose an archive').setInputFiles(changes.path);
        await second.page.getByRole('row', { name: /Changed on both sides, to be settled 1/ }).waitFor();
        await second.page.getByRole('button', { name: 'Import it' }).click();
        const conflict = second.page.getByRole('region', { name: 'Barrel Barrel B' });
        // The later change counts for now.
        await conflict.getByRole('row', { name: /marks.*honed.*chipped/ }).waitFor();
        await second.page.evaluate('scrollTo(0, 0)');
        await second.look('conflict');
        await conflict.getByRole('button', { name: /^Take this one/ }).click();
        await expect.poll(() => conflict.count()).toBe(0);
        await second.goTo('#/book/parts', 'Parts');
        await second.page.getByRole('cell', { name: 'two punch marks, chipped' }).waitFor();
        expect(second.faults).toEqual([]);
      } finally {
        await second.close();
      }
    }),
  120_000,
);

it(
  'a table of readings is mapped, its faulty line is told with the reason, and the others are stored',
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async ({ page, goTo, look }) => {
      await goTo('#/book/exchange', 'Exchange');
      const csv = join(temporaryFolder(), 'gaps.csv');
      writeFileSync(csv, 'ring;gap\ntop;0,31\nbottom;0,29\nspare;none\n');
      await page.getByRole('combobox', { name: 'Into which build' }).selectOption({ index: 1 });
      await page.getByRole('combobox', { name: 'Into which mock-up' }).selectOption({ index: 1 });
      await page.getByLabel('Choose a table').setInputFiles(csv);
      await page.getByText('Say what was read').first().waitFor();
      await page.getByRole('combobox', { name: 'All lines are' }).selectOption({ value: 'ring_end_gap' });
      await page.getByRole('combobox', { name: 'Column gap holds' }).selectOption('value');
      await page.getByRole('combobox', { name: 'Column ring holds' }).selectOption('position');
      await page.getByRole('combobox', { name: 'Decimal mark' }).selectOption('comma');
      // Bare numbers are not taken for mm or inches by themselves.
      await page.getByText('2 lines have no unit').waitFor();
      expect(await page.getByRole('button', { name: 'Store 2 readings' }).isDisabled()).toBe(true);
      await page.getByLabel('Unit of all lines').fill('mm');
      await page.getByText('"none" is not a number with a decimal comma').waitFor();
      await page.getByRole('cell', { name: '0.31 mm' }).waitFor();
      await page.getByRole('region', { name: 'Readings from a CSV table' }).scrollIntoViewIfNeeded();
      await page.getByRole('button', { name: 'Store 2 readings' }).scrollIntoViewIfNeeded();
      await look('csv');
      // Twice as large, nothing but a table in its own frame may be wider than the window.
      await page.setViewportSize({ width: 683, height: 384 });
      expect(await wideness(page)).toBe(0);
      await look('csv-zoomed');
      await page.setViewportSize({ width: 1366, height: 768 });
      await page.getByRole('button', { name: 'Store 2 readings' }).click();
      await page.getByText('2 readings are stored with the mock-up. 1 line was left out.').waitFor();
    }),
  90_000,
);

it(
  'a backup is made, and restored after a question that says what will happen',
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async (opened) => {
      const { page, goTo, look } = opened;
      await goTo('#/book/backups', 'Backups and help');
      await page.getByRole('button', { name: 'Make one now' }).click();
      await page.getByText(/^Kept and checked/).waitFor();
      await look('backups');
      await goTo('#/book', 'Book');
      await page.getByRole('rowheader').getByRole('link').first().click();
      await page.getByRole('textbox', { name: 'Title of the job' }).fill('Another title');
      await page.getByRole('region', { name: 'Job' }).getByText('Kept', { exact: true }).waitFor();
      await goTo('#/book/backups', 'Backups and help');
      await page
        .getByRole('row', { name: /by hand/ })
        .getByRole('button', { name: /^Restore/ })
        .click();
      await page.getByRole('dialog').getByText('becomes a backup of its own').waitFor();
      await look('restore-question');
      await page.keyboard.press('Escape');
      await expect.poll(() => page.getByRole('dialog').count()).toBe(0);
      await page
        .getByRole('row', { name: /by hand/ })
        .getByRole('button', { name: /^Restore/ })
        .click();
      await page.getByRole('button', { name: 'Restore this backup' }).click();
      await page.getByText(/The book as it was before is kept as/).waitFor();
      await page.getByRole('row', { name: /before a restore/ }).waitFor();
      await page.getByRole('button', { name: 'Check the whole book' }).click();
      await page.getByText(/^The book is sound/).waitFor();
      const bundle = await saved(opened, () => page.getByRole('button', { name: 'Make the file' }).click());
      expect(bundle.name).toMatch(/^portsight-help/);
      await goTo('#/book', 'Book');
      await page.getByRole('link', { name: 'Hire karts, four barrels of one casting' }).waitFor();
    }),
  90_000,
);

it(
  'a kept sheet says what it would say differently now, and is itself left as it was printed',
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async ({ page, look }) => {
      await page.getByRole('rowheader').getByRole('link').first().click();
      await page.getByRole('link', { name: 'Barrel B with 0.5 gasket' }).click();
      await page.getByRole('heading', { name: 'Timing diagram' }).waitFor();
      await page.getByRole('link', { name: 'Sheets' }).click();
      const frame = page.locator('iframe');
      // Printing opens a dialog of the system, which nobody would answer here.
      await frame.evaluate('(element) => { element.contentWindow.print = () => {}; }');
      await page.getByRole('button', { name: 'Print' }).click();
      const kept = page.getByRole('region', { name: 'Kept sheets' }).getByRole('listitem').getByRole('button').first();
      await kept.click();
      await page.getByText('Drawn now, it would say the same in every figure and line.').waitFor();
      const printed = await frame.getAttribute('srcdoc');
      await page.getByRole('link', { name: 'Barrel B with 0.5 gasket' }).click();
      await page.getByRole('link', { name: /^Ports of/ }).click();
      await page.getByRole('textbox', { name: 'Bore, nominal' }).fill('54');
      await page.getByRole('button', { name: 'This was a correction: they stay valid' }).click();
      await page.getByText('Kept', { exact: true }).waitFor();
      await page.goBack();
      await page.getByRole('link', { name: 'Sheets' }).click();
      await kept.click();
      await page.getByRole('button', { name: 'Show', exact: true }).click();
      await page.getByRole('row', { name: /Bore.*53\.61 mm.*54 mm/ }).waitFor();
      await look('sheet-since');
      expect(await frame.getAttribute('srcdoc')).toBe(printed);
    }),
  90_000,
);

it(
  "a customer's details go after a question that says what goes and what stays",
  (ctx) =>
    withPage(ctx, { args: ['--demo'] }, async ({ page, goTo, look }) => {
      await goTo('#/book/customers', 'Customers');
      await page.getByRole('link', { name: /^Ferrowick/ }).click();
      await page.getByRole('heading', { name: 'Details' }).waitFor();
      await look('customer');
      await page.getByRole('button', { name: 'Remove the personal details' }).click();
      await page.getByRole('dialog').getByRole('heading', { name: 'What stays' }).waitFor();
      await look('removal-question');
      await page.getByRole('button', { name: 'Remove the details' }).click();
      await page.getByRole('heading', { name: 'After the removal' }).waitFor();
      await look('removal');
      await expect.poll(() => page.getByRole('textbox', { name: 'Name' }).inputValue()).toBe('(details removed)');
      const builds = page.getByRole('region', { name: 'Builds of this customer' });
      await builds.getByRole('link', { name: 'Hire karts, four barrels of one casting' }).click();
      // Another customer is chosen for a build; the one it had keeps the name in all other builds.
      const job = page.getByRole('region', { name: 'Job' });
      const customer = job.getByRole('combobox', { name: 'Customer' });
      await expect.poll(() => customer.locator('option:checked').textContent()).toBe('(details removed)');
      await look('build');
      await customer.selectOption({ label: 'none' });
      await job.getByText('Kept', { exact: true }).waitFor();
      await goTo('#/book/customers', 'Customers');
      await page.getByRole('link', { name: '(details removed)' }).click();
      await page.getByText('No build is for this customer.').waitFor();
    }),
  90_000,
);

/** Presses the real button as soon as it is drawn: by the time that a hand is there, a small book is through. */
async function stopAtOnce({ page }: BookPage): Promise<void> {
  await page.evaluate(`{
    const stop = () => [...document.querySelectorAll('button')].find(({ textContent }) => textContent === 'Stop');
    const watch = new MutationObserver(() => {
      const button = stop();
      if (button === undefined) return;
      watch.disconnect();
      button.click();
    });
    watch.observe(document.body, { childList: true, subtree: true });
  }`);
}

it('longer work is stopped from the screen: a check, a backup, a look into an archive and an import, and nothing is changed', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  const folder = temporaryFolder();
  const { books, client } = await openTestBook({ folder });
  fillLargeBook(books.book(), { builds: 200, readingsInBuild: 40, picturesInBuild: 2 }, 1);
  const archive = join(temporaryFolder(), 'large.portsight.zip');
  writeFileSync(archive, await exportBytes(client, { scope: 'book' }));
  books.close();
  await withPage(ctx, { dataFolder: folder }, async (opened) => {
    const { page, goTo, look } = opened;
    const outcome = page.getByText('Stopped; nothing was changed.');
    await goTo('#/book/backups', 'Backups and help');
    await stopAtOnce(opened);
    await page.getByRole('button', { name: 'Check the whole book' }).click();
    await outcome.waitFor();
    await look('check-stopped');
    await page.getByRole('button', { name: 'Put away' }).click();
    await stopAtOnce(opened);
    await page.getByRole('button', { name: 'Make one now' }).click();
    await outcome.waitFor();
    await page.getByRole('heading', { name: 'No backup yet' }).waitFor();
    await look('backup-stopped');
  });
  await withPage(ctx, {}, async (opened) => {
    const { page, goTo, look } = opened;
    const outcome = page.getByText('Stopped; nothing was changed.');
    const choose = () => page.getByLabel('Choose an archive').setInputFiles(archive);
    await goTo('#/book/exchange', 'Exchange');
    await stopAtOnce(opened);
    await choose();
    await outcome.waitFor();
    expect(await page.getByRole('heading', { name: 'What is inside' }).count()).toBe(0);
    await choose();
    await page.getByRole('heading', { name: 'What is inside' }).waitFor({ timeout: 60_000 });
    await stopAtOnce(opened);
    await page.getByRole('button', { name: 'Import it' }).click();
    await outcome.waitFor();
    await look('import-stopped');
    // What was looked at is still there: it can be taken in after all.
    await page.getByRole('button', { name: 'Import it' }).click();
    await page.getByRole('progressbar').waitFor();
    await look('import-going-on');
    await page.getByText('What was done').waitFor({ timeout: 60_000 });
    await goTo('#/book', 'Book');
    await page.getByRole('rowheader').first().waitFor();
  });
}, 240_000);

describe('a book that is', () => {
  /** A folder with a filled and closed book. */
  async function filled(folder = temporaryFolder()): Promise<{ folder: string; path: string }> {
    mkdirSync(folder, { recursive: true });
    const { client, books, path } = await openTestBook({ folder });
    await makeMockUp(client, 'Job 1');
    books.close();
    return { folder, path };
  }

  it('held by another program says so, and opens once it is let go', async (ctx) => {
    const { folder, path } = await filled();
    const other = new Sqlite(path);
    other.pragma('locking_mode = EXCLUSIVE');
    other.exec('BEGIN EXCLUSIVE');
    await withPage(ctx, { dataFolder: folder }, async ({ page, look }) => {
      await page.getByRole('heading', { name: 'Another program holds the book' }).waitFor();
      await look('locked');
      other.exec('ROLLBACK');
      other.close();
      await page.getByRole('button', { name: 'Open the book again' }).click();
      await page.getByRole('link', { name: 'Job 1' }).waitFor();
    });
  }, 60_000);

  it('written by a newer program is shown, and says why nothing can be added', async (ctx) => {
    const { folder, path } = await filled();
    const raw = new Sqlite(path);
    raw.pragma(`user_version = ${programSchemaVersion + 1}`);
    raw.close();
    await withPage(ctx, { dataFolder: folder }, async ({ page, look }) => {
      await page.getByRole('heading', { name: 'The book was written by a newer Portsight' }).waitFor();
      await page.getByRole('link', { name: 'Job 1' }).waitFor();
      await look('newer');
    });
  }, 60_000);

  it('damaged leads to its backups, and what can be read is saved and restored', async (ctx) => {
    const { folder, path } = await filled();
    const bytes = readFileSync(path);
    bytes.fill(0xa5, bytes.length - 8192, bytes.length - 4096);
    writeFileSync(path, bytes);
    await withPage(ctx, { dataFolder: folder }, async ({ page, look }) => {
      await page.getByRole('heading', { name: 'The book is damaged' }).waitFor();
      await look('damaged');
      await page.getByRole('link', { name: 'To the backups' }).click();
      await page.getByRole('button', { name: 'Save what can be read' }).click();
      await page.getByText(/^Saved. It stands among the backups/).waitFor();
      await look('salvaged');
      await page
        .getByRole('row', { name: /saved from a damaged book/ })
        .getByRole('button', { name: /^Restore/ })
        .click();
      await page.getByRole('button', { name: 'Restore this backup' }).click();
      await page.getByText(/^The book is that of/).waitFor();
      await expect.poll(() => page.getByRole('heading', { name: 'The book is damaged' }).count()).toBe(0);
      await page.getByRole('link', { name: 'Builds' }).click();
      await page.getByRole('link', { name: 'Job 1' }).waitFor();
    });
  }, 60_000);

  it('emptied by a failing disk is not taken for one that was never begun', async (ctx) => {
    const { folder, path } = await filled();
    const { client, books } = await openTestBook({ folder });
    await client.call('backup.make', {});
    books.close();
    writeFileSync(path, '');
    await withPage(ctx, { dataFolder: folder }, async ({ page, goTo, look }) => {
      await page.getByText(/The file of the book was empty, so a new book was begun/).waitFor();
      await look('emptied');
      await goTo('#/book/backups', 'Backups and help');
      await page
        .getByRole('row', { name: /by hand/ })
        .getByRole('button', { name: /^Restore/ })
        .click();
      await page.getByRole('button', { name: 'Restore this backup' }).click();
      await page.getByText(/^The book is that of/).waitFor();
      await page.getByRole('link', { name: 'Builds' }).click();
      await page.getByRole('link', { name: 'Job 1' }).waitFor();
    });
  }, 60_000);

  it('no book at all is left alone and explained', async (ctx) => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, bookFileName), 'a letter to the maker, not a database '.repeat(200));
    await withPage(ctx, { dataFolder: folder }, async ({ page, look }) => {
      await page.getByRole('heading', { name: 'The book is damaged' }).waitFor();
      await look('no-book');
    });
  }, 60_000);

  it('write-protected can be read and says what to do', async (ctx) => {
    ctx.skip(process.platform === 'win32', 'Windows has no such permissions');
    const { folder, path } = await filled();
    chmodSync(path, 0o444);
    chmodSync(folder, 0o555);
    // Root may write everywhere, so the host runs as a user without rights.
    const asUser = process.getuid?.() === 0 ? { uid: 65_534 } : {};
    await withPage(ctx, { dataFolder: folder, ...asUser }, async ({ page, look }) => {
      await page.getByRole('heading', { name: 'The book is write-protected' }).waitFor();
      await page.getByRole('link', { name: 'Job 1' }).waitFor();
      await look('write-protected');
    });
    chmodSync(folder, 0o755);
  }, 60_000);

  it('on a network share opens, with a warning that says what to do', async (ctx) => {
    const { folder } = await filled();
    const mountTable = join(temporaryFolder(), 'mounts');
    writeFileSync(mountTable, `/dev/sda1 / ext4 rw 0 0\n//shop/books ${dirname(folder)} cifs rw 0 0\n`);
    await withPage(
      ctx,
      { dataFolder: folder, environment: { PORTSIGHT_MOUNT_TABLE: mountTable } },
      async ({ page, look }) => {
        await page.getByText(/lies on a network share.*keep it on a disk of this computer/).waitFor();
        await page.getByRole('link', { name: 'Job 1' }).waitFor();
        await look('network-share');
      },
    );
  }, 60_000);

  it('in a synchronised folder opens, with a warning', async (ctx) => {
    const { folder } = await filled(join(temporaryFolder(), 'Sync'));
    await withPage(ctx, { dataFolder: folder }, async ({ page, look }) => {
      await page.getByText(/looks synchronised with other computers/).waitFor();
      await page.getByRole('link', { name: 'Job 1' }).waitFor();
      await look('synchronised');
    });
  }, 60_000);
});
