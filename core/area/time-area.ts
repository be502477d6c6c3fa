import { between, countOf, positive, refuse } from '../checks.ts';
import { type Crank, type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { depthInTravel } from '../ports/edge-height.ts';
import { borderSlack, type Cc, ccFromMm3, type Mm, type Mm2, type Rpm, radFromDeg } from '../units.ts';
import { blowdownAngleArea, crownAngleArea, skirtAngleArea } from './angle-area.ts';
import { areaLawFromFloor, areaLawFromRoof, type WindowShape } from './window.ts';

export interface TimeArea {
  /** Open area integrated over the crank angle. */
  readonly angleAreaDegMm2: number;
  /** The same over time: angle-area/(6 N). */
  readonly timeAreaSMm2: number;
  /** Time-area over the swept volume by the travel: 1 s mm^2/cm^3 = 1 s/m. */
  readonly specificTimeAreaSPerM: number;
}

/** Volume swept by the travel, of one cylinder. */
export function sweptByTravel(crank: Crank, boreMm: Mm): Cc {
  return ccFromMm3((Math.PI / 4) * boreMm ** 2 * crank.travelMm);
}

/** Time-area and specific time-area of an angle-area. */
export function timeAreaFrom(angleAreaDegMm2: number, speedRpm: Rpm, sweptCc: Cc): TimeArea {
  const timeAreaSMm2 = angleAreaDegMm2 / (6 * speedRpm);
  return { angleAreaDegMm2, timeAreaSMm2, specificTimeAreaSPerM: timeAreaSMm2 / sweptCc };
}

export interface PortTimeAreaInput {
  readonly geometry: CrankGeometry;
  readonly window: WindowShape;
  /** Highest point of the roof below the crown's TDC position, strictly inside the travel. */
  readonly roofDepthMm: Mm;
  readonly boreMm: Mm;
  readonly speedRpm: Rpm;
  /** Depth of the earliest transfer's roof, for the blowdown window; absent: opening to closing. */
  readonly untilDepthMm?: Mm | undefined;
  /** Equal windows, 1 where absent. */
  readonly count?: number | undefined;
}

/**
 * Angle-area, time-area and specific time-area of a crown-controlled port.
 * @throws missing, non_positive, negative, rod_too_short, out_of_range, inconsistent
 * @source integral of A(x(phi) - roof) over phi, split where A changes its law
 */
export function portTimeArea(input: PortTimeAreaInput): TimeArea {
  const crank = crankFrom(input.geometry);
  const law = areaLawFromRoof(input.window);
  const bore = positive('boreMm', input.boreMm);
  const speed = positive('speedRpm', input.speedRpm);
  const count = countOf('count', input.count);
  const roof = depthInTravel(crank, 'roofDepthMm', input.roofDepthMm);
  const one =
    input.untilDepthMm === undefined
      ? crownAngleArea(crank, law, roof)
      : blowdownAngleArea(crank, law, roof, untilDepth(crank, roof, input.untilDepthMm));
  return timeAreaFrom(count * one, speed, sweptByTravel(crank, bore));
}

function untilDepth(crank: Crank, roofDepthMm: Mm, untilDepthMm: Mm): Mm {
  const until = depthInTravel(crank, 'untilDepthMm', untilDepthMm);
  if (until <= roofDepthMm + borderSlack) {
    const allowed = `deeper than the exhaust roof at ${roofDepthMm} mm`;
    refuse('inconsistent', 'untilDepthMm', until, allowed, 'the transfer must open after the exhaust.');
  }
  return until;
}

export interface SkirtTimeAreaInput {
  readonly geometry: CrankGeometry;
  readonly window: WindowShape;
  /** Floor below the skirt's TDC position, strictly inside the travel. */
  readonly skirtDepthMm: Mm;
  readonly boreMm: Mm;
  readonly speedRpm: Rpm;
  readonly count?: number | undefined;
}

/**
 * Angle-area, time-area and specific time-area of a skirt-controlled intake.
 * @throws missing, non_positive, negative, rod_too_short, out_of_range, inconsistent
 * @source integral of A(x_i - x(phi)) over phi, the lower corners uncovered first
 */
export function skirtTimeArea(input: SkirtTimeAreaInput): TimeArea {
  const crank = crankFrom(input.geometry);
  const law = areaLawFromFloor(input.window);
  const bore = positive('boreMm', input.boreMm);
  const speed = positive('speedRpm', input.speedRpm);
  const count = countOf('count', input.count);
  const depth = depthInTravel(crank, 'skirtDepthMm', input.skirtDepthMm);
  return timeAreaFrom(count * skirtAngleArea(crank, law, depth), speed, sweptByTravel(crank, bore));
}

/**
 * Area that a jet leaving along the port's axis sees. Ideal direction only, no discharge coefficient.
 * @param azimuthDeg from the wall's normal in the plane across the bore, between -90 and 90
 * @param elevationDeg above that plane, between -90 and 90
 * @throws missing, non_positive, out_of_range
 * @source A cos(azimuth) cos(elevation)
 */
export function projectedArea(areaMm2: Mm2, azimuthDeg: number, elevationDeg: number): Mm2 {
  const area = positive('areaMm2', areaMm2);
  const azimuth = lessThanRightAngle('azimuthDeg', azimuthDeg);
  const elevation = lessThanRightAngle('elevationDeg', elevationDeg);
  return area * Math.cos(azimuth) * Math.cos(elevation);
}

function lessThanRightAngle(field: string, angleDeg: number): number {
  return radFromDeg(between(field, angleDeg, -90, 90, 'along the wall nothing leaves the port.'));
}
