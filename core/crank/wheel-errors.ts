import { between, notNegative, positive, present, refuse } from '../checks.ts';
import { borderSlack, type Deg, degFromRad, type Mm, radFromDeg } from '../units.ts';

/**
 * Reading error of a wheel mounted off-centre.
 * @param eccentricityMm of the wheel's centre from the crank axis, 0 or more, less than the radius
 * @param wheelRadiusMm of the scale, greater than 0
 * @param phaseDeg direction of the eccentricity
 * @throws missing, negative, non_positive, out_of_range
 * @source atan2(k sin t, 1 + k cos t), k = e/r; first order k sin t
 */
export function eccentricityError(
  eccentricityMm: Mm,
  wheelRadiusMm: Mm,
  angleDeg: Deg,
  phaseDeg: Deg,
): { readingErrorDeg: Deg; firstOrderErrorDeg: Deg; peakFirstOrderDeg: Deg } {
  const eccentricity = notNegative('eccentricityMm', eccentricityMm);
  const radius = positive('wheelRadiusMm', wheelRadiusMm);
  if (eccentricity >= radius - borderSlack) {
    const mend = 'the wheel must surround the crank axis.';
    refuse('out_of_range', 'eccentricityMm', eccentricity, `less than the radius, ${radius} mm`, mend);
  }
  const part = eccentricity / radius;
  const angle = radFromDeg(present('angleDeg', angleDeg) - present('phaseDeg', phaseDeg));
  return {
    readingErrorDeg: degFromRad(Math.atan2(part * Math.sin(angle), 1 + part * Math.cos(angle))),
    firstOrderErrorDeg: degFromRad(part * Math.sin(angle)),
    peakFirstOrderDeg: degFromRad(part),
  };
}

/**
 * Reading error of an eye that doesn't look square on the pointer.
 * @param pointerGapMm between pointer and scale, 0 or more
 * @param viewAngleDeg from the wheel's normal, between -90 and 90
 * @throws missing, negative, non_positive, out_of_range
 * @source gap tan(angle)/r
 */
export function parallaxError(pointerGapMm: Mm, viewAngleDeg: Deg, wheelRadiusMm: Mm): Deg {
  const gap = notNegative('pointerGapMm', pointerGapMm);
  const view = between('viewAngleDeg', viewAngleDeg, -90, 90, 'look at the wheel from its front.');
  return degFromRad((gap * Math.tan(radFromDeg(view))) / positive('wheelRadiusMm', wheelRadiusMm));
}
