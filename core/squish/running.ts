import { positive, present } from '../checks.ts';
import type { MetrePerSecond2, Mm } from '../units.ts';

/**
 * Stretch of the rod by its reciprocating mass at speed; order of magnitude only. Running squish is smaller than solder
 * squish by this and by the bearing clearances.
 * @param massG reciprocating mass, greater than 0
 * @param accelerationMps2 peak acceleration, greater than 0
 * @param modulusGPa of the rod's material, greater than 0
 * @throws missing, non_positive
 * @source F L/(E A), the rod taken as a uniform bar
 */
export function rodInertiaStretch(input: {
  massG: number;
  accelerationMps2: MetrePerSecond2;
  rodLengthMm: Mm;
  sectionAreaMm2: number;
  modulusGPa: number;
}): { forceN: number; stretchMm: Mm } {
  const forceN = (positive('massG', input.massG) / 1000) * positive('accelerationMps2', input.accelerationMps2);
  const length = positive('rodLengthMm', input.rodLengthMm);
  const stiffness = positive('modulusGPa', input.modulusGPa) * 1000 * positive('sectionAreaMm2', input.sectionAreaMm2);
  return { forceN, stretchMm: (forceN * length) / stiffness };
}

/**
 * Growth of one part of the stack by heat; signed by the temperature rise.
 * @param lengthMm greater than 0
 * @param expansionUmPerMK greater than 0
 * @throws missing, non_positive
 */
export function thermalGrowth(lengthMm: Mm, expansionUmPerMK: number, temperatureRiseK: number): Mm {
  const length = positive('lengthMm', lengthMm);
  const expansion = positive('expansionUmPerMK', expansionUmPerMK);
  return length * expansion * 1e-6 * present('temperatureRiseK', temperatureRiseK);
}
