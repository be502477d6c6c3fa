import type { PointerCheck } from '../../core/wheel/types.ts';

/** What is to be said of the marked pointer. */
export type PointerNews =
  | { readonly state: 'there' }
  /** Degrees clockwise in the picture. */
  | { readonly state: 'moved'; readonly shiftDeg: number }
  | { readonly state: 'not_seen' };

/** A move is said when it was seen this many times in a row; hands pass more quickly. */
const looksToMove = 3;
const looksToLose = 10;
/** Looks that agree this well saw the same place. */
const samePlaceDeg = 0.4;

/** Makes news of looks at the pointer, one a second: only what lasts, and each only once. */
export class PointerWatch {
  #looks: PointerCheck[] = [];
  #told: PointerNews | null = null;

  clear(): void {
    this.#looks = [];
    this.#told = null;
  }

  /** @returns what is new, or null */
  look(check: PointerCheck): PointerNews | null {
    this.#looks = [...this.#looks, check].slice(-looksToLose);
    const news = this.#standing();
    const told = this.#told;
    if (news === null) return null;
    const isSame =
      told?.state === news.state &&
      (news.state !== 'moved' || told.state !== 'moved' || Math.abs(news.shiftDeg - told.shiftDeg) < samePlaceDeg);
    if (isSame) return null;
    this.#told = news;
    return news;
  }

  #standing(): PointerNews | null {
    const last = this.#looks.at(-1);
    if (last === undefined) return null;
    if (last.state === 'there') return { state: 'there' };
    if (last.state === 'moved') {
      const recent = this.#looks.slice(-looksToMove);
      const isLasting =
        recent.length === looksToMove &&
        recent.every((one) => one.state === 'moved' && Math.abs(one.shiftDeg - last.shiftDeg) < samePlaceDeg);
      return isLasting ? { state: 'moved', shiftDeg: last.shiftDeg } : null;
    }
    const isLost = this.#looks.length === looksToLose && this.#looks.every(({ state }) => state === 'not_seen');
    return isLost ? { state: 'not_seen' } : null;
  }
}
