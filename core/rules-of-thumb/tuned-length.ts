import { between, positive, present, refuse } from '../checks.ts';
import { borderSlack, type Celsius, type Deg, type MetrePerSecond, type Mm, type Rpm } from '../units.ts';

export const tunedLengthSource =
  "G. Jennings, Two-Stroke Tuner's Handbook (1973): one wave speed for the whole pipe, counted from the cylinder wall; a starting point only";

/** Wave speed used with the trade form of the rule, 1700 ft/s. */
export const tradeWaveSpeedMps: MetrePerSecond = 1700 * 0.3048;

/**
 * Distance at which a wave must be reflected to be back after the exhaust's open time.
 * @param exhaustDurationDeg between 0 and 360, both excluded
 * @param waveSpeedMps greater than 0
 * @throws missing, non_positive, out_of_range
 * @source L = c D/(12 N); no cones, mean reflection point
 */
export function tunedLength(exhaustDurationDeg: Deg, waveSpeedMps: MetrePerSecond, speedRpm: Rpm): Mm {
  const duration = between('exhaustDurationDeg', exhaustDurationDeg, 0, 360, 'a duration is part of one turn.');
  const wave = positive('waveSpeedMps', waveSpeedMps);
  return (1000 * wave * duration) / (12 * positive('speedRpm', speedRpm));
}

const absoluteZeroCelsius = -273.15;

/**
 * Speed of sound in a gas. The gas temperature is the weak input: 10 % of it is 5 % of the length.
 * @param gamma ratio of specific heats, greater than 1
 * @param gasConstantJPerKgK greater than 0
 * @param temperatureCelsius above absolute zero
 * @throws missing, non_positive, out_of_range
 * @source c = sqrt(gamma R T), ideal gas
 */
export function soundSpeed(gamma: number, gasConstantJPerKgK: number, temperatureCelsius: Celsius): MetrePerSecond {
  const ratio = present('gamma', gamma);
  if (ratio <= 1 + borderSlack) {
    refuse('out_of_range', 'gamma', ratio, 'greater than 1', 'hot exhaust gas has about 1.3 to 1.4.');
  }
  const gasConstant = positive('gasConstant', gasConstantJPerKgK);
  const temperature = present('temperatureCelsius', temperatureCelsius);
  if (temperature <= absoluteZeroCelsius + borderSlack) {
    refuse('out_of_range', 'temperatureCelsius', temperature, `above ${absoluteZeroCelsius} °C`, 'nothing is colder.');
  }
  return Math.sqrt(ratio * gasConstant * (temperature - absoluteZeroCelsius));
}
