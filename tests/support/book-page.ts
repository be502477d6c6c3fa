import { existsSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { accessibilityFaults } from './accessibility.ts';
import { type HostProcess, startHostProcess } from './loopback.ts';
import { chromiumPath } from './session-camera.ts';
import { temporaryFolder } from './temporary-folder.ts';

export const builtPage = join(import.meta.dirname, '..', '..', 'out', 'renderer');
export const isPageBuilt = existsSync(join(builtPage, 'index.html'));

/** A real host with its page in Chromium, and what went wrong on the way. */
export interface BookPage {
  readonly page: Page;
  readonly host: HostProcess;
  readonly dataFolder: string;
  /** Faults of accessibility and errors of the page, each with the screen where it was found. */
  readonly faults: string[];
  /** Goes to an address and waits for its heading. */
  goTo(address: string, heading: string | RegExp): Promise<void>;
  /** Looks for faults of accessibility, and keeps a picture where `PORTSIGHT_SCREENSHOTS` names a folder. */
  look(name: string): Promise<void>;
  close(): Promise<void>;
}

export interface BookPageOptions {
  readonly args?: string[];
  /** Folder with a book already in it. */
  readonly dataFolder?: string;
  /** Account under which the host runs; only root may choose one. */
  readonly uid?: number;
  /** Variables of the environment in which the host runs. */
  readonly environment?: Readonly<Record<string, string>>;
}

export async function openBookPage({
  args = [],
  dataFolder,
  uid,
  environment = {},
}: BookPageOptions = {}): Promise<BookPage> {
  const folder = dataFolder ?? join(temporaryFolder(), 'data');
  mkdirSync(folder, { recursive: true });
  const host = await startHostProcess(folder, builtPage, args, { uid, environment });
  let browser: Browser | null = null;
  try {
    browser = await chromium.launch({ executablePath: chromiumPath, args: ['--no-sandbox', '--disable-gpu'] });
    const context = await browser.newContext({ viewport: { width: 1366, height: 768 }, acceptDownloads: true });
    const page = await context.newPage();
    page.setDefaultTimeout(15_000);
    const faults: string[] = [];
    page.on('pageerror', (error) => faults.push(`error: ${error.message}`));
    await page.goto(host.url);
    await page.getByRole('heading', { level: 1 }).first().waitFor();
    return {
      page,
      host,
      dataFolder: folder,
      faults,
      async goTo(address, heading) {
        await page.evaluate(`location.hash = ${JSON.stringify(address)}`);
        await page.getByRole('heading', { name: heading }).first().waitFor();
      },
      async look(name) {
        faults.push(...(await accessibilityFaults(page)).map((fault) => `${name}: ${fault}`));
        const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
        if (pictures !== undefined && pictures !== '') {
          mkdirSync(pictures, { recursive: true });
          await page.screenshot({ path: join(pictures, `book-${name}.png`) });
        }
      },
      async close() {
        await context.browser()?.close();
        await host.kill('SIGTERM');
      },
    };
  } catch (error) {
    await browser?.close();
    await host.kill('SIGKILL');
    throw error;
  }
}
