import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { accessibilityFaults } from '../support/accessibility.ts';
import { type HostProcess, openSocket, type SocketClient, startHostProcess } from '../support/loopback.ts';
import { chromiumPath, missingBrowserReason } from '../support/session-camera.ts';
import { overlongPx } from '../support/sheet-frame.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
const missing =
  missingBrowserReason ??
  (existsSync(join(builtPage, 'index.html')) ? null : 'the page is not built; run: npm run build');

let data: string;
let host: HostProcess;
let browser: Browser;
let socket: SocketClient;

beforeAll(async () => {
  if (missing !== null) return;
  // One book for all tests of this file, so the folder outlives each of them.
  data = mkdtempSync(join(tmpdir(), 'portsight-test-'));
  host = await startHostProcess(data, builtPage, ['--demo']);
  socket = await openSocket(host.url);
  browser = await chromium.launch({ executablePath: chromiumPath, args: ['--no-sandbox', '--disable-gpu'] });
}, 60_000);

afterAll(async () => {
  if (missing !== null) return;
  socket.close();
  await browser.close();
  await host.kill('SIGTERM');
  rmSync(data, { recursive: true, force: true });
});

async function mockUpNamed(start: string): Promise<string> {
  const found = (await socket.client.call('mockUp.list', {})).find(({ name }) => name.startsWith(start));
  if (found === undefined) throw new Error(`the demo has no ${start}`);
  return found.id;
}

async function open(mockUpId: string, place: string): Promise<Page> {
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  page.setDefaultTimeout(10_000);
  await page.goto(host.url);
  await page.getByRole('heading', { name: 'Book' }).waitFor();
  await page.evaluate(`location.hash = '#/mock-up/${mockUpId}${place}'`);
  return page;
}

async function picture(page: Page, name: string): Promise<void> {
  if (pictures !== undefined) await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

test('an instrument of the list sets the step, and a lapsed calibration is said and goes into the uncertainty', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const id = await mockUpNamed('Barrel D');
  const instrument = {
    id: '0193a5b2-7c1d-7000-8000-00000000000a',
    name: 'Micrometer 50 to 75',
    kind: 'micrometer',
    resolution: 0.5,
    unit: 'thou',
    serialNumber: '',
    calibratedOn: '2020-01-01',
    calibrationDueOn: '2021-01-01',
    note: '',
  };
  await socket.client.call('preferences.set', { key: 'instruments', value: [instrument] });
  const page = await open(id, '/checks/bore_and_piston');
  const piston = page.getByRole('region', { name: "Piston at the maker's height" });
  await piston.getByLabel('Instrument').selectOption({ label: 'Micrometer 50 to 75' });
  await piston.getByRole('form').locator('input').fill('2.1075 in');
  await page.keyboard.press('Enter');
  await piston.getByText(/Micrometer 50 to 75: not calibrated for the day of the reading/).waitFor();
  // Half a thou is 0.0127 mm: u^2 = 0.0127^2/12 for the step and 0.0127^2/3 for an error that nobody checked.
  const expected = 2 * Math.hypot(0.0127 / Math.sqrt(12), 0.0127 / Math.sqrt(3));
  const row = page.getByTestId('check:piston_diameter').locator('td');
  expect(await row.nth(0).textContent()).toBe('53.530 mm');
  expect(await row.nth(1).textContent()).toBe(expected.toFixed(3));
  await page.getByRole('button', { name: /Piston at the maker's height 53.530 mm: where does it come from/ }).click();
  await page.getByText('calibration of Micrometer 50 to 75').waitFor();
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.close();
}, 60_000);

test('a photograph is kept with the box check, made smaller, and opens again', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const id = await mockUpNamed('Barrel D');
  const page = await open(id, '/checks/box_check');
  const large = await page.evaluate<string>(`(async () => {
    const canvas = new OffscreenCanvas(3000, 1500);
    const context = canvas.getContext('2d');
    context.fillStyle = '#c08030';
    context.fillRect(0, 0, 3000, 1500);
    const bytes = new Uint8Array(await (await canvas.convertToBlob({ type: 'image/png' })).arrayBuffer());
    return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(''));
  })()`);
  await page.getByLabel(/Photographs of the parts/).setInputFiles([
    { name: 'barrel.png', mimeType: 'image/png', buffer: Buffer.from(large, 'base64') },
    { name: 'notes.png', mimeType: 'image/png', buffer: Buffer.from('this is no picture') },
  ]);
  await page.getByText(/notes.png: This file is no picture that can be read/).waitFor();
  await page.getByRole('button', { name: 'barrel.png' }).click();
  await page.getByRole('button', { name: 'Picture', exact: true }).click();
  await page.getByRole('dialog').locator('img').waitFor();
  const whole = await socket.client.call('mockUp.whole', { id });
  const kept = whole.readings.find(({ pictureId }) => pictureId !== null);
  expect(kept?.subject).toMatchObject({ what: 'quantity', quantity: 'photograph', typedText: 'barrel.png' });
  expect(await socket.client.call('picture.get', { id: kept?.pictureId ?? '' })).toMatchObject({
    mime: 'image/jpeg',
    widthPx: 2000,
    heightPx: 1000,
  });
  await page.close();
}, 60_000);

test('a duration by zeroing stands against the events, and a contradiction is asked about', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const page = await open(await mockUpNamed('Barrel A'), '/checks/port_events');
  const form = page.getByRole('form', { name: 'Duration by zeroing at the opening, Exhaust' });
  await form.locator('input').fill('176');
  await page.keyboard.press('Enter');
  await page.getByTestId('check:zeroed_difference:exhaust').waitFor();
  expect(await page.getByText('the duration by zeroing differs').count()).toBe(0);
  for (const reading of ['181', '181', '181']) {
    await form.locator('input').fill(reading);
    await page.keyboard.press('Enter');
  }
  await page.getByRole('button', { name: '176 deg' }).click();
  await page.getByRole('button', { name: 'Strike out' }).click();
  await page.getByLabel('Reason for striking it out').fill('wheel touched');
  await page.keyboard.press('Enter');
  await page.getByText(/Exhaust: the duration by zeroing differs by 5.0 deg/).waitFor();
  await picture(page, 'checks-zeroed');
  expect(await accessibilityFaults(page)).toEqual([]);
  await page.close();
}, 60_000);

