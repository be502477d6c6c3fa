import { present, refuse } from '../checks.ts';
import { anglesAtDepthRad, type CrankGeometry, crankFrom, depthAt } from '../crank/geometry.ts';
import { borderSlack, type Deg, degFromRad, type Mm } from '../units.ts';

/**
 * Distance of the piston below TDC at an ignition advance.
 * @param advanceDeg before TDC, 0 or more and less than 180
 * @throws missing, out_of_range, non_positive, rod_too_short
 * @source slider-crank on the upstroke
 */
export function ignitionMmFromDeg(geometry: CrankGeometry, advanceDeg: Deg): Mm {
  const crank = crankFrom(geometry);
  const advance = present('advanceDeg', advanceDeg);
  if (advance < -borderSlack || advance >= 180 - borderSlack) {
    const mend = 'ignition comes before TDC on the upstroke.';
    refuse('out_of_range', 'advanceDeg', advance, '0 deg or more and less than 180 deg', mend);
  }
  return depthAt(crank, -advance);
}

/**
 * Ignition advance at a distance of the piston below TDC.
 * @param positionBtdcMm on the upstroke, 0 or more and less than the travel
 * @throws missing, out_of_range, non_positive, rod_too_short
 */
export function ignitionDegFromMm(geometry: CrankGeometry, positionBtdcMm: Mm): Deg {
  const crank = crankFrom(geometry);
  const position = present('positionBtdcMm', positionBtdcMm);
  if (position < -borderSlack || position >= crank.travelMm - borderSlack) {
    const allowed = `0 mm or more and less than the travel, ${crank.travelMm} mm`;
    refuse('out_of_range', 'positionBtdcMm', position, allowed, 'measure down from TDC.');
  }
  return degFromRad(anglesAtDepthRad(crank, Math.max(0, position)).up);
}

/**
 * Travel along the bore from the reading of a dial gauge in a slanting plug hole.
 * @param readingMm 0 or more
 * @param plugAngleDeg between the gauge's axis and the bore, 0 or more and less than 90
 * @throws missing, out_of_range
 * @source the crown moves along the bore, so a slanting gauge shows 1/cos of it
 */
export function travelFromSlantedGauge(readingMm: Mm, plugAngleDeg: Deg): Mm {
  const reading = present('readingMm', readingMm);
  const angle = present('plugAngleDeg', plugAngleDeg);
  if (angle < 0 || angle >= 90) {
    refuse(
      'out_of_range',
      'plugAngleDeg',
      angle,
      '0 deg or more and less than 90 deg',
      'measure it from the bore axis.',
    );
  }
  return reading * Math.cos((angle * Math.PI) / 180);
}
