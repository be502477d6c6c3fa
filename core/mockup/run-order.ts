import type { Port, PortKind } from '../contract/parts.ts';
import type { Edge, Turning, WheelSetup } from '../contract/readings.ts';
import { frameIdOf } from './edge-readings.ts';
import { frameInUse } from './frame-in-use.ts';
import { frameReadings, isComplete } from './frame-readings.ts';
import type { Stamp } from './stamps.ts';
import { isUsable } from './stamps.ts';
import { stopHeights } from './stop-heights.ts';

/** One thing that the bench asks for next. */
export type Wanted =
  | { readonly what: 'stop_contact'; readonly turning: Turning }
  | { readonly what: 'port_edge'; readonly turning: Turning; readonly portId: string; readonly edge: Edge };

/** Names a wanted event for lists, skips and keys. */
export function wantedKey(wanted: Wanted): string {
  return wanted.what === 'stop_contact'
    ? `stop_contact:${wanted.turning}`
    : `port_edge:${wanted.portId}:${wanted.edge}:${wanted.turning}`;
}

/** Builders take the exhaust first, then the transfers from the front to the back, then the intake. */
const kindOrder: Record<PortKind, number> = {
  exhaust: 0,
  auxiliary_exhaust: 1,
  transfer_main: 2,
  transfer_secondary: 3,
  boost: 4,
  intake_skirt: 5,
  intake_disc: 6,
  intake_reed: 7,
};

/** A reed has no angle of its own to read. */
export function hasEdges(kind: PortKind): boolean {
  return kind !== 'intake_reed';
}

function byKind(ports: readonly Port[]): Port[] {
  return [...ports].filter((port) => hasEdges(port.kind)).sort((a, b) => kindOrder[a.kind] - kindOrder[b.kind]);
}

/**
 * Port edges in the order in which the crank meets them turning forwards from TDC: exhaust opens first and closes
 * last, the ports inside it nest. Intake edges lie about TDC, so they follow as a round of their own.
 */
export function edgesForwards(ports: readonly Port[]): { portId: string; edge: Edge }[] {
  const ordered = byKind(ports);
  const aboutBottom = ordered.filter((port) => kindOrder[port.kind] < kindOrder.intake_skirt);
  const aboutTop = ordered.filter((port) => kindOrder[port.kind] >= kindOrder.intake_skirt);
  return [
    ...aboutBottom.map((port) => ({ portId: port.portId, edge: 'opens' as const })),
    ...[...aboutBottom].reverse().map((port) => ({ portId: port.portId, edge: 'closes' as const })),
    ...aboutTop.map((port) => ({ portId: port.portId, edge: 'opens' as const })),
    ...[...aboutTop].reverse().map((port) => ({ portId: port.portId, edge: 'closes' as const })),
  ];
}

/**
 * The whole list for one mock-up: the stop from both sides, then every edge turning forwards, then the same edges
 * in the opposite order turning backwards, since that is how the crank meets them.
 */
export function wantedEvents(ports: readonly Port[]): Wanted[] {
  const forwards = edgesForwards(ports);
  return [
    { what: 'stop_contact', turning: 'forwards' },
    { what: 'stop_contact', turning: 'backwards' },
    ...forwards.map((edge) => ({ what: 'port_edge' as const, turning: 'forwards' as const, ...edge })),
    ...[...forwards].reverse().map((edge) => ({ what: 'port_edge' as const, turning: 'backwards' as const, ...edge })),
  ];
}

/** The key of what a stamp answered, or null where it is no angle event of the list. */
export function stampKey(stamp: Stamp): string | null {
  const { subject } = stamp.current;
  switch (subject.what) {
    case 'stop_contact':
      return wantedKey({ what: 'stop_contact', turning: subject.turning });
    case 'port_edge':
      return wantedKey({ what: 'port_edge', turning: subject.turning, portId: subject.portId, edge: subject.edge });
    case 'tdc_check':
    case 'quantity':
      return null;
  }
}

