import { positive } from '../checks.ts';
import type { Cc, Rpm } from '../units.ts';

/**
 * Brake mean effective pressure from power, one power stroke a turn.
 * @param powerKw greater than 0
 * @returns bar
 * @throws missing, non_positive
 * @source bmep = 60 P/(V N)
 */
export function bmepFromPower(powerKw: number, sweptVolumeCc: Cc, speedRpm: Rpm): number {
  const power = positive('powerKw', powerKw);
  return (6e5 * power) / (positive('sweptVolumeCc', sweptVolumeCc) * positive('speedRpm', speedRpm));
}
