import type { BrowserContext, Page } from 'playwright-core';
import type { FromWorker } from '../../renderer/wheel-worker/messages.ts';

/** One frame as the wheel worker told the page of it, with the time at which the page heard it. */
export interface WatchedFrame {
  readonly heardAtMs: number;
  readonly capturedAtMs: number;
  readonly rotationDeg: number | null;
  readonly isProvisional: boolean;
  readonly motion: string;
  readonly reason: string | null;
  readonly readMs: number;
  readonly copyMs: number;
  readonly tapeMs: number;
  readonly framesDropped: number;
}

export interface Watched {
  readonly frames: readonly WatchedFrame[];
  /** Every other message, by kind and time. */
  readonly others: readonly { readonly kind: FromWorker['kind']; readonly heardAtMs: number }[];
}

/** Listens to what the page's wheel worker says, from outside: the program itself isn't changed for it. */
export async function watchWheelWorker(browser: BrowserContext): Promise<void> {
  await browser.addInitScript(() => {
    const heard = { frames: [] as unknown[], others: [] as unknown[] };
    (window as unknown as { heardFromWorker: unknown }).heardFromWorker = heard;
    const RealWorker = window.Worker;
    window.Worker = class extends RealWorker {
      constructor(address: string | URL, options?: WorkerOptions) {
        super(address, options);
        if (options?.name !== 'wheel-worker') return;
        this.addEventListener('message', ({ data }: MessageEvent<FromWorker>) => {
          const heardAtMs = performance.timeOrigin + performance.now();
          if (data.kind !== 'frame_read') heard.others.push({ kind: data.kind, heardAtMs });
          else {
            const { reading, steps, capturedAtMs, motion, framesDropped } = data;
            heard.frames.push({
              heardAtMs,
              capturedAtMs,
              rotationDeg: reading?.rotationDeg ?? null,
              isProvisional: reading?.provisional ?? true,
              reason: reading?.reason ?? null,
              motion,
              framesDropped,
              ...steps,
            });
          }
        });
      }
    };
  });
}

export function watchedUntilNow(page: Page): Promise<Watched> {
  return page.evaluate(() => (window as unknown as { heardFromWorker: Watched }).heardFromWorker);
}