test('a bare 88 for an opening is asked about and kept as the event is quoted', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const id = await mockUpNamed('Barrel A');
  const page = await open(id, '');
  await page.getByRole('button', { name: 'Enter: limits of Exhaust opens' }).click();
  const form = page.getByRole('form', { name: 'Limits of Exhaust opens' });
  await form.getByLabel('Nominal').fill('88');
  await form.getByLabel('Lower limit').fill('86');
  await form.getByLabel('Upper limit').fill('90');
  await form.getByLabel('Source', { exact: true }).fill('class rule');
  await form.getByRole('button', { name: 'Keep the limits' }).click();
  await form.getByText('Say first what these numbers count').waitFor();
  await picture(page, 'checks-ambiguous');
  expect(await accessibilityFaults(page)).toEqual([]);
  await form
    .getByLabel('These numbers count degrees')
    .selectOption({ label: 'before BDC (BBDC), which is half a duration: 92 ATDC' });
  await form.getByRole('button', { name: 'Keep the limits' }).click();
  await page.getByRole('button', { name: '92 (90 to 94): limits of Exhaust opens' }).waitFor();
  const { mockUp } = await socket.client.call('mockUp.whole', { id });
  expect(mockUp.specifications.find(({ quantity }) => quantity === 'event:exhaust:opens')).toMatchObject({
    nominal: 92,
    lower: 90,
    upper: 94,
  });
  await page.close();
}, 60_000);

test('a cut that is recorded says what becomes void, marks it, and undo takes all of it back', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const id = await mockUpNamed('Barrel B');
  const page = await open(id, '');
  const step = page.getByRole('link', { name: /Port events, both directions/ });
  const before = await step.textContent();
  const changes = page.getByRole('region', { name: 'Changes of the parts' });
  await changes.getByLabel('What was changed').selectOption({ label: 'The top of the barrel was cut' });
  await changes.getByText(/Marked: .*true TDC \(\d+\).*port events \(\d+\)/).waitFor();
  await changes.getByLabel('By how much, by whom').fill('0.20 mm, own lathe');
  await changes.getByRole('button', { name: 'Keep the change' }).click();
  await page.getByRole('link', { name: /Port events, both directions void, read again/ }).waitFor();
  // Each list that holds them says so.
  await page.getByRole('button', { name: /readings of Exhaust opens/ }).click();
  await page
    .getByText(/^void: The top of the barrel was machined/)
    .first()
    .waitFor();
  await picture(page, 'checks-cut');
  expect(await accessibilityFaults(page)).toEqual([]);
  await changes.getByRole('button', { name: 'Undo' }).click();
  await expect.poll(() => step.textContent()).toBe(before);
  await expect
    .poll(async () => {
      const { marks } = await socket.client.call('mockUp.whole', { id });
      return marks.filter(({ mark }) => mark === 'void').length - marks.filter(({ mark }) => mark === 'valid').length;
    })
    .toBe(0);
  await page.close();
}, 60_000);

test('the sheet of checks fits its pages and is kept as it was printed', async (ctx) => {
  ctx.skip(missing !== null, missing ?? '');
  const page = await open(await mockUpNamed('Barrel C'), '/sheets');
  await page.getByRole('button', { name: 'New checks sheet' }).click();
  const paper = page.frameLocator('iframe').locator('main');
  await paper.first().waitFor();
  expect(Math.max(...(await overlongPx(page.frameLocator('iframe'))))).toBe(0);
  expect(await paper.first().textContent()).toContain('Piston clearance, by the largest bore');
  await page.close();
}, 60_000);
