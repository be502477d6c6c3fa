import { existsSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { expect, test } from 'vitest';
import { checkResults } from '../../core/mockup/check-results.ts';
import { accessibilityFaults } from '../support/accessibility.ts';
import { type HostProcess, openSocket, startHostProcess } from '../support/loopback.ts';
import { chromiumPath, missingBrowserReason } from '../support/session-camera.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const pictures = process.env['PORTSIGHT_SCREENSHOTS'];

/** A bench in one test: the host, the page, and what is done at it. */
interface Bench {
  readonly page: Page;
  readonly mockUpId: string;
  readonly errors: string[];
}

async function openPage(browser: Browser, host: HostProcess, mockUpId: string): Promise<Bench> {
  const page = await browser.newPage({ viewport: { width: 1366, height: 768 } });
  page.setDefaultTimeout(10_000);
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(host.url);
  await page.getByRole('heading', { name: 'Book' }).waitFor();
  return { page, mockUpId, errors };
}

async function go({ page, mockUpId }: Bench, place: string): Promise<void> {
  await page.evaluate(`location.hash = '#/mock-up/${mockUpId}${place === '' ? '' : `/${place}`}'`);
}

async function picture({ page }: Bench, name: string): Promise<void> {
  if (pictures !== undefined) await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true });
}

/** Types readings at a place of the open card, as a hand does: figure, Enter, next figure. */
async function type({ page }: Bench, place: string, ...typed: string[]): Promise<void> {
  const form = page.getByRole('form', { name: place, exact: true });
  for (const text of typed) {
    // A burette may have its start typed before; what was read stands last.
    await form.locator('input').last().fill(text);
    await page.keyboard.press('Enter');
  }
}

/** The card of the next step, reached by the one button that leads there. */
async function nextStep({ page }: Bench, title: string): Promise<void> {
  await page.getByRole('button', { name: `Next: ${title}` }).click();
  await page.getByRole('heading', { name: title, exact: true }).waitFor();
}

async function stepIs({ page }: Bench, title: string, state: string): Promise<void> {
  await page
    .getByRole('navigation', { name: 'Steps of the mock-up' })
    .getByText(new RegExp(`\\d+\\. ${title}`))
    .waitFor();
  await page
    .getByRole('navigation', { name: 'Steps of the mock-up' })
    .getByRole('link', { name: new RegExp(`${title}.*${state}`) })
    .waitFor();
}

const result = async ({ page }: Bench, key: string): Promise<string> =>
  (await page.getByTestId(`check:${key}`).locator('td').first().textContent()) ?? '';

/** Wheel clamped on anyhow: it shows this at true TDC, and its numbers grow turning forwards. */
const shownAtTdcDeg = 112.5;
const shown = (crankDeg: number): string => String((((crankDeg + shownAtTdcDeg) % 360) + 360) % 360);

/** What the pointer shows at each event, in the order in which the bench asks. */
function wheelReadings(): string[] {
  const forwards = [92, 118.5, 241.5, 268];
  // Slack of the bearings: half a degree between the directions.
  const backwards = forwards.toReversed().map((crankDeg) => crankDeg - 0.5);
  return [-31.5, 31.5, ...forwards, ...backwards].map(shown);
}

