import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { afterEach } from 'vitest';
import type { FromWorker, ToWorker } from '../../renderer/wheel-worker/messages.ts';

/**
 * Says what the pages of a browser test showed, were told and did, where that test fails: a fault that comes once in a
 * hundred runs can't be waited for again. It only listens, so that the pages stay as they are.
 */

/** Something that happened in a page, and how often in a row. */
interface DiaryEntry {
  readonly atMs: number;
  readonly what: string;
  times: number;
}

/** What a page looked like at one moment. */
interface PageReport {
  readonly title: string;
  readonly lines: readonly string[];
  /** Null where no folder for pictures is named. */
  readonly picture: Buffer | null;
}

interface WatchedBrowser {
  readonly context: BrowserContext;
  /** Errors that its pages told of, with the page's address. */
  readonly errors: string[];
  /** What its pages looked like when it was closed; null while it is open. */
  closing: readonly PageReport[] | null;
}

const pictures = process.env['PORTSIGHT_SCREENSHOTS'];
const textMost = 6000;
const watched = new Set<WatchedBrowser>();
let picturesKept = 0;

/** Keeps a diary in the page: presses and where they went, what was said to and by the worker, standstills. */
function keepDiary(): void {
  const entriesMost = 150;
  const standstillMs = 400;
  const diary: DiaryEntry[] = [];
  const note = (what: string): void => {
    const last = diary.at(-1);
    if (last?.what === what) last.times += 1;
    else diary.push({ atMs: Date.now(), what, times: 1 });
    if (diary.length > entriesMost) diary.shift();
  };
  (window as unknown as { diary: unknown }).diary = diary;
  /** Come all the time: they would push everything else out. */
  const usual = ['camera_checked', 'turn', 'finding'];
  const nameOf = (target: EventTarget | null): string => {
    if (!(target instanceof Element)) return String(target);
    const { testid } = target instanceof HTMLElement || target instanceof SVGElement ? target.dataset : {};
    const name = target.getAttribute('aria-label') ?? target.textContent ?? '';
    return `${target.tagName.toLowerCase()}${testid === undefined ? '' : `[${testid}]`} "${name.trim().slice(0, 40)}"`;
  };
  for (const kind of ['pointerdown', 'pointerup', 'click', 'keydown'] as const) {
    window.addEventListener(kind, (event) => note(`${kind} on ${nameOf(event.target)}`), true);
  }
  window.addEventListener('hashchange', () => note(`at ${location.hash}`));
  let lookedMs = performance.now();
  setInterval(() => {
    const nowMs = performance.now();
    if (nowMs - lookedMs > standstillMs) note(`stood still for ${Math.round(nowMs - lookedMs)} ms`);
    lookedMs = nowMs;
  }, 100);
  const RealWorker = window.Worker;
  window.Worker = class extends RealWorker {
    readonly #isWatched: boolean;

    constructor(address: string | URL, options?: WorkerOptions) {
      super(address, options);
      this.#isWatched = options?.name === 'wheel-worker';
      if (!this.#isWatched) return;
      note('worker started');
      this.addEventListener('error', (event) => note(`worker failed: ${event.message}`));
      this.addEventListener('message', ({ data }: MessageEvent<FromWorker>) => {
        if (usual.includes(data.kind)) return;
        if (data.kind !== 'frame_read') note(`heard ${data.kind} ${'reason' in data ? data.reason : ''}`);
        else note(`frame: ${data.reading === null ? 'not set up' : (data.reading.reason ?? 'read')}, ${data.motion}`);
      });
    }

    override postMessage(message: ToWorker, how?: Transferable[] | StructuredSerializeOptions): void {
      if (this.#isWatched && message.kind !== 'frame') note(`told ${message.kind}`);
      super.postMessage(message, Array.isArray(how) ? { transfer: how } : how);
    }
  };
}

async function pageReport(page: Page): Promise<PageReport> {
  const title = page.url();
  try {
    const told = page.evaluate(() => ({
      nowMs: Date.now(),
      diary: (window as unknown as { diary?: DiaryEntry[] }).diary ?? [],
    }));
    const hangs = new Promise<never>((_, reject) => {
      setTimeout(() => reject(new Error('the page does not answer')), 5000).unref();
    });
    const { nowMs, diary } = await Promise.race([told, hangs]);
    const shown = await page.locator('main').ariaSnapshot({ timeout: 5000 });
    const picture = pictures === undefined ? null : await page.screenshot({ timeout: 5000 });
    const happened = diary.map(
      ({ atMs, what, times }) => `${((atMs - nowMs) / 1000).toFixed(2)} s: ${what}${times > 1 ? ` (${times})` : ''}`,
    );
    return { title, lines: [...happened, ...shown.slice(0, textMost).split('\n')], picture };
  } catch (error) {
    return { title, lines: [String(error)], picture: null };
  }
}

function reportsOf(context: BrowserContext): Promise<PageReport[]> {
  return Promise.all(
    context
      .pages()
      .filter((page) => page.url() !== 'about:blank')
      .map((page) => pageReport(page)),
  );
}

/** @param browser what the test closes: the context itself, or the browser that it belongs to */
async function watch(context: BrowserContext, browser: Pick<BrowserContext | Browser, 'close'>): Promise<void> {
  const one: WatchedBrowser = { context, errors: [], closing: null };
  watched.add(one);
  context.on('weberror', (error) => one.errors.push(error.error().message));
  context.on('console', (message) => {
    if (message.type() === 'error') one.errors.push(message.text());
  });
  const close = browser.close.bind(browser);
  browser.close = async (options) => {
    one.closing = await reportsOf(context);
    await close(options);
  };
  await context.addInitScript(keepDiary);
}

const launchPersistentContext = chromium.launchPersistentContext.bind(chromium);
chromium.launchPersistentContext = async (profile, options) => {
  const context = await launchPersistentContext(profile, options);
  await watch(context, context);
  return context;
};

const launch = chromium.launch.bind(chromium);
chromium.launch = async (options) => {
  const browser = await launch(options);
  const newContext = browser.newContext.bind(browser);
  browser.newContext = async (how) => {
    const context = await newContext(how);
    await watch(context, browser);
    return context;
  };
  return browser;
};

function tell(taskName: string, errors: readonly string[], { title, lines, picture }: PageReport): void {
  console.log([`What ${title} did and showed when "${taskName}" failed:`, ...errors, ...lines].join('\n  '));
  if (pictures === undefined || picture === null) return;
  mkdirSync(pictures, { recursive: true });
  picturesKept += 1;
  const name = `failed ${taskName.replaceAll(/\W+/g, ' ').slice(0, 80)} ${picturesKept}.png`;
  writeFileSync(join(pictures, name), picture);
}

afterEach(async ({ task }) => {
  for (const one of watched) {
    if (task.result?.state === 'fail') {
      for (const report of one.closing ?? (await reportsOf(one.context))) tell(task.name, one.errors, report);
    }
    if (one.closing !== null) watched.delete(one);
  }
});
