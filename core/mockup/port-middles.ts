import type { CrankGeometry } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import { portKindTable } from '../ports/kinds.ts';
import { zeroErrorFromPort } from '../ports/zero-error.ts';
import { eventAngle, questionAtMultiples } from '../uncertainty/event-budget.ts';
import { type Value, valueFrom } from '../uncertainty/value.ts';
import { type Deg, wrapSigned } from '../units.ts';
import { eventKey, isComplete, isGoingDown, type PlacedEdge } from './frame-readings.ts';
import type { FoundFrame } from './wheel-frames.ts';

/** The middle of a port's two edges against true TDC of the stop. */
export interface PortMiddle {
  readonly portId: string;
  readonly label: string;
  /** TDC as the port's two edges give it, less TDC of the stop. */
  readonly offDeg: Value;
  /** Beyond three of its own standard uncertainties: chance and placement hardly do that. */
  readonly isQuestionable: boolean;
}

/**
 * A piston-controlled port opens and closes at the same piston height, so its middle gives TDC without a stop. Only
 * ports whose edges were both read in both directions count: in one direction alone the slack shifts the middle.
 * @source formulae, port events: zero errors of ports and stop must agree within their uncertainty
 */
export function portMiddles(frame: FoundFrame, geometry: CrankGeometry | null): readonly PortMiddle[] {
  const { tdc } = frame;
  if (tdc === null) return [];
  return [...frame.edges.values()].flatMap((down) => {
    if (!portKindTable[down.port.kind].isSymmetric || !isGoingDown(down)) return [];
    const up = frame.edges.get(eventKey(down.port.portId, down.edge === 'opens' ? 'closes' : 'opens'));
    if (up === undefined || !isComplete(down) || !isComplete(up)) return [];
    const zero = zeroOf(down, up, frame, geometry);
    if (zero === null) return [];
    const offDeg = valueFrom(wrapSigned(zero.value - tdc.tdcReadingDeg.value), [
      ...zero.contributions,
      ...tdc.tdcReadingDeg.contributions.map((term) => ({ ...term, from: `TDC: ${term.from}`, effect: -term.effect })),
    ]);
    const isQuestionable = Math.abs(offDeg.value) > questionAtMultiples * offDeg.sigma;
    return [{ portId: down.port.portId, label: down.port.label, offDeg, isQuestionable }];
  });
}

/** Going down over it and coming up over it: through BDC, whichever of the two is the opening. */
function zeroOf(down: PlacedEdge, up: PlacedEdge, frame: FoundFrame, geometry: CrankGeometry | null): Value | null {
  try {
    return zeroErrorFromPort(
      eventAngle(down, frame.session).angleDeg,
      eventAngle(up, frame.session).angleDeg,
      geometry ?? undefined,
    );
  } catch (error) {
    // Edges in the wrong order have no middle; the durations beside show that they can't be right.
    if (error instanceof InputError) return null;
    throw error;
  }
}

/** "Exhaust: its middle lies 1.50 deg from TDC of the stop, ± 0.44 (U = 2 u)." */
export function middleSentence({ label, offDeg }: PortMiddle): string {
  const off: Deg = Math.abs(offDeg.value);
  return `${label}: the middle of its opening and closing lies ${off.toFixed(2)} deg from TDC of the stop, U ${(2 * offDeg.sigma).toFixed(2)}.`;
}
