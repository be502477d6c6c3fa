import { readFileSync } from 'node:fs';
import type { BrowserContext, Page } from 'playwright-core';
import { sharedPath } from './shared-fixtures.ts';
import {
  type CameraKnock,
  playPictures,
  type StandInControl,
  servePictures,
  standInCameras,
} from './stand-in-camera.ts';
import { type Watched, watchWheelWorker } from './worker-watch.ts';

/** The frames of a Motion-JPEG file, one JPEG each. */
function jpegFrames(path: string): Buffer[] {
  const all = readFileSync(path);
  const begin = Buffer.from([0xff, 0xd8, 0xff]);
  const frames: Buffer[] = [];
  let at = all.indexOf(begin);
  while (at >= 0) {
    const next = all.indexOf(begin, at + 3);
    frames.push(all.subarray(at, next < 0 ? all.length : next));
    at = next;
  }
  return frames;
}

const nameOf = (frame: number): string => `session-${String(frame).padStart(4, '0')}.jpg`;
const addressOf = (frame: number): string => `/stand-in-pictures/${nameOf(frame)}`;

/**
 * A camera that shows the session video, whose crank the test turns: on and back, and held for as long as it likes. It
 * can be knocked.
 */
export class PlayedCrank {
  readonly #page: Page;
  #frame: number;

  private constructor(page: Page, frame: number) {
    this.#page = page;
    this.#frame = frame;
  }

  /** @param startFrame shown first in every page that is opened from now on */
  static async prepare(browser: BrowserContext, startFrame: number): Promise<(page: Page) => PlayedCrank> {
    const frames = jpegFrames(sharedPath('fixtures', 'session', 'session.mjpeg'));
    await servePictures(browser, Object.fromEntries(frames.map((bytes, index) => [nameOf(index), bytes])));
    await watchWheelWorker(browser);
    await standInCameras(browser, addressOf(startFrame), ['Bench camera']);
    return (page) => new PlayedCrank(page, startFrame);
  }

  get frame(): number {
    return this.#frame;
  }

  /** Turns the crank as the video does, forwards or backwards through it, to a frame, and holds it there. */
  async turnTo(frame: number): Promise<void> {
    const from = this.#frame;
    const step = frame < from ? -1 : 1;
    const addresses = Array.from({ length: Math.abs(frame - from) }, (_, index) =>
      addressOf(from + step * (index + 1)),
    );
    await this.#page.evaluate(async (pictures) => {
      const control = (window as unknown as { standInCameras: StandInControl }).standInCameras;
      const { frames } = (window as unknown as { heardFromWorker: Watched }).heardFromWorker;
      const wait = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));
      for (const picture of pictures) {
        const began = performance.now();
        control.picture = picture;
        while (control.drawn !== picture) await wait(5);
        // A hand turns no faster than the bench follows: on a slow host the crank takes longer.
        const heard = frames.length;
        while (frames.length === heard && performance.now() - began < 1000) await wait(5);
        await wait(Math.max(0, 67 - (performance.now() - began)));
      }
    }, addresses);
    this.#frame = frame;
  }

  /** Turns the crank as the video does and as fast, one picture of it at each of the camera's, whoever follows or not. */
  async turnEvenlyTo(frame: number): Promise<void> {
    const frames = Array.from({ length: frame - this.#frame }, (_, index) => this.#frame + index + 1);
    await playPictures(this.#page, frames.map(addressOf));
    this.#frame = frame;
  }

  /** Waits until the crank, turned meanwhile, comes through this frame. */
  async comesThrough(frame: number): Promise<void> {
    await this.#page.waitForFunction(
      (picture) => (window as unknown as { standInCameras: StandInControl }).standInCameras.drawn === picture,
      addressOf(frame),
      { polling: 5 },
    );
  }

  /** The crank stands at another frame at once. */
  async jumpTo(frame: number): Promise<void> {
    this.#frame = frame;
    await this.#page.evaluate(async (picture) => {
      const control = (window as unknown as { standInCameras: StandInControl }).standInCameras;
      control.picture = picture;
      while (control.drawn !== picture) await new Promise((resolve) => setTimeout(resolve, 5));
    }, addressOf(frame));
  }

  /** The page was loaded anew: its camera begins with the first frame, and is put back to where the crank stands. */
  async afterReload(knock: CameraKnock | null = null): Promise<void> {
    await this.#page.evaluate(
      ([picture, how]) => {
        const control = (window as unknown as { standInCameras: StandInControl }).standInCameras;
        control.picture = picture;
        control.knock = how;
      },
      [addressOf(this.#frame), knock] as const,
    );
  }

  async knock(how: CameraKnock): Promise<void> {
    await this.afterReload(how);
  }
}
