import type { Port } from '../../core/contract/parts.ts';
import type { QuotedMeaning } from '../../core/ports/quoted-meanings.ts';
import { durationTyped, meaningsOf } from './event-limits.ts';

/** A duration as it was typed, with what the number was said to count. */
export interface WantedDuration {
  readonly typedDeg: number | null;
  readonly answer: { readonly meaningId: string; readonly forDeg: number } | null;
}

export const noDuration: WantedDuration = { typedDeg: null, answer: null };

/** Within this of the number that it was given for, an answer stays: the same figure, tried a little higher or lower. Our own choice. */
const sameFigureDeg = 10;

export function answered({ typedDeg }: WantedDuration, meaningId: string | null): WantedDuration {
  return { typedDeg, answer: meaningId === null || typedDeg === null ? null : { meaningId, forDeg: typedDeg } };
}

export interface UnderstoodDuration {
  /** More than one needs an answer. */
  readonly meanings: readonly QuotedMeaning[];
  readonly chosen: string | null;
  /** Null while nothing is typed, or while it is open what the number counts. */
  readonly durationDeg: number | null;
}

export function understoodDuration(kind: Port['kind'], { typedDeg, answer }: WantedDuration): UnderstoodDuration {
  const meanings = typedDeg === null ? [] : meaningsOf(durationTyped(kind), typedDeg);
  const holds = typedDeg !== null && answer !== null && Math.abs(typedDeg - answer.forDeg) <= sameFigureDeg;
  const [only, ...others] = meanings;
  const meaning = others.length === 0 ? only : holds ? meanings.find(({ id }) => id === answer.meaningId) : undefined;
  return {
    meanings,
    chosen: others.length === 0 ? null : (meaning?.id ?? null),
    durationDeg: meaning?.quotedDeg ?? null,
  };
}
