import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Client } from '../../core/contract/client.ts';
import type { ReferenceCase } from '../../electron/cli/reference-file.ts';
import { type HostProcess, openSocket, startHostProcess } from '../support/loopback.ts';
import { makeMeasuredMockUp } from '../support/measured-mock-up.ts';
import { keptCases } from '../support/reference-numbers.ts';
import { chromiumPath, missingBrowserReason } from '../support/session-camera.ts';
import { overlongPx } from '../support/sheet-frame.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const axeScript = createRequire(import.meta.url).resolve('axe-core/axe.min.js');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
const missing =
  missingBrowserReason ??
  (existsSync(join(builtPage, 'index.html')) ? null : 'the page is not built; run: npm run build');

let folder: string | null = null;
let host: HostProcess | null = null;
let browser: Browser | null = null;
let client: Client | null = null;
let closeSocket = () => {};

beforeAll(async () => {
  if (missing !== null) return;
  folder = mkdtempSync(join(tmpdir(), 'portsight-test-'));
  host = await startHostProcess(folder, builtPage);
  const socket = await openSocket(host.url);
  socket.socket.setMaxListeners(0);
  client = socket.client;
  closeSocket = socket.close;
  browser = await chromium.launch({ executablePath: chromiumPath, args: ['--no-sandbox', '--disable-gpu'] });
});

afterAll(async () => {
  closeSocket();
  await browser?.close();
  await host?.kill('SIGTERM');
  if (folder !== null) rmSync(folder, { recursive: true, force: true });
});

function running(): { host: HostProcess; browser: Browser; client: Client } {
  if (host === null || browser === null || client === null) throw new Error('the host is not running');
  return { host, browser, client };
}

const cases = keptCases();

function goldenCase(id: string): ReferenceCase {
  const found = cases.find((one) => one.id === id);
  if (found === undefined) throw new Error(`${id} is not among the reference numbers`);
  return found;
}

const given = (one: ReferenceCase, name: string) => Number(one.inputs[name]?.value);

function expected(one: ReferenceCase, name: string): number {
  if ('error' in one.expected) throw new Error(`${one.id} expects a refusal`);
  return Number(one.expected.outputs[name]?.value);
}

async function openPlace(mockUpId: string, place: string, viewport = { width: 1366, height: 768 }): Promise<Page> {
  const { host: started, browser: opened } = running();
  const page = await opened.newPage({ viewport });
  page.on('pageerror', (error) => faults.push(error.message));
  const url = new URL(started.url);
  await page.goto(url.href);
  await page.getByRole('heading', { name: 'Book' }).waitFor();
  await page.evaluate(`location.hash = '#/mock-up/${mockUpId}/${place}'`);
  return page;
}

/** Errors of any page; a test that opens one expects none. */
const faults: string[] = [];

async function accessibilityFaults(page: Page): Promise<string[]> {
  await page.evaluate(readFileSync(axeScript, 'utf8'));
  return page.evaluate<string[]>(
    '(async () => (await axe.run(document)).violations.map((one) => one.id + ": " + one.nodes[0].html))()',
  );
}

