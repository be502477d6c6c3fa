/**
 * Turns the time stamps of camera frames, which count from an origin that the browser keeps to itself, into the clock
 * of the page. The origin is learned from the quickest arrival: a frame can be late, never early.
 */
export class FrameTimes {
  #offsetMs = Infinity;
  #lastStampMs = -Infinity;
  #intervals: number[] = [];
  #dropped = 0;

  /** Frames that the camera took and that never arrived here. */
  get dropped(): number {
    return this.#dropped;
  }

  /** Median time between frames, ms; null until three were seen. */
  get intervalMs(): number | null {
    if (this.#intervals.length < 3) return null;
    const sorted = [...this.#intervals].sort((a, b) => a - b);
    return sorted[sorted.length >> 1] ?? null;
  }

  /**
   * @param stampMs the frame's own time stamp
   * @param arrivedAtMs when it got here, page clock
   * @returns when it was seen, page clock
   */
  seenAt(stampMs: number, arrivedAtMs: number): number {
    // A source that starts again counts from a new origin.
    if (stampMs < this.#lastStampMs) this.restart();
    if (Number.isFinite(this.#lastStampMs)) this.#count(stampMs - this.#lastStampMs);
    this.#lastStampMs = stampMs;
    // The clocks of camera and page drift apart; letting the origin creep keeps an old record from ruling for ever.
    this.#offsetMs = Math.min(this.#offsetMs + driftMsPerFrame, arrivedAtMs - stampMs);
    return stampMs + this.#offsetMs;
  }

  restart(): void {
    this.#offsetMs = Infinity;
    this.#lastStampMs = -Infinity;
    this.#intervals = [];
  }

  #count(intervalMs: number): void {
    const usual = this.intervalMs;
    if (usual !== null && intervalMs > 1.5 * usual) this.#dropped += Math.round(intervalMs / usual) - 1;
    this.#intervals.push(intervalMs);
    if (this.#intervals.length > 31) this.#intervals.shift();
  }
}

const driftMsPerFrame = 0.01;
