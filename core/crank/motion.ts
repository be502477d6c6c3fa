import { positive, present } from '../checks.ts';
import { highest } from '../numerics/search.ts';
import {
  type Deg,
  type MetrePerSecond,
  type MetrePerSecond2,
  type Rpm,
  radFromDeg,
  radPerSecondFromRpm,
} from '../units.ts';
import { type CrankGeometry, crankFrom, depthSlopesAtRad } from './geometry.ts';

/**
 * Speed and acceleration of the piston at a crank angle; positive away from the head.
 * @param speedRpm greater than 0
 * @throws missing, non_positive, rod_too_short
 * @source first and second derivative of the slider-crank with offset
 */
export function velocityAndAcceleration(
  geometry: CrankGeometry,
  atdcDeg: Deg,
  speedRpm: Rpm,
): { velocityMps: MetrePerSecond; accelerationMps2: MetrePerSecond2 } {
  const crank = crankFrom(geometry);
  const turning = radPerSecondFromRpm(positive('speedRpm', speedRpm));
  const slopes = depthSlopesAtRad(crank, radFromDeg(present('crankAngleDeg', atdcDeg)));
  return {
    velocityMps: (slopes.first * turning) / 1000,
    accelerationMps2: (slopes.second * turning ** 2) / 1000,
  };
}

/**
 * Mean piston speed: twice the travel in one turn.
 * @throws missing, non_positive, rod_too_short
 * @source Heywood, Internal Combustion Engine Fundamentals (1988), 2.2; with the travel in place of the stroke
 */
export function meanPistonSpeed(geometry: CrankGeometry, speedRpm: Rpm): MetrePerSecond {
  const { travelMm } = crankFrom(geometry);
  return (2 * travelMm * positive('speedRpm', speedRpm)) / 60 / 1000;
}

/**
 * Largest acceleration of the piston, near TDC.
 * @throws missing, non_positive, rod_too_short
 * @source without offset R w^2 (1 + R/L) at TDC; with offset the maximum within 45 deg of TDC
 */
export function peakAcceleration(geometry: CrankGeometry, speedRpm: Rpm): MetrePerSecond2 {
  const crank = crankFrom(geometry);
  const turning = radPerSecondFromRpm(positive('speedRpm', speedRpm));
  const peak =
    crank.offsetMm === 0
      ? crank.radiusMm * (1 + crank.radiusMm / crank.rodLengthMm)
      : highest((angle) => Math.abs(depthSlopesAtRad(crank, angle).second), -Math.PI / 4, Math.PI / 4).value;
  return (peak * turning ** 2) / 1000;
}
