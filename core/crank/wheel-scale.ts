import { present, refuse } from '../checks.ts';
import { borderSlack, type Deg, wrapTurn } from '../units.ts';

export const wheelScales = ['0-360', '0-180-0', '0-90-0-90', 'two_rings'] as const;
/**
 * Scales met on degree wheels:
 * `0-360` runs once round; `two_rings` has two such rings running opposite ways; `0-180-0` runs from the zero both ways
 * up to 180; `0-90-0-90` runs from two opposite zeros both ways up to 90.
 */
export type WheelScale = (typeof wheelScales)[number];

export interface ScaleReading {
  readonly scale: WheelScale;
  /** `0-360`, `two_rings`: do the numbers of the ring in use grow when the crank turns forwards? Else without meaning. */
  readonly growsForwards: boolean;
  /** The number under the pointer, as the scale prints it. */
  readonly shownDeg: Deg;
  /** Two-way scales: does the number lie on the side that comes under the pointer after the zero, turning forwards? */
  readonly sideOfZero?: 'after' | 'before' | null | undefined;
  /** `0-90-0-90`: the zero that the number is counted from; `second` is half a turn on from `first`. */
  readonly zero?: 'first' | 'second' | null | undefined;
}

function shownWithin(shownDeg: Deg, largest: Deg, largestIsShown: boolean): Deg {
  const shown = present('wheelReadingDeg', shownDeg);
  const tooLarge = largestIsShown ? shown > largest + borderSlack : shown >= largest;
  if (shown < 0 || tooLarge) {
    const allowed = largestIsShown ? `from 0 to ${largest} deg` : `from 0 to just under ${largest} deg`;
    refuse('out_of_range', 'wheelReadingDeg', shown, `${allowed} on this scale`, 'read it again, or change the scale.');
  }
  return shown;
}

function signedFromZero(reading: ScaleReading, largest: Deg): Deg {
  const shown = shownWithin(reading.shownDeg, largest, true);
  // At the zero and at the far end both sides are one and the same place.
  if (shown === 0 || (largest === 180 && shown === 180)) return shown;
  switch (reading.sideOfZero) {
    case 'after':
      return shown;
    case 'before':
      return -shown;
    default:
      return refuse(
        'missing',
        'sideOfZero',
        reading.sideOfZero,
        'after or before the zero',
        'say on which side it lies.',
      );
  }
}

/**
 * A number read from a wheel as a reading in [0, 360) that rises when the crank turns forwards; 0 is the wheel's zero,
 * not TDC.
 * @throws missing where the scale needs the side or the zero, out_of_range
 */
export function risingReading(reading: ScaleReading): Deg {
  switch (reading.scale) {
    case '0-360':
    case 'two_rings': {
      const shown = shownWithin(reading.shownDeg, 360, false);
      return wrapTurn(reading.growsForwards ? shown : -shown);
    }
    case '0-180-0':
      return wrapTurn(signedFromZero(reading, 180));
    case '0-90-0-90': {
      const fromZero = signedFromZero(reading, 90);
      switch (reading.zero) {
        case 'first':
          return wrapTurn(fromZero);
        case 'second':
          return wrapTurn(180 + fromZero);
        default:
          return refuse(
            'missing',
            'zero',
            reading.zero,
            'the first or the second zero',
            'say which zero it is counted from.',
          );
      }
    }
  }
}

/** Number that a scale shows for a rising reading, with what it takes to read it back. */
export function shownOnScale(scale: WheelScale, growsForwards: boolean, risingDeg: Deg): ScaleReading {
  const rising = wrapTurn(present('risingDeg', risingDeg));
  switch (scale) {
    case '0-360':
    case 'two_rings':
      return { scale, growsForwards, shownDeg: wrapTurn(growsForwards ? rising : -rising) };
    case '0-180-0':
      return rising <= 180
        ? { scale, growsForwards, shownDeg: rising, sideOfZero: 'after' }
        : { scale, growsForwards, shownDeg: 360 - rising, sideOfZero: 'before' };
    case '0-90-0-90': {
      const zero = rising > 90 && rising <= 270 ? 'second' : 'first';
      const fromZero = rising <= 90 ? rising : rising <= 270 ? rising - 180 : rising - 360;
      return {
        scale,
        growsForwards,
        shownDeg: Math.abs(fromZero),
        sideOfZero: fromZero >= 0 ? 'after' : 'before',
        zero,
      };
    }
  }
}

export type AngleMeaning = 'atdc' | 'bbdc' | 'half_duration' | 'duration';

/**
 * What a bare number typed for a crown-controlled port's opening may mean; more than one answer must be asked about,
 * never guessed. 88 may be an opening at 88 ATDC, or one at 88 BBDC, which is half of a duration of 176.
 * @param typedDeg the number, greater than 0
 * @returns each possible meaning with the opening ATDC it would stand for
 * @throws missing, out_of_range
 */
export function possibleMeanings(typedDeg: Deg): { meaning: AngleMeaning; openAtdcDeg: Deg }[] {
  const typed = present('typedDeg', typedDeg);
  if (typed <= 0 || typed >= 360) {
    refuse('out_of_range', 'typedDeg', typed, 'between 0 and 360 deg', 'a port event lies inside one turn.');
  }
  if (typed >= 180) return [{ meaning: 'duration', openAtdcDeg: 180 - typed / 2 }];
  return [
    { meaning: 'atdc', openAtdcDeg: typed },
    { meaning: 'bbdc', openAtdcDeg: 180 - typed },
    { meaning: 'half_duration', openAtdcDeg: 180 - typed },
    { meaning: 'duration', openAtdcDeg: 180 - typed / 2 },
  ];
}
