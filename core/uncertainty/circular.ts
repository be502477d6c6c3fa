import { atLeast, present, refuse } from '../checks.ts';
import { type Deg, degFromRad, radFromDeg, wrapSigned, wrapTurn } from '../units.ts';
import { meanOf } from './type-a.ts';

/** Length of the mean of unit vectors under which readings count as cancelling each other. */
const smallestMeanVector = 1e-9;

/**
 * Mean direction of angles by averaging unit vectors.
 * @param readingsDeg at least one, any turn
 * @returns in [0, 360)
 * @throws missing, insufficient_data, singular where the readings point opposite ways
 * @source average of unit vectors
 */
export function circularMean(readingsDeg: readonly Deg[]): Deg {
  const readings = atLeast('readings', readingsDeg, 1, 'there is nothing to average');
  let x = 0;
  let y = 0;
  for (const reading of readings) {
    const angle = radFromDeg(reading);
    x += Math.cos(angle);
    y += Math.sin(angle);
  }
  if (Math.hypot(x, y) / readings.length < smallestMeanVector) {
    refuse('singular', 'readings', readings, 'readings of one and the same place', 'opposite readings have no mean.');
  }
  return wrapTurn(degFromRad(Math.atan2(y, x)));
}

/**
 * Repeats of one place as plain numbers that may be averaged: each within 180 degrees of the first.
 * @throws missing, singular where two readings are half a turn apart, which leaves the way between them open
 */
export function unwrapped(readingsDeg: readonly Deg[]): number[] {
  const first = readingsDeg[0];
  if (first === undefined) return [];
  return readingsDeg.map((reading, index) => {
    const difference = wrapSigned(present(`readings[${index + 1}]`, reading) - first);
    if (Math.abs(difference) > 180 - 1e-9) {
      refuse('singular', 'readings', readingsDeg, 'readings of one and the same place', 'two are half a turn apart.');
    }
    return first + difference;
  });
}

/**
 * Mean of repeats of one place: the plain mean, taken across 0/360 where they straddle it.
 * @returns in [0, 360)
 * @throws missing, insufficient_data, singular
 */
export function meanOfRepeats(readingsDeg: readonly Deg[]): Deg {
  const readings = atLeast('readings', readingsDeg, 1, 'there is nothing to average');
  return wrapTurn(meanOf(unwrapped(readings)));
}
