import type { AcceptedStamp } from './messages.ts';

export interface PendingStamp {
  readonly stampId: string;
  readonly atMs: number;
  readonly angle: AcceptedStamp;
  /** When its picture was taken; null where none is kept. */
  readonly pictureMs: number | null;
}

/** A stamp waits this long for the frames that follow its signal. */
const refineAfterMs = 600;

/** Stamps whose refined value is still to come. */
export class PendingStamps {
  #waiting: PendingStamp[] = [];

  add(stamp: PendingStamp): void {
    this.#waiting.push(stamp);
  }

  /** Takes out those whose following frames have come. */
  refinable(nowMs: number): PendingStamp[] {
    const due = this.#waiting.filter((stamp) => nowMs >= stamp.atMs + refineAfterMs);
    if (due.length > 0) this.#waiting = this.#waiting.filter((stamp) => !due.includes(stamp));
    return due;
  }

  clear(): void {
    this.#waiting = [];
  }
}
