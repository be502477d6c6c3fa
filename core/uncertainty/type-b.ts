import { notNegative, positive, present, refuse } from '../checks.ts';
import { wrapSigned } from '../units.ts';

export const typeBShapes = ['rectangular', 'triangular', 'arcsine'] as const;
export type TypeBShape = (typeof typeBShapes)[number];

function divisorOf(shape: TypeBShape): number {
  switch (shape) {
    case 'rectangular':
      return Math.sqrt(3);
    case 'triangular':
      return Math.sqrt(6);
    case 'arcsine':
      return Math.SQRT2;
  }
}

/**
 * Standard uncertainty from a half-width that the error stays within.
 * @param halfWidth 0 or more, any unit
 * @param shape rectangular: all values alike; triangular: middle likelier; arcsine: a sine of unknown phase, such as
 *   the reading error of an off-centre wheel
 * @throws missing, negative, out_of_range for an unknown shape
 * @source JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4.6
 */
export function typeB(halfWidth: number, shape: TypeBShape): number {
  const width = notNegative('halfWidth', halfWidth);
  if (!typeBShapes.includes(shape)) {
    refuse('out_of_range', 'shape', shape, `one of ${typeBShapes.join(', ')}`, 'choose the one that fits.');
  }
  return width / divisorOf(shape);
}

/**
 * Standard uncertainty of one step of a scale. It doesn't average away while all readings fall on the same step.
 * @param resolution step, greater than 0, any unit
 * @throws missing, non_positive
 * @source JCGM 100:2008, F.2.2.1
 */
export function resolutionUncertainty(resolution: number): number {
  return positive('resolution', resolution) / Math.sqrt(12);
}

/**
 * Standard uncertainty of an event read once turning each way. Use either this or the repeats, never both.
 * @param circular true for wheel readings, which wrap at 360
 * @throws missing
 * @source JCGM 100:2008, F.2.2.2
 */
export function hysteresisUncertainty(forward: number, backward: number, circular = false): number {
  const difference = present('forward', forward) - present('backward', backward);
  return Math.abs(circular ? wrapSigned(difference) : difference) / Math.sqrt(12);
}
