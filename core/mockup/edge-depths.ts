/** How deep each port edge lies, from what was read of it: its angles, or its height and the deck. */
import type { Port } from '../contract/parts.ts';
import type { Edge } from '../contract/readings.ts';
import { type Crank, depthAt, depthAtHalfArc, depthSlopesAtRad } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import { crownEventsAt, depthInTravel, durationSlope, skirtEventsAt } from '../ports/edge-height.ts';
import { quotedEvent } from '../ports/events.ts';
import { portKindTable } from '../ports/kinds.ts';
import { type Value, valueFrom, valueWith } from '../uncertainty/value.ts';
import { type Deg, type Mm, radFromDeg } from '../units.ts';
import { durationKey } from './timing-figures.ts';
import type { TimingResult } from './timing-result.ts';

/** What a depth follows from. */
export type DepthRoute = 'duration' | 'opening' | 'closing' | 'height';

export interface RoutedDepth {
  readonly by: DepthRoute;
  /** Deciding edge below the TDC position of the crown; of the skirt for a skirt intake. */
  readonly depthMm: Value;
}

export interface EdgeDepth extends RoutedDepth {
  readonly portId: string;
  /** The other way to the same depth, where that was measured as well. */
  readonly other: RoutedDepth | null;
  /** A sentence where the two ways contradict each other. */
  readonly question: string | null;
}

/** A height typed for a port counts as read with calipers to this step; trade practice for port heights. */
export const portHeightResolutionMm: Mm = 0.05;

/** Angles and heights that disagree by more than this are looked at again; trade practice. */
const doubtfulDisagreementDeg: Deg = 1;

export interface DepthSources {
  readonly crank: Crank;
  readonly timing: TimingResult;
  /** Crown edge below the top of the barrel at TDC; null where not measured. */
  readonly deckMm: Value | null;
  /** Heights as measured, by port id; the barrel's entry counts where there is none. */
  readonly portHeightsMm: Readonly<Record<string, Value>>;
  /** From the crown edge to the skirt's lower edge; null where not known. */
  readonly skirtLengthMm: Mm | null;
  /** True where heights and deck count before angles. */
  readonly heightsGovern: boolean;
}

/**
 * Depth of a port's deciding edge.
 * @returns a sentence on what is missing where it can't be told
 */
export function edgeDepthOf(port: Port, sources: DepthSources): EdgeDepth | string {
  const byAngle = attempt(() => depthByAngle(port, sources));
  const byHeight = attempt(() => depthByHeight(port, sources));
  if (typeof byAngle === 'string' && typeof byHeight === 'string') return `${port.label}: ${byAngle} ${byHeight}`;
  const [first, second] = sources.heightsGovern ? [byHeight, byAngle] : [byAngle, byHeight];
  const chosen = typeof first === 'string' ? (second as RoutedDepth) : first;
  const other = typeof first === 'string' || typeof second === 'string' ? null : second;
  return {
    portId: port.portId,
    ...chosen,
    other,
    question: other === null ? null : disagreement(port, sources.crank, chosen, other),
  };
}

/** A refusal of core is a sentence here: the other way may still lead to the depth. */
function attempt(depth: () => RoutedDepth | string): RoutedDepth | string {
  try {
    return depth();
  } catch (error) {
    if (error instanceof InputError) return error.message;
    throw error;
  }
}

function depthByAngle(port: Port, { crank, timing }: DepthSources): RoutedDepth | string {
  const isCrown = portKindTable[port.kind].control === 'crown';
  const duration = timing.figures.find(({ key }) => key === durationKey(port.portId))?.value ?? null;
  // Both edges together: the height follows from half the duration alone, so the error of true TDC is not in it.
  if (duration !== null) {
    const halfArc = radFromDeg(isCrown ? 180 - duration.value / 2 : duration.value / 2);
    const depth = depthInTravel(crank, `${port.portId} edgeDepthMm`, depthAtHalfArc(crank, halfArc));
    return { by: 'duration', depthMm: carried(depth, duration, 1 / durationSlope(crank, depth)) };
  }
  for (const edge of ['opens', 'closes'] as const) {
    const crankDeg = timing.events.find((row) => row.portId === port.portId && row.edge === edge)?.crank ?? null;
    if (crankDeg === null) continue;
    quotedEvent(port.kind, edge, crankDeg.value);
    const { first } = depthSlopesAtRad(crank, radFromDeg(crankDeg.value));
    const depth = depthInTravel(crank, `${port.portId} edgeDepthMm`, depthAt(crank, crankDeg.value));
    return { by: routeOfEdge[edge], depthMm: carried(depth, crankDeg, radFromDeg(first)) };
  }
  return 'its edges are not read yet.';
}

const routeOfEdge: Readonly<Record<Edge, DepthRoute>> = { opens: 'opening', closes: 'closing' };

/** A depth with the budget of the angle that it follows from. */
function carried(depthMm: Mm, angle: Value, mmPerDeg: number): Value {
  return valueFrom(
    depthMm,
    angle.contributions.map((term) => ({ ...term, effect: term.effect * mmPerDeg })),
  );
}

function depthByHeight(port: Port, sources: DepthSources): RoutedDepth | string {
  const { crank, deckMm, skirtLengthMm } = sources;
  const isSkirt = portKindTable[port.kind].control === 'skirt';
  const height = sources.portHeightsMm[port.portId] ?? enteredHeight(port);
  if (height === null) {
    return `Its ${isSkirt ? 'floor' : 'roof'} below the top of the barrel is not known either.`;
  }
  if (deckMm === null) return 'Its height is known, but the deck is not measured.';
  if (isSkirt && skirtLengthMm === null) return "Its height is known, but the piston's skirt length is not.";
  const depth = height.value - deckMm.value - (isSkirt ? (skirtLengthMm ?? 0) : 0);
  depthInTravel(crank, `${port.portId} edgeDepthMm`, depth);
  return {
    by: 'height',
    depthMm: valueFrom(depth, [
      ...height.contributions,
      ...deckMm.contributions.map((term) => ({ ...term, effect: -term.effect })),
    ]),
  };
}

function enteredHeight({ edgeFromDeckMm }: Port): Value | null {
  if (edgeFromDeckMm === null) return null;
  const sigma = portHeightResolutionMm / Math.sqrt(12);
  return valueWith(edgeFromDeckMm, sigma, "step of the calipers for the port's height", 'resolution');
}

function disagreement(port: Port, crank: Crank, one: RoutedDepth, other: RoutedDepth): string | null {
  const isCrown = portKindTable[port.kind].control === 'crown';
  const opening = (depth: Mm): Deg =>
    isCrown ? crownEventsAt(crank, depth).openAtdcDeg : skirtEventsAt(crank, depth).openBtdcDeg;
  const by = Math.abs(opening(one.depthMm.value) - opening(other.depthMm.value));
  if (by <= doubtfulDisagreementDeg) return null;
  return `${port.label}: its angles and its height disagree by ${by.toFixed(1)} deg of the opening. Measure height, deck and this edge again.`;
}
