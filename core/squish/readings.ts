import { atLeast, notNegative, numbers, positive, refuse, sameLength } from '../checks.ts';
import { meanOf, squaredDeviations } from '../uncertainty/type-a.ts';
import { borderSlack, type Deg, degFromRad, type Mm, radFromDeg, wrapTurn } from '../units.ts';

export interface SquishStatistics {
  readonly meanMm: Mm;
  /** Judge contact by this one. */
  readonly minimumMm: Mm;
  readonly maximumMm: Mm;
  readonly rangeMm: Mm;
  /** With n - 1. */
  readonly standardDeviationMm: Mm;
}

function gaps(field: string, readings: readonly Mm[], count: number, why: string): readonly Mm[] {
  const list = numbers(field, readings);
  for (const [index, reading] of list.entries()) positive(`${field}[${index + 1}]`, reading);
  return atLeast(field, list, count, why);
}

/**
 * Statistics of squish readings. Judge the minimum for contact and the mean for the ratio.
 * @param readingsMm at least two, each greater than 0
 * @throws missing, non_positive, insufficient_data
 */
export function squishStatistics(readingsMm: readonly Mm[]): SquishStatistics {
  const readings = gaps('readings', readingsMm, 2, 'one reading shows no spread');
  const minimumMm = Math.min(...readings);
  const maximumMm = Math.max(...readings);
  return {
    meanMm: meanOf(readings),
    minimumMm,
    maximumMm,
    rangeMm: maximumMm - minimumMm,
    standardDeviationMm: Math.sqrt(squaredDeviations(readings) / (readings.length - 1)),
  };
}

export interface SquishPlane {
  readonly centreMm: Mm;
  readonly tiltMmPerM: number;
  readonly tiltAngleDeg: Deg;
  readonly minimumOverBoreMm: Mm;
  readonly maximumOverBoreMm: Mm;
  /** Root mean square over all readings: warp, rock or a mismatched dome. */
  readonly rmsResidualMm: Mm;
  /** 0 = exhaust side, clockwise seen from above, [0, 360); absent where there is no tilt. */
  readonly directionOfLargestGapDeg?: Deg;
}

/** Below this slope the direction of a tilt is rounding noise, mm/mm. */
const smallestTilt = 1e-12;
/** Squared sine of the angle between readings below which they count as lying on one line. */
const smallestSpread = 1e-12;

/**
 * Plane through squish readings taken on a circle: tilt between piston crown and head.
 * @param readingsMm at least three, each greater than 0
 * @param anglesDeg place of each reading: 0 = exhaust side, clockwise seen from above
 * @param radiusMm circle on which they were taken, greater than 0, inside the bore
 * @throws missing, non_positive, insufficient_data, inconsistent, singular where all lie on one line
 * @source least squares of c = c0 + a X + b Y
 */
export function squishPlane(
  readingsMm: readonly Mm[],
  anglesDeg: readonly Deg[],
  radiusMm: Mm,
  boreMm: Mm,
): SquishPlane {
  const angles = numbers('angles', anglesDeg);
  sameLength('readings', numbers('readings', readingsMm), 'angles', angles);
  const readings = gaps('readings', readingsMm, 3, 'two places cannot fix a plane');
  const radius = positive('radiusMm', radiusMm);
  const bore = positive('boreMm', boreMm);
  if (radius > bore / 2 + borderSlack) {
    refuse('inconsistent', 'radiusMm', radius, `up to half the bore, ${bore / 2} mm`, 'it lies inside the bore.');
  }
  const places = angles.map((angle) => [radius * Math.cos(radFromDeg(angle)), radius * Math.sin(radFromDeg(angle))]);
  const plane = planeThrough(places as [number, number][], readings, radius);
  if (plane === null) {
    refuse('singular', 'angles', angles, 'places that are not all on one line', 'take a reading beside the line.');
  }
  const { centre, slopeX, slopeY, squares } = plane;
  const tilt = Math.hypot(slopeX, slopeY);
  return {
    centreMm: centre,
    tiltMmPerM: 1000 * tilt,
    tiltAngleDeg: degFromRad(Math.atan(tilt)),
    minimumOverBoreMm: centre - (tilt * bore) / 2,
    maximumOverBoreMm: centre + (tilt * bore) / 2,
    rmsResidualMm: Math.sqrt(squares / readings.length),
    ...(tilt < smallestTilt ? {} : { directionOfLargestGapDeg: wrapTurn(degFromRad(Math.atan2(slopeY, slopeX))) }),
  };
}