async function picture(page: Page, name: string): Promise<void> {
  if (pictures === undefined) return;
  mkdirSync(pictures, { recursive: true });
  await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

/** A cell of the row of one figure: 0 as it stands, 1 as planned, 2 the difference, 3 the verdict. */
function cell(page: Page, figure: string, index: number) {
  const button = page.getByRole('button', { name: new RegExp(`^${figure} .*where does it come from`) });
  return page.getByRole('row').filter({ has: button }).getByRole('cell').nth(index);
}

const first = goldenCase('g-stack_change-01');
const window = { widthMm: 38, heightMm: 26, cornerRadiusTopMm: 8, cornerRadiusBottomMm: 6 };
const transferWindow = { widthMm: 19, heightMm: 12.5, cornerRadiusTopMm: 3, cornerRadiusBottomMm: 3 };

function kart(name: string) {
  return {
    name,
    strokeMm: given(first, 'stroke'),
    rodLengthMm: given(first, 'rod'),
    boreMm: 54,
    speedRpm: 12_500,
    squishMm: given(first, 'squish'),
    deckMm: 0.2,
    baseGasketMm: 0.5,
    ports: [
      {
        portId: 'exhaust',
        kind: 'exhaust' as const,
        label: 'Exhaust',
        ...window,
        depthMm: given(first, 'exhaust_depth'),
      },
      {
        portId: 'transfers',
        kind: 'transfer_main' as const,
        side: 'both' as const,
        label: 'Transfers',
        windowCount: 4,
        ...transferWindow,
        depthMm: given(first, 'transfer_depth'),
      },
    ],
  };
}

/** What is typed for each kind of change of the reference numbers. */
const fields: Readonly<Record<string, { label: string; from: number }>> = {
  base_gasket_change: { label: 'Base gasket and packers in all', from: 0.5 },
  base_cut: { label: 'Off the foot of the barrel', from: 0 },
  head_cut: { label: 'Off the face of the head', from: 0 },
  deck_cut: { label: 'Off the top of the barrel', from: 0 },
  head_gasket_change: { label: 'Head gasket thicker by', from: 0 },
};

test('every stack change of the reference numbers does on the screen what they say', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const { mockUpId } = await makeMeasuredMockUp(running().client, kart('Reference'));
  const page = await openPlace(mockUpId, 'plan');
  try {
    await page.getByRole('heading', { level: 1, name: 'Plan' }).waitFor();
    await page.getByLabel('Only what changes').uncheck();
    for (const id of ['01', '02', '03', '04', '05']) {
      const golden = goldenCase(`g-stack_change-${id}`);
      for (const [name, { label, from }] of Object.entries(fields)) {
        if (golden.inputs[name] !== undefined) await page.getByLabel(label).fill(String(from + given(golden, name)));
      }
      const shown = (value: number) => `${value.toFixed(1)} deg`;
      await expect
        .poll(() => cell(page, 'Squish, smallest', 1).textContent())
        .toBe(`${expected(golden, 'squish').toFixed(2)} mm`);
      expect(await cell(page, 'Exhaust, duration', 1).textContent()).toBe(shown(expected(golden, 'exhaust_duration')));
      expect(await cell(page, 'Transfers, duration', 1).textContent()).toBe(
        shown(expected(golden, 'transfer_duration')),
      );
      expect(await cell(page, 'Blowdown', 1).textContent()).toBe(shown(expected(golden, 'blowdown')));
      await page.getByRole('button', { name: 'Reset' }).click();
      await page.getByText('No change yet').waitFor();
    }
    // Case 07: the piston would meet the head.
    await page
      .getByLabel('Off the foot of the barrel')
      .fill(String(given(goldenCase('g-stack_change-07'), 'base_cut')));
    await page.getByText("This can't be built.").waitFor();
    expect(await page.getByRole('alert').first().textContent()).toContain('the piston would touch the head');
    expect(await page.getByRole('button', { name: 'Make a mock-up from this plan' }).isDisabled()).toBe(true);
    expect(faults).toEqual([]);
  } finally {
    await page.close();
  }
});

