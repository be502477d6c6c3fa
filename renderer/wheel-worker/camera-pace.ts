const lookedAt = 32;
const fewest = 8;

/**
 * How quickly a camera's frames follow each other, told from those that were read. Frames that were left out make an
 * interval longer, and a busy computer hands some over in bunches: a single short or long one says nothing.
 */
export class CameraPace {
  #latestMs: number | null = null;
  #intervals: number[] = [];

  add(timeMs: number): void {
    if (this.#latestMs !== null) this.#intervals.push(timeMs - this.#latestMs);
    if (this.#intervals.length > lookedAt) this.#intervals.shift();
    this.#latestMs = timeMs;
  }

  /** Lower quartile of the time between two frames lately, ms; 0 while too few were seen to tell. */
  get intervalMs(): number {
    if (this.#intervals.length < fewest) return 0;
    const sorted = [...this.#intervals].sort((a, b) => a - b);
    return sorted[sorted.length >> 2] ?? 0;
  }
}
