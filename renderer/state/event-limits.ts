import type { Port, Specification } from '../../core/contract/parts.ts';
import type { Edge } from '../../core/contract/readings.ts';
import {
  durationMeanings,
  type QuotedMeaning,
  quotedMeanings,
  quotedReference,
} from '../../core/ports/quoted-meanings.ts';

/** The event, or the duration of a port, that limits are typed for. */
export interface TypedEvent {
  readonly kind: Port['kind'];
  /** Null for a duration. */
  readonly edge: Edge | null;
  /** In which it is kept: "ATDC", or "deg of duration". */
  readonly reference: string;
}

type Numbers = Pick<Specification, 'nominal' | 'lower' | 'upper'>;

/** @returns null where the quantity is neither an event nor a duration of these ports */
export function eventOf(quantity: string, ports: readonly Port[]): TypedEvent | null {
  const [what, portId, edge] = quantity.split(':');
  const port = ports.find((one) => one.portId === portId);
  if (what === 'duration' && port !== undefined) return { kind: port.kind, edge: null, reference: 'deg of duration' };
  if (what !== 'event' || port === undefined || (edge !== 'opens' && edge !== 'closes')) return null;
  return { kind: port.kind, edge, reference: quotedReference(port.kind, edge) };
}

function meaningsOf({ kind, edge }: TypedEvent, typedDeg: number): readonly QuotedMeaning[] {
  if (typedDeg <= 0 || typedDeg >= 360) return [];
  return edge === null ? durationMeanings(kind, typedDeg) : quotedMeanings(kind, edge, typedDeg);
}

/** Numbers that are in the book already were asked about when they were typed. */
function areKept(typed: Numbers, kept: Numbers | null): boolean {
  return kept !== null && typed.nominal === kept.nominal && typed.lower === kept.lower && typed.upper === kept.upper;
}

/** What the numbers may count, by the first of them; empty where nothing new was typed. */
export function meaningsOfLimits(typed: Numbers, kept: Numbers | null, event: TypedEvent): readonly QuotedMeaning[] {
  const first = typed.nominal ?? typed.lower ?? typed.upper;
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
  const [first] = meaningsOfLimits(typed, kept, event);
  const meaningId = chosen ?? first?.id;
  if (meaningId === undefined)
    return typed.nominal === null && typed.lower === null && typed.upper === null ? typed : null;
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
