import { positive, present, presentOr, refuse, within } from '../checks.ts';
import { borderSlack, type Deg, degFromRad, type Mm, type Rad, radFromDeg } from '../units.ts';

export interface CrankGeometry {
  /** S = 2R, twice the crank radius, greater than 0. */
  readonly strokeMm: Mm;
  /** Between the eyes' centres; must exceed half the stroke plus the offset. */
  readonly rodLengthMm: Mm;
  /**
   * Path of the gudgeon pin from the crank centre, positive on the side that the crank pin swings to after TDC:
   * cylinder offset and pin offset added with their signs. 0 where absent.
   */
  readonly offsetMm?: Mm | undefined;
}

/** A crank with its dead centres worked out once; angles inside are radians from the line parallel to the bore. */
export interface Crank {
  readonly radiusMm: Mm;
  readonly rodLengthMm: Mm;
  readonly offsetMm: Mm;
  readonly tdcAngle: Rad;
  readonly bdcAngle: Rad;
  /** Height of the gudgeon pin over the crank centre at TDC and at BDC. */
  readonly tdcHeightMm: Mm;
  readonly bdcHeightMm: Mm;
  /** Travel H of the piston; a little over the stroke where there is an offset. */
  readonly travelMm: Mm;
}

/** A rod below this many strokes is likelier a typing error than an engine. Our own choice, for a warning only. */
export const suspiciouslyShortRodStrokes = 1.5;

/**
 * Checks a crank's sizes and works out its dead centres, where crank and rod are in line.
 * @throws missing, non_positive, rod_too_short where rod <= stroke/2 + |offset|
 * @source vector loop of the slider-crank with offset; Heywood, Internal Combustion Engine Fundamentals (1988), 2.2
 */
export function crankFrom(geometry: CrankGeometry): Crank {
  const strokeMm = positive('strokeMm', geometry.strokeMm);
  const rodLengthMm = positive('rodLengthMm', geometry.rodLengthMm);
  const offsetMm = presentOr('offsetMm', geometry.offsetMm, 0);
  const radiusMm = strokeMm / 2;
  const shortest = radiusMm + Math.abs(offsetMm);
  if (rodLengthMm <= shortest + borderSlack) {
    refuse(
      'rod_too_short',
      'rodLengthMm',
      rodLengthMm,
      `longer than half the stroke plus the offset, ${shortest} mm`,
      'the crank could not turn; check stroke, rod length and offset.',
    );
  }
  const outer = rodLengthMm + radiusMm;
  const inner = rodLengthMm - radiusMm;
  const tdcHeightMm = Math.sqrt((outer - offsetMm) * (outer + offsetMm));
  const bdcHeightMm = Math.sqrt((inner - offsetMm) * (inner + offsetMm));
  return {
    radiusMm,
    rodLengthMm,
    offsetMm,
    tdcAngle: Math.asin(offsetMm / outer),
    bdcAngle: Math.PI + Math.asin(offsetMm / inner),
    tdcHeightMm,
    bdcHeightMm,
    // Without offset the travel is the stroke itself, not a difference of square roots.
    travelMm: offsetMm === 0 ? strokeMm : tdcHeightMm - bdcHeightMm,
  };
}

export interface DeadCentres {
  /** Crank angle of TDC from the line parallel to the bore. */
  readonly tdcFromVerticalDeg: Deg;
  readonly bdcFromVerticalDeg: Deg;
  readonly travelMm: Mm;
  readonly downstrokeAngleDeg: Deg;
  readonly upstrokeAngleDeg: Deg;
}

/**
 * Dead centres and travel of a crank.
 * @throws missing, non_positive, rod_too_short
 * @source crank and rod in line: TDC at asin(e/(L+R)), BDC at 180 deg + asin(e/(L-R)), where the rod is folded back
 */
export function deadCentres(geometry: CrankGeometry): DeadCentres {
  const crank = crankFrom(geometry);
  const downstrokeAngleDeg = degFromRad(crank.bdcAngle - crank.tdcAngle);
  return {
    tdcFromVerticalDeg: degFromRad(crank.tdcAngle),
    bdcFromVerticalDeg: degFromRad(crank.bdcAngle),
    travelMm: crank.travelMm,
    downstrokeAngleDeg,
    upstrokeAngleDeg: 360 - downstrokeAngleDeg,
  };
}

/**
 * Distance of the crown edge below its own TDC position, for an angle in radians after TDC. Written so that nothing
 * cancels near TDC: the loss of height is put together from the angle's own small quantities.
 */
export function depthAtRad(crank: Crank, afterTdc: Rad): Mm {
  const { radiusMm, rodLengthMm, offsetMm, tdcAngle } = crank;
  const angle = tdcAngle + afterTdc;
  const sineHalf = Math.sin(afterTdc / 2);
  // R cos(tdc) - R cos(tdc + phi)
  const crankPart = 2 * radiusMm * sineHalf * Math.sin(tdcAngle + afterTdc / 2);
  // R sin(tdc + phi) - R sin(tdc)
  const sideways = 2 * radiusMm * sineHalf * Math.cos(tdcAngle + afterTdc / 2);
  const tdcSide = radiusMm * Math.sin(tdcAngle) - offsetMm;
  const side = radiusMm * Math.sin(angle) - offsetMm;
  const rise = Math.sqrt(rodLengthMm ** 2 - side ** 2);
  const tdcRise = Math.sqrt(rodLengthMm ** 2 - tdcSide ** 2);
  return crankPart + (sideways * (side + tdcSide)) / (rise + tdcRise);
}

