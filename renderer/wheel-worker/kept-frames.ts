import type { GreyPicture } from '../../core/wheel/types.ts';
import { type FrameBytes, greyOfBytes, takeBytes } from './luma.ts';

/** A frame in memory, with the time at which it was seen. */
export interface KeptFrame extends FrameBytes {
  timeMs: number;
  /** Grey picture of these bytes; valid until the frame is overwritten. */
  grey: GreyPicture;
}

/** Frames are kept for about this long, so that a stamp finds the one up to its signal. */
const keptMs = 900;
const keptBytesMost = 80_000_000;

/** The latest frames; buffers are used again, so nothing is allocated while the size stays the same. */
export class KeptFrames {
  #frames: KeptFrame[] = [];
  #spare: KeptFrame[] = [];

  get latest(): KeptFrame | null {
    return this.#frames.at(-1) ?? null;
  }

  /** Copies a frame in; the frame itself is left to the caller to close. */
  async add(frame: VideoFrame, timeMs: number, isMirrored: boolean): Promise<KeptFrame> {
    const taken = await takeBytes(frame, isMirrored, this.#spare.pop() ?? null);
    const kept: KeptFrame = { ...taken, timeMs, grey: greyOfBytes(taken) };
    this.#frames.push(kept);
    const most = Math.max(3, Math.floor(keptBytesMost / kept.bytes.length));
    while (
      this.#frames.length > 3 &&
      (this.#frames.length > most || (this.#frames[0]?.timeMs ?? timeMs) < timeMs - keptMs)
    ) {
      const oldest = this.#frames.shift();
      if (oldest !== undefined && this.#spare.length < 2) this.#spare.push(oldest);
    }
    return kept;
  }

  /** The newest frame that isn't later than the moment asked for, else the oldest kept. */
  upTo(atMs: number): KeptFrame | null {
    return this.#frames.findLast((frame) => frame.timeMs <= atMs + 1) ?? this.#frames[0] ?? null;
  }

  /** The oldest frame kept that is later than the moment asked for. */
  after(atMs: number): KeptFrame | null {
    return this.#frames.find((frame) => frame.timeMs > atMs + 1) ?? null;
  }

  clear(): void {
    this.#frames = [];
    this.#spare = [];
  }
}