test('a plan is found, judged, undone, kept, and made into a mock-up', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const { client: book } = running();
  const limits = (quantity: string, lower: number | null, upper: number | null) => ({
    quantity,
    nominal: null,
    lower,
    upper,
    unit: '',
    source: 'Class rule, made up',
  });
  const { mockUpId } = await makeMeasuredMockUp(book, {
    ...kart('For the wet'),
    specifications: [limits('duration:exhaust', 199, 201), limits('duration:transfers', null, 128.9)],
  });
  await book.call('part.create', {
    kind: 'gasket',
    name: 'Base gasket 0.8',
    data: { place: 'base', thicknessNewMm: 0.8, thicknessCrushedMm: 0.72 },
  });
  const page = await openPlace(mockUpId, 'plan');
  try {
    await page.getByRole('heading', { level: 1, name: 'Plan' }).waitFor();
    await picture(page, 'plan-empty');
    // The way there in reverse: the duration that 0.30 mm of gasket gives asks for 0.30 mm.
    // Half of it could be three angles: nothing is proposed before that is answered.
    await page.getByLabel('Its duration wanted').fill(String(expected(first, 'exhaust_duration') / 2));
    const counts = page.getByLabel('This number counts degrees');
    await counts.waitFor();
    const byBarrel = page.getByRole('region', { name: 'By the height of the barrel' });
    expect(await byBarrel.count()).toBe(0);
    await counts.selectOption('half_duration');
    expect(await byBarrel.textContent()).toContain('Raise the barrel by gasket or packer: 0.30 mm');
    const byRoof = page.getByRole('region', { name: 'By the roof of that port alone' });
    expect(await byRoof.textContent()).toContain('Roof up by grinding: 0.30 mm');
    await byBarrel.getByRole('button', { name: /Take this over/ }).click();
    expect(await page.getByLabel('Base gasket and packers in all').inputValue()).toBe('0.8');
    // The exhaust comes into its limits, the transfers leave theirs: both are said.
    await expect.poll(() => cell(page, 'Exhaust, duration', 3).textContent()).toContain('better');
    expect(await cell(page, 'Transfers, duration', 3).textContent()).toContain('worse');
    const strip = page.getByRole('region', { name: 'What the plan does' });
    expect(await strip.textContent()).toMatch(/Worse1.*Better1/);
    const work = page.getByRole('region', { name: 'Order of the work' });
    expect(await work.textContent()).toContain('Base gasket or packer thicker by 0.30 mm');
    expect(await work.textContent()).toContain('port events (8)');
    await page.getByLabel('Exhaust: roof up by').fill('0.1');
    await expect.poll(() => work.textContent()).toContain('goggles');
    await page.getByRole('heading', { level: 1 }).click();
    await page.keyboard.press('Control+z');
    await expect.poll(() => work.textContent()).not.toContain('goggles');
    await page.keyboard.press('Control+Shift+z');
    await expect.poll(() => work.textContent()).toContain('Roof of Exhaust up by 0.10 mm');
    await page.keyboard.press('Control+z');
    // Where the deck governs, the barrel meets the deck and the roof the duration.
    await page.getByLabel('The height of the barrel is chosen by').selectOption({ label: 'Deck' });
    await page.getByLabel('Deck wanted').fill('0.3');
    await page.getByLabel('Its duration wanted, by its roof').fill(String(expected(first, 'exhaust_duration')));
    const byDeck = page.getByRole('region', { name: 'By the deck' });
    await expect.poll(() => byDeck.textContent()).toContain('Raise the barrel by gasket or packer: 0.10 mm');
    expect(await byDeck.textContent()).toContain('Roof up by grinding: 0.20 mm');
    await page.getByLabel('Deck wanted').fill('-2');
    await byDeck.getByText('the piston would touch').waitFor();
    // A number can be asked where it comes from, and Escape leads back to it.
    await page.getByRole('button', { name: /^Exhaust, duration [\d.]+ deg: where does it come from/ }).click();
    const panel = page.getByRole('complementary', { name: 'Exhaust, duration' });
    await panel.waitFor();
    expect(await panel.textContent()).toContain('26.00 mm');
    await page.keyboard.press('Escape');
    await panel.waitFor({ state: 'detached' });
    expect(await accessibilityFaults(page)).toEqual([]);
    await picture(page, 'plan-1366');
    // The list's gasket instead of the typed thickness; kept by itself, found again after a reload.
    await page.getByLabel('Base gasket and packers from the list').selectOption({ label: 'Base gasket 0.8 (0.72 mm)' });
    await page.getByLabel('Name of the plan').fill('Thicker gasket');
    await page.getByText('Kept', { exact: true }).waitFor();
    await page.reload();
    await page.getByRole('heading', { level: 1, name: 'Plan' }).waitFor();
    expect(await page.getByLabel('Name of the plan').inputValue()).toBe('Thicker gasket');
    expect(await page.getByLabel('Base gasket and packers in all').inputValue()).toBe('0.72');
    // In inches the same plan.
    await book.call('preferences.set', { key: 'lengthUnit', value: 'inch' });
    await page.reload();
    await page.getByRole('heading', { level: 1, name: 'Plan' }).waitFor();
    expect(await cell(page, 'Squish, smallest', 1).textContent()).toBe(`${((1.05 + 0.22) / 25.4).toFixed(4)} in`);
    await book.call('preferences.set', { key: 'lengthUnit', value: 'mm' });
    await page.reload();
    // Another plan beside the first, and off the list again.
    await page.getByRole('button', { name: 'Begin another plan' }).click();
    await page.getByLabel('Off the top of the barrel').fill('0.05');
    await page.getByText('Kept', { exact: true }).waitFor();
    const listed = async () => (await book.call('mockUp.whole', { id: mockUpId })).mockUp.plans.map(({ name }) => name);
    expect(await listed()).toEqual(['Thicker gasket', 'Plan 2']);
    await page.getByLabel('Off the top of the barrel').fill('0.06');
    await page.getByRole('button', { name: 'Take this plan off the list' }).click();
    await expect.poll(listed).toEqual(['Thicker gasket']);
    await page.waitForTimeout(600);
    expect(await listed()).toEqual(['Thicker gasket']);
    await page.getByLabel('Plan', { exact: true }).selectOption({ label: 'Thicker gasket' });
    await page.getByRole('button', { name: 'Make a mock-up from this plan' }).click();
    await page.waitForURL((url) => url.hash.startsWith('#/mock-up/') && !url.hash.includes(mockUpId));
    const madeId = new URL(page.url()).hash.split('/')[2] ?? '';
    const made = await book.call('mockUp.whole', { id: madeId });
    expect(made.mockUp).toMatchObject({ copiedFromId: mockUpId, baseGasketMm: 0.72, plans: [] });
    expect(made.baseGasket?.name).toBe('Base gasket 0.8');
    expect(made.mockUp.notes).toContain('Base gasket or packer thicker by 0.22 mm');
    expect(made.readings).toEqual([]);
    expect(faults).toEqual([]);
  } finally {
    await page.close();
  }
});

