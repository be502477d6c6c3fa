import type { BrowserContext, Page } from 'playwright-core';

interface HeardTone {
  readonly atMs: number;
  readonly hz: readonly number[];
}
interface WordChange {
  readonly atMs: number;
  readonly word: string;
}
type WithTones = typeof globalThis & { heardTones: { atMs: number; hz: number[] }[]; stateWords: WordChange[] };

/** Writes down every tone that the page sounds, note by note, beside the course of the state word; sound goes on as ever. */
export async function listenToTones(browser: BrowserContext): Promise<void> {
  await browser.addInitScript(() => {
    const heard: { atMs: number; hz: number[] }[] = [];
    const words: { atMs: number; word: string }[] = [];
    Object.assign(window, { heardTones: heard, stateWords: words });
    let noteEndsS = 0;
    const start = OscillatorNode.prototype.start;
    OscillatorNode.prototype.start = function (this: OscillatorNode, atS = 0) {
      const last = heard.at(-1);
      // A note that begins where the one before ends belongs to the same tone.
      if (last !== undefined && Math.abs(atS - noteEndsS) < 1e-6) last.hz.push(this.frequency.value);
      else heard.push({ atMs: performance.now(), hz: [this.frequency.value] });
      start.call(this, atS);
    };
    const stop = OscillatorNode.prototype.stop;
    OscillatorNode.prototype.stop = function (this: OscillatorNode, atS = 0) {
      noteEndsS = atS;
      stop.call(this, atS);
    };
    const follow = (): void => {
      const word = document.querySelector('[data-testid="state-word"] strong')?.textContent ?? '';
      if (word !== '' && word !== words.at(-1)?.word) words.push({ atMs: performance.now(), word });
    };
    new MutationObserver(follow).observe(document, { subtree: true, childList: true, characterData: true });
  });
}

export const tonesSoFar = (page: Page): Promise<HeardTone[]> =>
  page.evaluate(() => (window as unknown as WithTones).heardTones);

/** The course of the state word on the bench, one entry a change. */
export const stateWordsSoFar = (page: Page): Promise<WordChange[]> =>
  page.evaluate(() => (window as unknown as WithTones).stateWords);