/** Least squares about the centre of the places, in which the mean drops out; null where all lie on one line. */
function planeThrough(
  places: readonly (readonly [number, number])[],
  readings: readonly number[],
  radius: number,
): { centre: number; slopeX: number; slopeY: number; squares: number } | null {
  const meanX = meanOf(places.map(([x]) => x));
  const meanY = meanOf(places.map(([, y]) => y));
  const mean = meanOf(readings);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  let xc = 0;
  let yc = 0;
  for (const [index, [px, py]] of places.entries()) {
    const x = px - meanX;
    const y = py - meanY;
    const c = (readings[index] as number) - mean;
    xx += x * x;
    xy += x * y;
    yy += y * y;
    xc += x * c;
    yc += y * c;
  }
  const determinant = xx * yy - xy * xy;
  if (determinant <= smallestSpread * (radius * radius * places.length) ** 2) return null;
  const slopeX = (xc * yy - yc * xy) / determinant;
  const slopeY = (yc * xx - xc * xy) / determinant;
  const centre = mean - slopeX * meanX - slopeY * meanY;
  let squares = 0;
  for (const [index, [x, y]] of places.entries()) {
    squares += ((readings[index] as number) - centre - slopeX * x - slopeY * y) ** 2;
  }
  return { centre, slopeX, slopeY, squares };
}

export interface SquishPairs {
  readonly pinMeanMm: Mm;
  readonly thrustMeanMm: Mm;
  /** Pin-axis mean less thrust-axis mean. */
  readonly pairMeanDifferenceMm: Mm;
  readonly slopeAlongPinMmPerM: number;
  readonly slopeAlongThrustMmPerM: number;
}

/**
 * Four readings as two opposite pairs. Judge on the pin axis: the piston rocks about the pin, so the thrust pair takes
 * the rock in opposite senses.
 * @param readings each greater than 0, all at one radius
 * @throws missing, non_positive
 */
export function squishPairs(readings: {
  pinAMm: Mm;
  pinBMm: Mm;
  thrustAMm: Mm;
  thrustBMm: Mm;
  radiusMm: Mm;
}): SquishPairs {
  const pinA = positive('pinAMm', readings.pinAMm);
  const pinB = positive('pinBMm', readings.pinBMm);
  const thrustA = positive('thrustAMm', readings.thrustAMm);
  const thrustB = positive('thrustBMm', readings.thrustBMm);
  const across = 2 * positive('radiusMm', readings.radiusMm);
  return {
    pinMeanMm: (pinA + pinB) / 2,
    thrustMeanMm: (thrustA + thrustB) / 2,
    pairMeanDifferenceMm: (pinA + pinB) / 2 - (thrustA + thrustB) / 2,
    slopeAlongPinMmPerM: (1000 * (pinA - pinB)) / across,
    slopeAlongThrustMmPerM: (1000 * (thrustA - thrustB)) / across,
  };
}

/**
 * How far the crown's edge rises when the piston rocks within its clearance.
 * @param diametralClearanceMm greater than 0
 * @param skirtLengthMm greater than 0
 * @param radiusMm where the gap is measured, greater than 0
 * @throws missing, non_positive
 * @source atan(clearance/skirt length); rise r sin(angle)
 */
export function pistonRock(
  diametralClearanceMm: Mm,
  skirtLengthMm: Mm,
  radiusMm: Mm,
): { rockAngleDeg: Deg; edgeRiseMm: Mm } {
  const clearance = positive('diametralClearanceMm', diametralClearanceMm);
  const skirt = positive('skirtLengthMm', skirtLengthMm);
  const angle = Math.atan(clearance / skirt);
  return { rockAngleDeg: degFromRad(angle), edgeRiseMm: positive('radiusMm', radiusMm) * Math.sin(angle) };
}

/**
 * Limits from a nominal size and its tolerances, entered as magnitudes.
 * @throws missing, negative
 */
export function toleranceLimits(
  nominal: number,
  plus: number,
  minus: number,
): { lower: number; upper: number; midpoint: number } {
  const size = numbers('nominal', [nominal])[0] as number;
  const lower = size - notNegative('minus', minus);
  const upper = size + notNegative('plus', plus);
  return { lower, upper, midpoint: (lower + upper) / 2 };
}