test('ports: time-areas of the reference numbers, open areas at any angle by keyboard and mouse', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const [exhaust, lead, transfers] = ['01', '02', '03'].map((id) => goldenCase(`g-port_time_area-${id}`)) as [
    ReferenceCase,
    ReferenceCase,
    ReferenceCase,
  ];
  const windowOf = (one: ReferenceCase) => ({
    widthMm: given(one, 'width'),
    heightMm: given(one, 'height'),
    cornerRadiusTopMm: given(one, 'radius_top'),
    cornerRadiusBottomMm: given(one, 'radius_bottom'),
  });
  const { mockUpId } = await makeMeasuredMockUp(running().client, {
    ...kart('Areas'),
    speedRpm: given(exhaust, 'speed'),
    ports: [
      {
        portId: 'exhaust',
        kind: 'exhaust',
        label: 'Exhaust',
        ...windowOf(exhaust),
        depthMm: given(exhaust, 'roof_depth'),
      },
      {
        portId: 'transfers',
        kind: 'transfer_main',
        side: 'both',
        label: 'Transfers',
        windowCount: given(transfers, 'count'),
        ...windowOf(transfers),
        depthMm: given(transfers, 'roof_depth'),
      },
    ],
  });
  const page = await openPlace(mockUpId, 'ports');
  try {
    await page.getByRole('heading', { level: 1, name: 'Ports' }).waitFor();
    const figure = (name: string) =>
      page
        .getByRole('button', { name: new RegExp(`^${name} .*where does it come from`) })
        .first()
        .textContent();
    expect(await figure('Exhaust, angle-area')).toBe(expected(exhaust, 'angle_area').toFixed(0));
    expect(await figure('Exhaust, time-area')).toBe(expected(exhaust, 'time_area').toFixed(3));
    expect(await figure('Exhaust, specific time-area')).toBe(expected(exhaust, 'specific_time_area').toFixed(5));
    expect(await figure('Transfers, angle-area')).toBe(expected(transfers, 'angle_area').toFixed(0));
    expect(await figure('Blowdown, time-area')).toBe(`${expected(lead, 'time_area').toFixed(3)} s·mm²`);
    // Half the speed, twice the time.
    await page.getByLabel('Speed for the time-areas').fill(String(given(exhaust, 'speed') / 2));
    await expect.poll(() => figure('Exhaust, time-area')).toBe((2 * expected(exhaust, 'time_area')).toFixed(3));
    const cursor = page.getByRole('slider', { name: 'Crank angle' });
    const at = page.getByRole('region', { name: 'At this angle' });
    await cursor.focus();
    await page.keyboard.press('Home');
    expect(await at.getByRole('row', { name: /Exhaust/ }).textContent()).toContain('0 %');
    await page.keyboard.press('PageUp');
    const opensDeg = Number(await cursor.getAttribute('aria-valuenow'));
    expect(opensDeg).toBeGreaterThan(75);
    expect(opensDeg).toBeLessThan(85);
    for (let step = 0; step < 10; step += 1) await page.keyboard.press('Shift+ArrowRight');
    expect(Number(await cursor.getAttribute('aria-valuenow'))).toBeCloseTo(opensDeg + 100, 6);
    // BDC: everything is open.
    const box = await cursor.boundingBox();
    if (box === null) throw new Error('the chart has no place on the page');
    await page.mouse.click(box.x + box.width / 2, box.y + box.height / 2);
    expect(Number(await cursor.getAttribute('aria-valuenow'))).toBeCloseTo(180, 0);
    const full = 26 * 38 - (2 - Math.PI / 2) * (8 ** 2 + 6 ** 2);
    expect(await at.getByRole('row', { name: /Exhaust/ }).textContent()).toContain(full.toFixed(0));
    expect(await at.getByRole('row', { name: /Exhaust/ }).textContent()).toContain('100 %');
    // The crank turned by itself moves on, and stops where it is told to.
    await page.getByRole('button', { name: 'Turn the crank' }).click();
    await expect.poll(async () => Number(await cursor.getAttribute('aria-valuenow'))).toBeGreaterThan(190);
    await page.getByRole('button', { name: 'Stop' }).click();
    const stoodAt = await cursor.getAttribute('aria-valuenow');
    await page.waitForTimeout(150);
    expect(await cursor.getAttribute('aria-valuenow')).toBe(stoodAt);
    expect(await page.getByRole('img', { name: /^Transfers, window 4 of 4, chord 19.00 mm/ }).count()).toBe(1);
    expect(await accessibilityFaults(page)).toEqual([]);
    await picture(page, 'ports-1366');
    for (const [name, viewport] of [
      ['ports-1920', { width: 1920, height: 1080 }],
      ['ports-200-percent', { width: 683, height: 384 }],
    ] as const) {
      await page.setViewportSize(viewport);
      expect(await page.evaluate<boolean>('document.documentElement.scrollWidth <= innerWidth')).toBe(true);
      await picture(page, name);
    }
    expect(await accessibilityFaults(page)).toEqual([]);
    expect(faults).toEqual([]);
  } finally {
    await page.close();
  }
});

