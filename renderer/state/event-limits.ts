import type { Port, Specification } from '../../core/contract/parts.ts';
import type { Edge } from '../../core/contract/readings.ts';
import { blowdownKey } from '../../core/mockup/timing-figures.ts';
import {
  blowdownMeanings,
  durationMeanings,
  type QuotedMeaning,
  quotedMeanings,
  quotedReference,
} from '../../core/ports/quoted-meanings.ts';

/** The event, the duration of a port or the blowdown that a number is typed for. */
export type TypedEvent = {
  /** In which it is kept: "ATDC", or "deg of duration". */
  readonly reference: string;
} & (
  | { readonly counts: 'event'; readonly kind: Port['kind']; readonly edge: Edge }
  | { readonly counts: 'duration'; readonly kind: Port['kind'] }
  | { readonly counts: 'blowdown' }
);

/** The duration of a port, wherever one is typed. */
export function durationTyped(kind: Port['kind']): TypedEvent {
  return { counts: 'duration', kind, reference: 'deg of duration' };
}

type Numbers = Pick<Specification, 'nominal' | 'lower' | 'upper'>;

/** @returns null where a number for this quantity has one meaning only */
export function eventOf(quantity: string, ports: readonly Port[]): TypedEvent | null {
  if (quantity === blowdownKey) return { counts: 'blowdown', reference: 'deg of blowdown' };
  const [what, portId, edge] = quantity.split(':');
  const port = ports.find((one) => one.portId === portId);
  if (what === 'duration' && port !== undefined) return durationTyped(port.kind);
  if (what !== 'event' || port === undefined || (edge !== 'opens' && edge !== 'closes')) return null;
  return { counts: 'event', kind: port.kind, edge, reference: quotedReference(port.kind, edge) };
}

/** What a number typed for it may count; more than one meaning is asked about. */
export function meaningsOf(event: TypedEvent, typedDeg: number): readonly QuotedMeaning[] {
  if (Math.abs(typedDeg) >= 360) return [];
  if (event.counts === 'blowdown') return blowdownMeanings(typedDeg);
  if (typedDeg <= 0) return [];
  return event.counts === 'duration'
    ? durationMeanings(event.kind, typedDeg)
    : quotedMeanings(event.kind, event.edge, typedDeg);
}

/** Numbers that are in the book already were asked about when they were typed. */
function areKept(typed: Numbers, kept: Numbers | null): boolean {
  return kept !== null && typed.nominal === kept.nominal && typed.lower === kept.lower && typed.upper === kept.upper;
}

/** What the numbers may count, by the first of them; empty where nothing new was typed. */
export function meaningsOfLimits(typed: Numbers, kept: Numbers | null, event: TypedEvent): readonly QuotedMeaning[] {
  // Nothing is nothing, however it is counted.
  const first = [typed.nominal, typed.lower, typed.upper].find((value) => value !== null && value !== 0) ?? null;
  return first === null || areKept(typed, kept) ? [] : meaningsOf(event, first);
}

/**
 * The limits as the event is quoted; where a larger number is a smaller angle, lower and upper limit change places.
 * @param event null for a quantity whose numbers have one meaning
 * @param chosen id of the meaning that was chosen; null where there is only one
 * @returns null where the numbers can't all have that meaning
 */
export function inQuotedReference(
  typed: Specification,
  kept: Numbers | null,
  event: TypedEvent | null,
  chosen: string | null,
): Specification | null {
  if (event === null || areKept(typed, kept)) return typed;
  const numbers = [typed.nominal, typed.lower, typed.upper].filter((value) => value !== null);
  const [first] = meaningsOfLimits(typed, kept, event);
  const meaningId = chosen ?? first?.id;
  if (meaningId === undefined)
    return numbers.every((value) => event.counts === 'blowdown' && value === 0) ? typed : null;
  const turned = [typed.nominal, typed.lower, typed.upper].map((value) =>
    value === null ? null : meaningsOf(event, value).find(({ id }) => id === meaningId),
  );
  if (turned.includes(undefined)) return null;
  const [nominal, lower, upper] = turned.map((meaning) => meaning?.quotedDeg ?? null) as [
    number | null,
    number | null,
    number | null,
  ];
  const isReversed = turned.some((meaning) => meaning?.isReversed === true);
  return { ...typed, nominal, lower: isReversed ? upper : lower, upper: isReversed ? lower : upper };
}
