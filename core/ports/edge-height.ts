import { between, notNegative, positive, present, refuse } from '../checks.ts';
import {
  anglesAtDepthRad,
  type Crank,
  type CrankGeometry,
  crankFrom,
  depthAt,
  depthAtHalfArc,
  depthSlopesAtRad,
} from '../crank/geometry.ts';
import { borderSlack, type Deg, degFromRad, type Mm, radFromDeg } from '../units.ts';
import type { PortEdge } from './kinds.ts';

/**
 * Depth of a port edge below the crown's TDC position, from its distance below the top of the barrel.
 * @param fromDeckMm distance from the top of the barrel down to the edge
 * @param deckMm crown edge below the top of the barrel at TDC; negative where it stands proud
 * @throws missing
 */
export function depthFromDeck(fromDeckMm: Mm, deckMm: Mm): Mm {
  return present('fromDeckMm', fromDeckMm) - present('deckMm', deckMm);
}

/** A crown edge meets a port edge only strictly inside the travel. @throws missing, out_of_range */
export function depthInTravel(crank: Crank, field: string, depthMm: unknown): Mm {
  return between(field, depthMm, 0, crank.travelMm, 'outside the travel the port never opens, or never shuts.');
}

/**
 * Depth of the edge that gives a total duration, and its height above the crown edge at BDC.
 * @param durationDeg between 0 and 360, both excluded
 * @throws missing, out_of_range, non_positive, rod_too_short
 * @source the open angle is 360 deg - 2h with h of the cosine rule, whatever the offset
 */
export function depthFromDuration(
  geometry: CrankGeometry,
  durationDeg: Deg,
): { edgeDepthMm: Mm; edgeHeightAboveBdcMm: Mm } {
  const crank = crankFrom(geometry);
  const edgeDepthMm = crownDepthFor(crank, 'durationDeg', durationDeg);
  return { edgeDepthMm, edgeHeightAboveBdcMm: crank.travelMm - edgeDepthMm };
}

/** As `depthFromDuration`, for a crank already prepared. @throws missing, out_of_range */
export function crownDepthFor(crank: Crank, field: string, durationDeg: Deg): Mm {
  const duration = between(field, durationDeg, 0, 360, 'a duration is part of one turn.');
  return depthAtHalfArc(crank, radFromDeg(180 - duration / 2));
}

export interface CrownEvents {
  readonly openAtdcDeg: Deg;
  readonly closeBtdcDeg: Deg;
  readonly durationDeg: Deg;
}

/** Events of an edge at a depth strictly inside the travel, for a crank already prepared. */
export function crownEventsAt(crank: Crank, edgeDepthMm: Mm): CrownEvents {
  const { down, up } = anglesAtDepthRad(crank, edgeDepthMm);
  return {
    openAtdcDeg: degFromRad(down),
    closeBtdcDeg: degFromRad(up),
    durationDeg: 360 - degFromRad(down + up),
  };
}

/**
 * Events of a port that the crown opens, from the depth of its roof.
 * @param edgeDepthMm below the crown's TDC position, between 0 and the travel, both excluded
 * @throws missing, out_of_range, non_positive, rod_too_short
 */
export function eventsFromDepth(geometry: CrankGeometry, edgeDepthMm: Mm): CrownEvents {
  const crank = crankFrom(geometry);
  return crownEventsAt(crank, depthInTravel(crank, 'edgeDepthMm', edgeDepthMm));
}

export interface SkirtEvents {
  readonly openBtdcDeg: Deg;
  readonly closeAtdcDeg: Deg;
  readonly durationDeg: Deg;
}

/** Events of a skirt-controlled intake whose floor lies at a depth under the skirt's own TDC position. */
export function skirtEventsAt(crank: Crank, skirtDepthMm: Mm): SkirtEvents {
  const { down, up } = anglesAtDepthRad(crank, skirtDepthMm);
  return {
    openBtdcDeg: degFromRad(up),
    closeAtdcDeg: degFromRad(down),
    durationDeg: degFromRad(down + up),
  };
}

