import type { TypedAngle, WheelReadingSetup } from '../../../core/contract/readings.ts';
import { risingReading } from '../../../core/crank/wheel-scale.ts';
import { readTypedNumber } from '../../parts/typed-number.ts';
import { sentenceOf } from '../../state/sentence-of.ts';

export type TypedAngleOutcome =
  | { readonly ok: true; readonly angle: Omit<TypedAngle, 'by' | 'setupId'> }
  | { readonly ok: false; readonly sentence: string };

/** A typed wheel reading on the rising scale; what can't be on this scale is refused with core's own sentence. */
export function typedAngle(input: {
  readonly text: string;
  readonly resolutionText: string;
  readonly reading: WheelReadingSetup;
  readonly side: 'after' | 'before' | null;
  /** Of the two zeros of a wheel in four quarters. */
  readonly zero: 'first' | 'second' | null;
}): TypedAngleOutcome {
  const typed = readTypedNumber(input.text, 'angle', 'deg');
  if (!typed.ok) return { ok: false, sentence: `Wheel reading: ${typed.reason}` };
  const resolution = readTypedNumber(input.resolutionText, 'angle', 'deg');
  if (!resolution.ok || resolution.value <= 0 || resolution.value > 10) {
    return { ok: false, sentence: 'Read to: type the smallest step you can tell, from above 0 to 10 degrees.' };
  }
  try {
    const wheelReadingDeg = risingReading({
      scale: input.reading.scale,
      shownDeg: typed.value,
      growsForwards: input.reading.growsForwards,
      sideOfZero: input.side,
      zero: input.zero,
    });
    return {
      ok: true,
      angle: {
        typedText: input.text.trim(),
        wheelReadingDeg,
        sideOfZero: input.side,
        reading: input.reading,
        resolutionDeg: resolution.value,
      },
    };
  } catch (error) {
    return { ok: false, sentence: sentenceOf(error) };
  }
}