/**
 * Whether a stamp answers its event for good. A stop contact does only in the place of camera and wheel that is read from
 * now: in a new one TDC lies elsewhere.
 */
function isAnswered(stamp: Stamp, setups: readonly WheelSetup[], frameId: string | null): boolean {
  const { subject } = stamp.current;
  if (!isUsable(stamp)) return false;
  return subject.what !== 'stop_contact' || frameId === null || frameIdOf(subject.angle, setups) === frameId;
}

/**
 * The other side of a height of the stop that the latest stamp was the first contact of: the stop still stands there, and
 * one side alone counts for nothing. Null where the run's own list asks for it, or another event was taken since.
 */
function otherSideOfHeight(stamps: readonly Stamp[], setups: readonly WheelSetup[], frameId: string | null) {
  const latest = stamps.findLast((stamp) => isUsable(stamp) && stamp.current.subject.what !== 'quantity');
  if (latest?.current.subject.what !== 'stop_contact' || frameId === null) return null;
  const contacts = frameReadings(setups, stamps, []).get(frameId)?.contacts;
  if (contacts === undefined || !isComplete(contacts)) return null;
  const height = stopHeights(contacts).find(({ forwards, backwards }) =>
    [...forwards, ...backwards].some(({ stamp }) => stamp === latest),
  );
  if (height === undefined || isComplete(height)) return null;
  const turning: Turning = height.forwards.length === 0 ? 'forwards' : 'backwards';
  return { what: 'stop_contact' as const, turning };
}

/**
 * What to ask for next: the other side of a height of the stop that was begun; else a stop contact that no longer holds,
 * since nothing read from now on has an angle without it; else the first wanted event after the latest stamp that has no
 * usable stamp yet, else the first open one from the top, else null.
 * @param setups all set-ups of the mock-up
 * @param skipped keys that the operator passed over
 */
export function nextWanted(
  wanted: readonly Wanted[],
  stamps: readonly Stamp[],
  setups: readonly WheelSetup[],
  skipped: ReadonlySet<string> = new Set(),
): Wanted | null {
  const frameId = frameInUse(setups, stamps);
  const otherSide = otherSideOfHeight(stamps, setups, frameId);
  if (otherSide !== null && !skipped.has(wantedKey(otherSide))) return otherSide;
  const answered = stamps.filter((stamp) => isAnswered(stamp, setups, frameId));
  const done = new Set(answered.map(stampKey));
  const open = (item: Wanted): boolean => !done.has(wantedKey(item)) && !skipped.has(wantedKey(item));
  const onceTaken = new Set(stamps.filter((stamp) => !stamp.struck).map(stampKey));
  const again = wanted.find((item) => item.what === 'stop_contact' && open(item) && onceTaken.has(wantedKey(item)));
  if (again !== undefined) return again;
  const latest = answered.map(stampKey).findLast((key) => key !== null);
  const from = wanted.findIndex((item) => wantedKey(item) === latest);
  return wanted.slice(from + 1).find(open) ?? wanted.find(open) ?? null;
}

/** "Exhaust opens", but "Transfers open": an entry that stands for several windows speaks of them in the plural. */
export function edgeTitle(port: Port, edge: Edge): string {
  const isGroup = port.windowCount > 1 || port.side === 'both';
  return `${port.label} ${isGroup ? edge.slice(0, -1) : edge}`;
}

/** The sentence of the bench screen's one line: "Exhaust opens, turning forwards". */
export function wantedSentence(wanted: Wanted, ports: readonly Port[]): string {
  if (wanted.what === 'stop_contact') return `Piston against the stop, turning ${wanted.turning}`;
  const port = ports.find((one) => one.portId === wanted.portId);
  const title = port === undefined ? `Port ${wanted.edge}` : edgeTitle(port, wanted.edge);
  return `${title}, turning ${wanted.turning}`;
}
