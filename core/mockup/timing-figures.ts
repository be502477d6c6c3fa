/** What follows from the events of a mock-up: durations, blowdown, one side against the other. */
import type { Port, Specification } from '../contract/parts.ts';
import { crankAngleFrom } from '../crank/dead-centre.ts';
import { isExhaust, isTransfer } from '../ports/kinds.ts';
import { afterTdc, durationOf, type EdgeReadings, type EventAngle, leadOf } from '../uncertainty/event-budget.ts';
import type { Value } from '../uncertainty/value.ts';
import type { Deg } from '../units.ts';
import { eventKey } from './frame-readings.ts';
import { type Judged, judged } from './judge.ts';
import type { FoundFrame } from './wheel-frames.ts';

/** A figure that follows from events: a duration, a lead. */
export interface FigureRow {
  readonly key: string;
  readonly title: string;
  readonly unit: string;
  readonly value: Value | null;
  readonly how: string;
  readonly source: string;
  readonly judged: Judged;
}

export const durationKey = (portId: string): string => `duration:${portId}`;
export const blowdownKey = 'blowdown';

/** What was read of one edge, in the place of camera and wheel that counts for it. */
export interface FoundEvent {
  readonly angle: EventAngle;
  readonly edge: EdgeReadings;
  readonly frame: FoundFrame;
}

/**
 * Two events as angles that compare. In one frame true TDC needn't be known and cancels; in two each counts from its own.
 * @returns null while an event is missing, or where one of two frames has no TDC
 */
function comparable(
  first: FoundEvent | null,
  second: FoundEvent | null,
): { readonly angles: readonly [Value, Value]; readonly isOneFrame: boolean } | null {
  if (first === null || second === null) return null;
  if (first.frame.frameId === second.frame.frameId)
    return { angles: [first.angle.angleDeg, second.angle.angleDeg], isOneFrame: true };
  const [one, other] = [first, second].map(({ angle, frame }) =>
    frame.tdc === null ? null : afterTdc(angle.angleDeg, frame.tdc.tdcReadingDeg),
  );
  return one == null || other == null ? null : { angles: [one, other], isOneFrame: false };
}

function tdcWords(both: ReturnType<typeof comparable>): string {
  return both === null || both.isOneFrame
    ? 'true TDC is in both and cancels'
    : 'each from the true TDC of its own set-up, whose uncertainties are in it';
}

/** How long a port stays open. */
export function durationRow(
  port: Port,
  found: ReadonlyMap<string, FoundEvent>,
  specifications: ReadonlyMap<string, Specification>,
): FigureRow {
  const opens = found.get(eventKey(port.portId, 'opens')) ?? null;
  const closes = found.get(eventKey(port.portId, 'closes')) ?? null;
  const both = comparable(opens, closes);
  const value = both === null ? null : durationOf(...both.angles);
  return figure(
    durationKey(port.portId),
    `${port.label}, duration`,
    value,
    `Closing less opening, both turning as the engine runs; ${tdcWords(both)}.`,
    value === null || opens === null || closes === null
      ? null
      : {
          scatter: opens.frame.session.placement.sigmaDeg * Math.SQRT2,
          taken: Math.min(opens.angle.readings, closes.angle.readings),
        },
    specifications,
  );
}

function figure(
  key: string,
  title: string,
  value: Value | null,
  how: string,
  repeats: { scatter: number; taken: number } | null,
  specifications: ReadonlyMap<string, Specification>,
): FigureRow {
  return {
    key,
    title,
    unit: 'deg',
    value,
    how,
    source: 'definition; JCGM 100:2008 (GUM) for the uncertainty',
    judged: judged(
      specifications.get(key) ?? null,
      value === null ? null : { value: value.value, sigma: value.sigma, repeats },
    ),
  };
}

/** Openings of some ports in the order in which they open. */
function openings(ports: readonly Port[], found: ReadonlyMap<string, FoundEvent>): readonly FoundEvent[] {
  return ports
    .flatMap((port) => found.get(eventKey(port.portId, 'opens')) ?? [])
    .filter((event) => event.frame.tdc !== null)
    .toSorted((a, b) => openingDeg(a) - openingDeg(b));
}

function openingDeg(event: FoundEvent): Deg {
  return crankAngleFrom(event.angle.angleDeg.value, event.frame.tdc?.tdcReadingDeg.value ?? 0);
}

/** How far the exhaust leads the transfers; none where the barrel has not both. */
export function blowdownRow(
  ports: readonly Port[],
  found: ReadonlyMap<string, FoundEvent>,
  specifications: ReadonlyMap<string, Specification>,
): readonly FigureRow[] {
  const exhausts = ports.filter((port) => isExhaust(port.kind));
  const transfers = ports.filter((port) => isTransfer(port.kind));
  if (exhausts.length === 0 || transfers.length === 0) return [];
  const exhaust = openings(exhausts, found)[0] ?? null;
  const transfer = openings(transfers, found)[0] ?? null;
  const both = comparable(exhaust, transfer);
  const value = both === null ? null : leadOf(...both.angles);
  return [
    figure(
      blowdownKey,
      'Blowdown',
      value,
      `Opening of the earliest transfer less opening of the earliest exhaust; ${tdcWords(both)}.`,
      exhaust === null || transfer === null
        ? null
        : {
            scatter: exhaust.frame.session.placement.sigmaDeg * Math.SQRT2,
            taken: Math.min(exhaust.angle.readings, transfer.angle.readings),
          },
      specifications,
    ),
  ];
}

/** Drive side against ignition side of ports of one kind: which opens earlier, and by how much. */
export function sideRows(
  ports: readonly Port[],
  found: ReadonlyMap<string, FoundEvent>,
  specifications: ReadonlyMap<string, Specification>,
): readonly FigureRow[] {
  return ports
    .filter((port) => port.side === 'drive_side')
    .flatMap((drive) => {
      const ignition = ports.find((port) => port.side === 'ignition_side' && port.kind === drive.kind);
      if (ignition === undefined) return [];
      const first = found.get(eventKey(drive.portId, 'opens')) ?? null;
      const second = found.get(eventKey(ignition.portId, 'opens')) ?? null;
      const both = comparable(first, second);
      const value = both === null ? null : leadOf(...both.angles);
      return [
        figure(
          `sides:${drive.portId}:${ignition.portId}`,
          `${drive.label} opens before ${ignition.label} by`,
          value,
          'Opening on the ignition side less opening on the drive side; negative where the drive side opens later.',
          null,
          specifications,
        ),
      ];
    });
}