test('a whole mock-up from the box to the ignition, with the host restarted half-way', async (ctx) => {
  ctx.skip(missingBrowserReason !== null, missingBrowserReason ?? '');
  ctx.skip(!existsSync(join(builtPage, 'index.html')), 'the page is not built; run: npm run build');
  const data = join(temporaryFolder(), 'data');
  mkdirSync(data);
  let host = await startHostProcess(data, builtPage, ['--demo']);
  const browser = await chromium.launch({ executablePath: chromiumPath, args: ['--no-sandbox', '--disable-gpu'] });
  try {
    let socket = await openSocket(host.url);
    const mockUps = await socket.client.call('mockUp.list', {});
    // Barrel D of the demo is the one that the newcomer measures.
    const mockUp = mockUps.find(({ name }) => name.startsWith('Barrel D'));
    if (mockUp === undefined) throw new Error('the demo has no barrel D');
    let bench = await openPage(browser, host, mockUp.id);
    const faults: string[] = [];

    // The overview leads to the first step.
    await go(bench, '');
    await bench.page.getByRole('link', { name: 'To this check' }).click();
    await bench.page.getByRole('heading', { name: 'Box check', exact: true }).waitFor();
    await bench.page.getByLabel('Measured by').fill('R. Holt');
    await bench.page
      .getByRole('textbox', { name: 'Marks, grade letters, oversize' })
      .fill('Barrel: four punch marks. Piston: arrow to the exhaust, B.');
    await bench.page.getByRole('button', { name: 'Keep the marks' }).click();
    await type(bench, 'Room temperature', '18');
    await stepIs(bench, 'Box check', 'done');
    faults.push(...(await accessibilityFaults(bench.page)));

    await nextStep(bench, 'Flatness');
    await type(bench, 'Flatness of the barrel, top face', '0.02');
    await type(bench, 'Flatness of the barrel, foot', '0.03');
    await type(bench, 'Flatness of the case mouth', '.002in');
    await type(bench, 'Flatness of the head', '0');
    await nextStep(bench, 'Bore and piston');
    for (const [at, along, across] of [
      ['top', '53.62', '53.61'],
      ['middle', '53,61', '53.61'],
      ['bottom', '53.60', '53.60'],
    ] as const) {
      await type(bench, `Bore along the pin, ${at}`, along);
      await type(bench, `Bore across the pin, ${at}`, across);
    }
    await type(bench, "Piston at the maker's height", '53.54', '53.54', '53.54');
    await stepIs(bench, 'Piston clearance', 'done');
    // Clearance followed from bore and piston by itself.
    await nextStep(bench, 'Ring end gap');
    await type(bench, 'End gap, top ring, above the exhaust', '0.012 in', '0.3', '0.9');
    await bench.page.getByRole('button', { name: '0.9 mm stands apart' }).click();
    await bench.page.getByRole('button', { name: 'Correct' }).click();
    await bench.page.getByLabel('It should be').fill('0.30');
    await bench.page.getByLabel('Reason for the correction').fill('wrong blade read');
    await bench.page.getByRole('button', { name: 'Keep the correction' }).click();
    await bench.page.getByRole('button', { name: /0\.30 mm corrected/ }).waitFor();
    expect(await result(bench, 'ring_end_gap:upper')).toBe('0.302 mm');
    // Undo and redo by keyboard, outside of a field.
    await bench.page.getByRole('heading', { name: 'Ring end gap', exact: true }).click();
    await bench.page.keyboard.press('Control+z');
    await bench.page.getByRole('button', { name: /0\.9 mm/ }).waitFor();
    await bench.page.keyboard.press('Control+Shift+z');
    await bench.page.getByRole('button', { name: /0\.30 mm corrected/ }).waitFor();
    await picture(bench, 'guided-ring-gap');
    faults.push(...(await accessibilityFaults(bench.page)));

    // No V-blocks here: the crank is skipped, with the reason.
    await nextStep(bench, 'Crank');
    await bench.page.getByRole('button', { name: 'Skip this step' }).click();
    await bench.page.getByLabel('Why it is skipped').fill('no V-blocks in this shop');
    await bench.page.getByRole('button', { name: 'Skip this step' }).click();
    await stepIs(bench, 'Crank', 'skipped');
    await bench.page.getByText('Kept: skipping Crank').waitFor();

    // The day ends: the host goes off and comes back, and everything is where it was.
    socket.close();
    await bench.page.close();
    await host.kill('SIGTERM');
    host = await startHostProcess(data, builtPage, ['--demo']);
    socket = await openSocket(host.url);
    const earlier = bench.errors;
    bench = await openPage(browser, host, mockUp.id);
    await go(bench, '');
    await bench.page.getByText('Stroke and rod', { exact: true }).waitFor();
    await picture(bench, 'guided-overview-next-day');
    faults.push(...(await accessibilityFaults(bench.page)));
    await bench.page.getByRole('link', { name: 'To this check' }).click();
    await type(bench, 'Stroke, TDC to BDC', '54.50', '54.52', '54.48');
    await nextStep(bench, 'Gasket thickness');
    await type(bench, 'Base gasket, crushed by one torque, place 1', '0.45');
    await type(bench, 'Base gasket, crushed by one torque, place 2', '0.46');
    await nextStep(bench, 'Torque');
    await type(bench, 'Barrel nuts', '22');

    // True TDC and the port events are read on the wheel by eye.
    await nextStep(bench, 'True TDC');
    await bench.page.getByRole('link', { name: 'Stamp the stop at the bench' }).click();
    await bench.page.getByRole('button', { name: 'Type a wheel reading' }).click();
    for (const [index, reading] of wheelReadings().entries()) {
      await bench.page.getByLabel('Wheel reading, degrees').fill(reading);
      await bench.page.getByRole('button', { name: 'Keep this reading' }).click();
      await bench.page.getByTestId('stamp').nth(index).waitFor();
    }
    await bench.page.getByRole('link', { name: 'Next step: Squish' }).click();
    await bench.page.getByRole('heading', { name: 'Squish', exact: true }).waitFor();
    await stepIs(bench, 'Port events, both directions', 'done');
    for (const [at, ...typed] of [
      ['exhaust side', '0.97', '0.96'],
      ['right, looking towards the exhaust', '0.95'],
      ['opposite the exhaust', '34.5 thou'],
      ['left, looking towards the exhaust', '0.95'],
    ] as const) {
      await type(bench, `Squish gap by solder, ${at}`, ...typed);
    }
    expect(await result(bench, 'squish_minimum')).toBe('0.876 mm');
    await picture(bench, 'guided-squish');
    await nextStep(bench, 'Head volume');
    await type(bench, 'Poured into the head on its plate', '11.3', '11.4', '11.35');
    await type(bench, "Volume of the plate's filling hole", '0.45');
    await nextStep(bench, 'Deck and port heights');
    await type(bench, 'Deck, minus where proud, drive side', '0.12', '-0.12');
    await bench.page.getByRole('button', { name: '-0.12 mm' }).click();
    await bench.page.getByRole('button', { name: 'Strike out' }).click();
    await bench.page.getByLabel('Reason for striking it out').fill('sign slipped in');
    await bench.page.getByRole('button', { name: 'Strike out' }).click();
    await type(bench, 'Deck, minus where proud, ignition side', '0.14');
    await nextStep(bench, 'Ignition');
    await type(bench, 'Firing point, piston before TDC', '1.48');
    await stepIs(bench, 'Ignition', 'done');
    expect(await result(bench, 'ignition_deg')).toMatch(/^17\.\d deg$/);
    // Where the number comes from.
    await bench.page.getByRole('button', { name: /Ignition, degrees before TDC .* where does it come from/ }).click();
    await bench.page.getByText('From these readings').waitFor();
    faults.push(...(await accessibilityFaults(bench.page)));
    await bench.page.keyboard.press('Escape');

    // Everything is done or skipped; another base gasket makes what was read on the stack void, and says so first.
    await go(bench, '');
    await bench.page.getByText('Every step is done or skipped').waitFor();
    await picture(bench, 'guided-overview-done');
    await bench.page.getByLabel(/Base gasket as fitted/).fill('0.72');
    await bench.page.getByText('This makes readings void.').waitFor();
    faults.push(...(await accessibilityFaults(bench.page)));
    await bench.page.getByRole('button', { name: 'It was changed: keep it, mark them void' }).click();
    await bench.page.getByRole('link', { name: /Squish void, read again/ }).waitFor();
    await picture(bench, 'guided-overview-void');
    faults.push(...(await accessibilityFaults(bench.page)));

    const inBook = () => socket.client.call('mockUp.whole', { id: mockUp.id });
    const statesInBook = async () =>
      Object.fromEntries(checkResults(await inBook()).steps.map(({ step, state }) => [step.id, state]));
    await expect.poll(statesInBook).toEqual({
      box_check: 'done',
      flatness: 'done',
      bore_and_piston: 'done',
      clearance: 'done',
      ring_end_gap: 'done',
      crank: 'skipped',
      stroke_and_rod: 'done',
      gaskets: 'void',
      torque: 'void',
      true_tdc: 'void',
      port_events: 'void',
      squish: 'void',
      head_volume: 'done',
      deck_and_heights: 'void',
      ignition: 'void',
    });
    const whole = await inBook();
    expect(whole.mockUp.baseGasketMm).toBe(0.72);
    // Nothing was lost on the way: every typed reading, the struck and the corrected one too, with who took it.
    const typedBy = whole.readings.filter(({ measuredBy }) => measuredBy === 'R. Holt');
    expect(typedBy.length).toBeGreaterThan(15);
    expect(whole.readings.some(({ supersedesReason }) => supersedesReason === 'wrong blade read')).toBe(true);
    expect(whole.marks.some(({ mark, reason }) => mark === 'struck' && reason === 'sign slipped in')).toBe(true);
    expect(faults).toEqual([]);
    expect([...earlier, ...bench.errors]).toEqual([]);
    socket.close();
  } finally {
    await browser.close();
    await host.kill('SIGTERM');
  }
}, 180_000);
