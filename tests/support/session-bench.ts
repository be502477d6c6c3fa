import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { BrowserContext, Locator, Page } from 'playwright-core';
import { expect } from 'vitest';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { Signal } from '../../core/contract/readings.ts';
import { joinStamps } from '../../core/mockup/stamps.ts';
import { wrapSigned } from '../../core/units.ts';
import { openSocket, type SocketClient, startHostProcess } from './loopback.ts';
import { launchWithCamera, makeSessionCamera, sessionDwells, shownFrame, untilFrame } from './session-camera.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');

export interface SessionBench {
  readonly page: Page;
  readonly host: SocketClient;
  readonly mockUpId: string;
  readonly errors: readonly string[];
  /** Goes to a place of the program as its links do. */
  goTo(hash: string): Promise<void>;
  whole(): Promise<MockUpWhole>;
}

/** A kart engine with the ports of the session, and a page whose camera will play the session. */
export async function withSessionBench(
  prepare: (browser: BrowserContext) => Promise<void>,
  work: (bench: SessionBench) => Promise<void>,
): Promise<void> {
  // Benchmarks use this too: they have no test that would clear up after them.
  const folder = mkdtempSync(join(tmpdir(), 'portsight-bench-'));
  mkdirSync(join(folder, 'data'));
  const camera = process.env['PORTSIGHT_CAMERA_FILE'] ?? makeSessionCamera(folder);
  const process0 = await startHostProcess(join(folder, 'data'), builtPage);
  const browser = await launchWithCamera(join(folder, 'profile'), camera);
  try {
    const host = await openSocket(process0.url);
    const mockUpId = await makeSessionMockUp(host);
    await prepare(browser);
    const page = await browser.newPage();
    page.setDefaultTimeout(20_000);
    const errors: string[] = [];
    page.on('pageerror', (error) => errors.push(error.message));
    await page.goto(process0.url);
    await page.waitForSelector('h1');
    await work({
      page,
      host,
      mockUpId,
      errors,
      async goTo(hash) {
        await page.evaluate((next) => {
          window.location.hash = next;
        }, hash);
      },
      whole: () => host.client.call('mockUp.whole', { id: mockUpId }),
    });
    host.socket.close();
  } finally {
    await browser.close();
    await process0.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
}

/** A kart engine with the ports of the session. */
export async function makeSessionMockUp({ client }: SocketClient): Promise<string> {
  const engine = await client.call('part.create', {
    kind: 'engine',
    name: 'Kart engine 123 cc',
    data: { strokeMm: 54.5, rodLengthMm: 110 },
  });
  const barrel = await client.call('part.create', {
    kind: 'barrel',
    name: 'Barrel D',
    data: {
      boreMm: 53.6,
      ports: [
        { portId: 'exhaust', kind: 'exhaust', label: 'Exhaust' },
        { portId: 'transfers', kind: 'transfer_main', label: 'Transfers', windowCount: 2, side: 'both' },
      ],
    },
  });
  const build = await client.call('build.create', { title: 'Hire kart 7', engineId: engine.id });
  const mockUp = await client.call('mockUp.create', {
    buildId: build.id,
    name: 'First, 0.45 base gasket',
    engineId: engine.id,
    barrelId: barrel.id,
  });
  return mockUp.id;
}

/** Time to go from the set-up to the bench, frames. */
const leadFrames = 45;

/**
 * From the empty set-up screen to the bench, before the first dwell of the session begins. On a busy computer the set-up
 * may take until the session is under way: then its next playing is waited for.
 */
export async function setUpAndGoToBench({ page, mockUpId, goTo }: SessionBench): Promise<void> {
  await goTo(`#/mock-up/${mockUpId}/set-up`);
  await page.getByRole('button', { name: 'Open the camera' }).click();
  await page.getByRole('button', { name: 'Forwards is clockwise' }).click({ timeout: 60_000 });
  const first = sessionDwells().find(({ kind }) => kind !== 'reference');
  if ((await shownFrame(page)) > (first?.start_frame ?? 0) - leadFrames) await untilFrame(page, 0, leadFrames);
  await page.getByRole('link', { name: 'To the bench' }).click();
  await page.getByTestId('angle-figure').waitFor();
}

/** Presses closer together than half a second would mean "take back". */
const betweenPressesMs = 700;

/** Stamps that are kept, each with its picture. */
export function keptStamps(page: Page): Locator {
  return page.getByTestId('stamp').filter({ has: page.getByRole('button', { name: /^Open the picture/ }) });
}

/** Presses the stamp key once and waits for the answer. @returns whether this many stamps are kept now */
export async function pressStampKey(page: Page, count: number): Promise<boolean> {
  const kept = keptStamps(page).nth(count - 1);
  await page.keyboard.press('Space');
  const answered = kept.or(page.getByText(/^Not stamped/)).first();
  await Promise.all([answered.waitFor(), page.waitForTimeout(betweenPressesMs)]);
  return kept.isVisible();
}

/** Presses until this many stamps are kept: as a person does, once more where the wheel was just moving too fast. */
export async function stampByKey(page: Page, count: number): Promise<void> {
  let isTaken = false;
  for (let tries = 0; tries < 10 && !isTaken; tries += 1) isTaken = await pressStampKey(page, count);
  expect(isTaken).toBe(true);
  expect(await page.getByTestId('stamp').count()).toBe(count);
}

const quietMs = 2000;

/** The mock-up once nothing more comes to the book: refined and re-read values follow their stamps. */
export async function quietMockUp(whole: () => Promise<MockUpWhole>): Promise<MockUpWhole> {
  let last = await whole();
  let sinceMs = Date.now();
  while (Date.now() - sinceMs < quietMs) {
    await new Promise((resolve) => setTimeout(resolve, 250));
    const next = await whole();
    if (next.readings.length !== last.readings.length || next.marks.length !== last.marks.length) sinceMs = Date.now();
    last = next;
  }
  return last;
}

/** Every dwell of the session stamped once, in its order, with its way round, within 0.05 degrees, and nothing else. */
export function expectWholeSession(whole: MockUpWhole, signals: readonly Signal[]): void {
  const dwells = sessionDwells().filter(({ kind }) => kind !== 'reference');
  const stamps = joinStamps(whole.readings, whole.marks);
  const said = stamps.map(({ current: { subject } }) =>
    subject.what === 'port_edge'
      ? `${subject.portId} ${subject.edge}, ${subject.turning}`
      : 'turning' in subject
        ? `stop, ${subject.turning}`
        : '',
  );
  expect(said).toEqual(
    dwells.map(({ name, direction }) => {
      const turning = direction === 'forward' ? 'forwards' : 'backwards';
      if (name.startsWith('stop')) return `stop, ${turning}`;
      const [port = '', edge = ''] = name.split('_');
      return `${port} ${edge.replace(/(open|close)$/, '$1s')}, ${turning}`;
    }),
  );
  expect(stamps.filter(({ struck, doubtful }) => struck || doubtful)).toEqual([]);
  expect(stamps.map(({ root }) => root.signal)).toEqual(signals);
  const rotations = stamps.map(({ current: { subject } }) =>
    subject.what !== 'quantity' && subject.angle.by === 'camera' ? subject.angle.rotationDeg : Number.NaN,
  );
  const [first = Number.NaN] = rotations;
  const firstTrue = dwells[0]?.rotation_deg ?? Number.NaN;
  const missesDeg = dwells.map(({ rotation_deg }, index) =>
    Math.abs(wrapSigned((rotations[index] ?? Number.NaN) - first - (rotation_deg - firstTrue))),
  );
  console.log(`misses: ${missesDeg.map((one) => one.toFixed(4)).join(' ')} deg`);
  for (const [index, missDeg] of missesDeg.entries()) {
    expect(missDeg, `${dwells[index]?.name}, ${dwells[index]?.direction}`).toBeLessThan(0.05);
  }
  for (const { pictureId } of whole.readings) expect(pictureId, 'every stamp keeps its picture').not.toBeNull();
}
