import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { EnvironmentError } from '../../core/errors.ts';
import { sandboxSwitches } from './browser.ts';
import { sheetPolicy } from './policy.ts';

const longestPrintMs = 60_000;

export interface PrinterOptions {
  /** Path of Chromium, Chrome or Edge. */
  readonly browser: string;
  readonly noBrowserSandbox: boolean;
  log(sentence: string): void;
}

/**
 * Prints kept sheets to PDF through a run of the system's browser without a window. Each run has a profile of its own
 * that is removed afterwards; the sheet can't run or load anything. The page size stands in the sheet's own styles.
 */
export function createPdfPrinter(options: PrinterOptions): (html: string) => Promise<Uint8Array> {
  let previous: Promise<unknown> = Promise.resolve();
  // One at a time: a browser for each click would bring a small computer to its knees.
  return (html) => {
    const made = previous.then(
      () => print(html, options),
      () => print(html, options),
    );
    previous = made;
    return made;
  };
}

async function print(html: string, { browser, noBrowserSandbox, log }: PrinterOptions): Promise<Uint8Array> {
  const folder = await mkdtemp(join(tmpdir(), 'portsight-print-'));
  try {
    const page = join(folder, 'sheet.html');
    const target = join(folder, 'sheet.pdf');
    // Put first, the policy holds for all that follows; the parser merges the sheet's own head into this one.
    await writeFile(
      page,
      `<!doctype html><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="${sheetPolicy}">${html}`,
    );
    await run(browser, [
      '--headless',
      ...sandboxSwitches(noBrowserSandbox),
      '--disable-gpu',
      '--no-first-run',
      '--disable-extensions',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      `--user-data-dir=${join(folder, 'profile')}`,
      '--no-pdf-header-footer',
      `--print-to-pdf=${target}`,
      pathToFileURL(page).href,
    ]);
    return await readFile(target);
  } catch (error) {
    log(`printing failed: ${error instanceof Error ? error.message : String(error)}`);
    throw new EnvironmentError(
      'pdf_failed',
      'The browser could not make the PDF.',
      "Use the browser's own print dialog and choose to save as PDF; the sheet is kept.",
      { cause: error },
    );
  } finally {
    await rm(folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

function run(program: string, args: string[]): Promise<void> {
  return new Promise((resolve, reject) => {
    execFile(program, args, { timeout: longestPrintMs, killSignal: 'SIGKILL', maxBuffer: 10_000_000 }, (error) => {
      if (error === null) resolve();
      else reject(error);
    });
  });
}
