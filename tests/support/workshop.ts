import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { BrowserContext, Page } from 'playwright-core';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import { type HostProcess, openSocket, type SocketClient, startHostProcess } from './loopback.ts';
import { PlayedCrank } from './played-crank.ts';
import { makeSessionMockUp } from './session-bench.ts';
import { launchWithCamera } from './session-camera.ts';
import { temporaryFolder } from './temporary-folder.ts';

const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
const shots = process.env['PORTSIGHT_SCREENSHOTS'];
/** The stretch in which the video turns the crank quickly and farthest, backwards through 297 degrees. */
export const quickTurn = { from: 142, to: 236 } as const;
/** A dwell is come on to from this many frames before it, and held this many frames after its beginning. */
const [comesFrom, heldAfter] = [14, 8];

export const heldAt = (start: number): number => start + heldAfter;

/** One browser on the book: a day at the bench. */
export interface Day {
  readonly page: Page;
  readonly crank: PlayedCrank;
  readonly host: SocketClient;
  readonly errors: readonly string[];
  goTo(place: 'set-up' | 'bench'): Promise<void>;
  /** Comes on to a dwell, holds the crank there and stamps, as the n-th stamp of the list. */
  stampAt(dwellStart: number, stampsBefore: number): Promise<void>;
  /** Waits until the model of the turn is made; shown on the set-up screen. */
  turnIsComplete(): Promise<void>;
  whole(): Promise<MockUpWhole>;
  shot(name: string): Promise<void>;
  end(): Promise<void>;
}

export class Workshop {
  readonly #folder = temporaryFolder();
  #mockUpId: string | null = null;
  #days = 0;

  constructor() {
    mkdirSync(join(this.#folder, 'data'));
  }

  /** A host of its own on the same book, and a browser that knows nothing of the day before. */
  async newDay(startFrame: number): Promise<Day> {
    this.#days += 1;
    const process0: HostProcess = await startHostProcess(join(this.#folder, 'data'), builtPage);
    const browser: BrowserContext = await launchWithCamera(join(this.#folder, `profile-${this.#days}`), null);
    const host = await openSocket(process0.url);
    this.#mockUpId ??= await makeSessionMockUp(host);
    const mockUpId = this.#mockUpId;
    const crankOf = await PlayedCrank.prepare(browser, startFrame);
    const page = await browser.newPage();
    page.setDefaultTimeout(30_000);
    const errors: string[] = [];
    page.on('pageerror', (error) => errors.push(error.message));
    await page.goto(process0.url);
    await page.waitForSelector('h1');
    const crank = crankOf(page);
    return {
      page,
      crank,
      host,
      errors,
      async goTo(place) {
        await page.evaluate((hash) => {
          window.location.hash = hash;
        }, `#/mock-up/${mockUpId}/${place}`);
        await page.getByRole('heading', { name: place === 'bench' ? 'Bench' : 'Set-up' }).waitFor();
      },
      async stampAt(dwellStart, stampsBefore) {
        const frame = heldAt(dwellStart);
        await crank.jumpTo(dwellStart - comesFrom);
        await crank.turnTo(frame);
        // As a person does: look whether the crank is read as held, press, look whether it was taken, press again.
        for (let press = 1; ; press += 1) {
          await page.getByTestId('state-word').getByText('Steady').waitFor();
          await page.waitForTimeout(700);
          await page.keyboard.press('Space');
          const taken = page.getByTestId('stamp').nth(stampsBefore);
          await taken.waitFor({ timeout: 5000 }).catch(() => undefined);
          // It is shown at once, and proven after that.
          await page.waitForTimeout(1000);
          if (await taken.isVisible()) break;
          const said = (await page.locator('.notice').allTextContents()).join(' | ');
          console.log(`not taken at frame ${frame}: ${said}`);
          if (press === 3) throw new Error(`The crank was held at frame ${frame}, and no stamp was taken: ${said}`);
        }
      },
      async turnIsComplete() {
        await page.locator('[data-testid="turn"][data-complete="true"]').waitFor({ timeout: 60_000 });
      },
      whole: () => host.client.call('mockUp.whole', { id: mockUpId }),
      async shot(name) {
        if (shots !== undefined) await page.screenshot({ path: join(shots, `${name}.png`), fullPage: true });
      },
      async end() {
        await browser.close();
        host.close();
        await process0.kill('SIGTERM');
      },
    };
  }
}

/** From the empty set-up screen, through one turn of the crank, to the bench with the crank before its first contact. */
export async function setUpWithTurn(day: Day): Promise<void> {
  await day.goTo('set-up');
  await day.page.getByRole('button', { name: 'Open the camera' }).click();
  await day.page.getByRole('button', { name: 'Forwards is clockwise' }).click({ timeout: 60_000 });
  await day.crank.turnTo(quickTurn.to);
  await day.turnIsComplete();
  await day.goTo('bench');
}