test('port map and plan are printed: full size where the paper allows, nothing cut off, kept as drawn', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const { client: book } = running();
  const small = { cornerRadiusTopMm: 2, cornerRadiusBottomMm: 2 };
  const port = (
    portId: string,
    kind: 'auxiliary_exhaust' | 'transfer_main' | 'transfer_secondary' | 'boost',
    side: 'drive_side' | 'ignition_side' | 'none',
    label: string,
    depthMm: number,
  ) => ({
    portId,
    kind,
    side,
    label,
    widthMm: kind === 'auxiliary_exhaust' ? 7 : 14,
    heightMm: 11.5,
    ...small,
    depthMm,
  });
  const many = kart('Many ports');
  const { mockUpId } = await makeMeasuredMockUp(book, {
    ...many,
    ports: [
      ...many.ports.slice(0, 1),
      port('aux-d', 'auxiliary_exhaust', 'drive_side', 'Auxiliary, drive side', 28),
      port('aux-i', 'auxiliary_exhaust', 'ignition_side', 'Auxiliary, ignition side', 28.1),
      port('main-d', 'transfer_main', 'drive_side', 'Main, drive side', 41.4),
      port('main-i', 'transfer_main', 'ignition_side', 'Main, ignition side', 41.6),
      port('second-d', 'transfer_secondary', 'drive_side', 'Secondary, drive side', 41.8),
      port('second-i', 'transfer_secondary', 'ignition_side', 'Secondary, ignition side', 41.8),
      port('boost', 'boost', 'none', 'Boost', 41.2),
    ],
  });
  const page = await openPlace(mockUpId, 'plan');
  try {
    await page.getByLabel('Base gasket and packers in all').fill('0.6');
    await page.getByLabel('Off the face of the head').fill('0.15');
    await page.getByLabel('Exhaust: roof up by').fill('0.2');
    await page.getByText('Kept', { exact: true }).waitFor();
    await picture(page, 'plan-many-ports');
    await page.getByRole('link', { name: 'Ports', exact: true }).click();
    await page.getByRole('heading', { name: 'Drive side against ignition side' }).waitFor();
    // The sizes of the windows are edited with the barrel itself.
    const barrelId = (await book.call('mockUp.whole', { id: mockUpId })).barrel.id;
    expect(await page.getByRole('link', { name: 'Edit the sizes of the windows' }).getAttribute('href')).toContain(
      barrelId,
    );
    await picture(page, 'ports-many-ports');
    await page.getByRole('link', { name: 'Sheets', exact: true }).click();
    const paper = page.frameLocator('iframe[title="The sheet as it is printed"]');
    await page.getByRole('button', { name: 'New port map' }).click();
    await paper.getByRole('heading', { name: 'Port map' }).first().waitFor();
    expect(await overlongPx(paper)).toEqual([0, 0]);
    // 54 mm of bore: its circumference on paper is its circumference.
    const frame = await paper.locator('.port-map').boundingBox();
    expect((frame?.width ?? 0) / (96 / 25.4)).toBeCloseTo((196 / 168) * Math.PI * 54, 0);
    expect(await paper.locator('.sheet').first().textContent()).toContain('Full size');
    await printedPicture(page, 'sheet-port-map');
    await page.getByRole('button', { name: 'New plan sheet: Plan 1' }).click();
    await paper.getByRole('heading', { name: 'Plan: Plan 1' }).first().waitFor();
    expect(await overlongPx(paper)).toEqual([0, 0, 0]);
    const text = await paper.locator('body').textContent();
    expect(text).toContain('Roof of Exhaust up by 0.20 mm');
    expect(text).toContain('goggles');
    expect(await accessibilityFaults(page)).toEqual([]);
    await printedPicture(page, 'sheet-plan');
    // Letter is shorter: there too nothing may be cut off.
    await book.call('preferences.set', { key: 'paperSize', value: 'Letter' });
    await page.reload();
    await page.getByRole('button', { name: 'New port map' }).click();
    await paper.getByRole('heading', { name: 'Port map' }).first().waitFor();
    expect(await overlongPx(paper)).toEqual([0, 0]);
    await book.call('preferences.set', { key: 'paperSize', value: 'A4' });
    await page.reload();
    await page.getByRole('button', { name: 'New plan sheet: Plan 1' }).click();
    await paper.getByRole('heading', { name: 'Plan: Plan 1' }).first().waitFor();
    await page.getByRole('button', { name: 'Save as PDF' }).click();
    await page.getByText(/Kept, and saved as/).waitFor();
    const [kept] = await book.call('sheet.list', { mockUpId });
    expect(kept?.kind).toBe('plan');
    expect(faults).toEqual([]);
  } finally {
    await page.close();
  }
});