/**
 * Distance of the crown edge below its own TDC position.
 * @param atdcDeg crank angle after true TDC, any turn; negative before TDC
 * @throws missing where the angle is no number
 */
export function depthAt(crank: Crank, atdcDeg: Deg): Mm {
  return depthAtRad(crank, radFromDeg(present('crankAngleDeg', atdcDeg)));
}

/** First and second derivative of the crown's depth by the crank angle in radians, mm/rad and mm/rad^2. */
export function depthSlopesAtRad(crank: Crank, afterTdc: Rad): { first: number; second: number } {
  const { radiusMm, rodLengthMm, offsetMm, tdcAngle } = crank;
  const angle = tdcAngle + afterTdc;
  const sine = Math.sin(angle);
  const cosine = Math.cos(angle);
  const side = radiusMm * sine - offsetMm;
  const rise = Math.sqrt(rodLengthMm ** 2 - side ** 2);
  const swing = radiusMm * cosine;
  return {
    first: radiusMm * sine + (side * swing) / rise,
    second: swing + (radiusMm * (radiusMm * cosine ** 2 - side * sine)) / rise + (side * swing) ** 2 / rise ** 3,
  };
}

export interface AnglesAtDepth {
  readonly downAtdcDeg: Deg;
  readonly upBtdcDeg: Deg;
}

/** Crank angles in radians at which the crown edge stands at a depth; the depth must lie within the travel. */
export function anglesAtDepthRad(crank: Crank, depthMm: Mm): { down: Rad; up: Rad } {
  const { radiusMm, rodLengthMm, offsetMm, tdcAngle, tdcHeightMm } = crank;
  const height = tdcHeightMm - depthMm;
  const distance = Math.hypot(height, offsetMm);
  const lean = Math.atan2(offsetMm, height);
  const outer = rodLengthMm + radiusMm;
  const inner = rodLengthMm - radiusMm;
  // Half-angle form of the cosine rule: acos loses half its digits at the dead centres, this keeps them. Rounding may
  // push a depth on a dead centre just past it, hence the clamps.
  const above = Math.max(0, (outer - distance) * (distance + inner));
  const below = Math.max(0, (distance - inner) * (distance + outer));
  const half = 2 * Math.atan2(Math.sqrt(above), Math.sqrt(below));
  return { down: Math.max(0, lean + half - tdcAngle), up: Math.max(0, half - lean + tdcAngle) };
}

/**
 * Crank angles at which the crown edge stands at a given depth: once going down, once coming up.
 * @param depthMm from 0 (TDC) to the travel (BDC), borders included. Within 0.001 mm of a dead centre the angle is
 *   worthless: the piston hardly moves there.
 * @throws missing, out_of_range
 * @source cosine rule in the triangle crank centre, crank pin, gudgeon pin
 */
export function anglesAtDepth(crank: Crank, depthMm: Mm): AnglesAtDepth {
  const depth = within('positionMm', depthMm, 0, crank.travelMm, 'the piston never stands there.');
  const { down, up } = anglesAtDepthRad(crank, Math.min(Math.max(depth, 0), crank.travelMm));
  return { downAtdcDeg: degFromRad(down), upBtdcDeg: degFromRad(up) };
}

/**
 * Depth at which the two crank angles of one piston height lie a given arc apart, half of it either side: by the cosine
 * rule the height depends on that half alone, whatever the offset.
 * @param halfArc half the arc through TDC, 0 to pi
 */
export function depthAtHalfArc(crank: Crank, halfArc: Rad): Mm {
  const side = crank.radiusMm * Math.sin(halfArc);
  const distance = crank.radiusMm * Math.cos(halfArc) + Math.sqrt(crank.rodLengthMm ** 2 - side ** 2);
  return crank.tdcHeightMm - Math.sqrt((distance - crank.offsetMm) * (distance + crank.offsetMm));
}

/** Side of an offset: towards where the crank pin swings after TDC, or away from there. */
export interface SidedOffset {
  readonly mm: Mm;
  readonly side: 'swing_side' | 'away_side';
}

/** Signed sum of offsets asked with their side: cylinder offset and pin offset. @throws missing, negative */
export function signedOffset(...offsets: readonly SidedOffset[]): Mm {
  let sum = 0;
  for (const { mm, side } of offsets) {
    if (present('offsetMm', mm) < 0) {
      refuse('negative', 'offsetMm', mm, '0 mm or more', 'enter the size and choose the side.');
    }
    sum += side === 'swing_side' ? mm : -mm;
  }
  return sum;
}

/** Advice, not a refusal: a sentence where the rod looks too short for its stroke, else null. */
export function rodWarning(geometry: CrankGeometry): string | null {
  const shortest = suspiciouslyShortRodStrokes * geometry.strokeMm;
  return geometry.rodLengthMm < shortest
    ? `A rod of ${geometry.rodLengthMm} mm is short for a stroke of ${geometry.strokeMm} mm: check both, centre to centre.`
    : null;
}