/**
 * Events of an intake that the lower edge of the skirt opens.
 * @param portFloorDepthMm floor of the port below the crown's TDC position, greater than 0
 * @param skirtLengthMm from the crown edge to the skirt's lower edge on the intake side, greater than 0
 * @throws missing, non_positive, out_of_range where the skirt never opens or never shuts the port, rod_too_short
 * @source x = floor depth - skirt length; opens going up, closes going down
 */
export function skirtEventsFromDepth(geometry: CrankGeometry, portFloorDepthMm: Mm, skirtLengthMm: Mm): SkirtEvents {
  const crank = crankFrom(geometry);
  const floor = positive('portFloorDepthMm', portFloorDepthMm);
  const skirt = positive('skirtLengthMm', skirtLengthMm);
  const depth = floor - skirt;
  if (depth <= borderSlack || depth >= crank.travelMm - borderSlack) {
    refuse(
      'out_of_range',
      'portFloorDepthMm',
      floor,
      `more than ${skirt} and less than ${skirt + crank.travelMm} mm with this skirt`,
      'otherwise the skirt never opens, or never shuts, the port.',
    );
  }
  return skirtEventsAt(crank, depth);
}

/** Change of the duration per millimetre that the edge lies deeper, deg/mm, without offset; negative. */
export function durationSlope(crank: Crank, edgeDepthMm: Mm): number {
  const { down, up } = anglesAtDepthRad(crank, edgeDepthMm);
  return -degFromRad(1 / depthSlopesAtRad(crank, down).first - 1 / depthSlopesAtRad(crank, -up).first);
}

/**
 * Depth of an edge from its opening angle, with the uncertainty that the angle's own carries over.
 * @param openAtdcDeg between 0 and 180, both excluded
 * @param angleUncertaintyDeg standard uncertainty, 0 or more
 * @throws missing, out_of_range, negative, non_positive, rod_too_short
 * @source u_x = |x'| u_phi
 */
export function depthWithUncertainty(
  geometry: CrankGeometry,
  openAtdcDeg: Deg,
  angleUncertaintyDeg: Deg,
): { edgeDepthMm: Mm; sensitivityMmPerDeg: number; standardUncertaintyMm: Mm } {
  const crank = crankFrom(geometry);
  const open = between('openAtdcDeg', openAtdcDeg, 0, 180, 'an edge is met between the dead centres.');
  const sigma = notNegative('angleUncertaintyDeg', angleUncertaintyDeg);
  const sensitivityMmPerDeg = Math.abs(radFromDeg(depthSlopesAtRad(crank, radFromDeg(open)).first));
  return {
    edgeDepthMm: depthAt(crank, open),
    sensitivityMmPerDeg,
    standardUncertaintyMm: sensitivityMmPerDeg * sigma,
  };
}

/**
 * Angle of the bare edge from a reading taken with a blade, wire or paper in the gap.
 *
 * The port must already be open by the blade's thickness before it goes in, so it makes an opening late and a closing
 * early; the piston's travel by that thickness is taken out.
 * @param readAtdcDeg crank angle of the reading, after TDC
 * @param bladeMm thickness, 0 or more
 * @returns crank angle after TDC, in [0, 360)
 * @throws missing, negative, out_of_range where the blade is thicker than the port could be open there
 */
export function withoutBlade(
  crank: Crank,
  control: 'crown' | 'skirt',
  edge: PortEdge,
  readAtdcDeg: Deg,
  bladeMm: Mm,
): Deg {
  const blade = notNegative('bladeMm', bladeMm);
  if (blade === 0) return present('readAtdcDeg', readAtdcDeg);
  // Crown: the piston stands below the roof by the blade. Skirt: it stands above the floor by the blade.
  const depth = depthAt(crank, readAtdcDeg) + (control === 'crown' ? -blade : blade);
  depthInTravel(crank, 'bladeMm', depth);
  const { down, up } = anglesAtDepthRad(crank, depth);
  const isGoingDown = (control === 'crown') === (edge === 'opens');
  return isGoingDown ? degFromRad(down) : 360 - degFromRad(up);
}