/** The paper inside the preview, in full. */
async function printedPicture(page: Page, name: string): Promise<void> {
  if (pictures === undefined) return;
  mkdirSync(pictures, { recursive: true });
  const html = await page
    .frameLocator('iframe[title="The sheet as it is printed"]')
    .locator('html')
    .evaluate((root) => root.outerHTML);
  const sheet = await running().browser.newPage({ viewport: { width: 850, height: 1160 } });
  await sheet.setContent(`<!doctype html>${html}`);
  await sheet.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
  await sheet.close();
}

test('without readings both places say what to do first', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const { client: book } = running();
  const { mockUpId } = await makeMeasuredMockUp(book, kart('Later'));
  const { mockUp } = await book.call('mockUp.whole', { id: mockUpId });
  const copy = await book.call('mockUp.copy', { id: mockUp.id, name: 'Not measured yet' });
  for (const [place, title] of [
    ['ports', 'No port has a place yet'],
    ['plan', 'Nothing to plan from yet'],
  ] as const) {
    const page = await openPlace(copy.id, place);
    try {
      await page.getByRole('heading', { level: 1, name: title }).waitFor();
      expect(await page.getByRole('main').textContent()).toContain('Exhaust: its edges are not read yet.');
      expect(await page.getByRole('link', { name: 'To the bench' }).count()).toBeGreaterThan(0);
      expect(await accessibilityFaults(page)).toEqual([]);
      await picture(page, `${place}-empty`);
    } finally {
      await page.close();
    }
  }
  expect(faults).toEqual([]);
});
