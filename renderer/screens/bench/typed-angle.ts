import type { TypedAngle, WheelReadingSetup } from '../../../core/contract/readings.ts';
import { risingReading } from '../../../core/crank/wheel-scale.ts';
import { calibrationSigma } from '../../../core/mockup/check-readings.ts';
import { shownDay } from '../../parts/time-text.ts';
import { readTypedNumber } from '../../parts/typed-number.ts';
import { checkInstruments, type Instrument, isCalibrationOverdue, stepOfInstrument } from '../../state/instruments.ts';
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
  /** The listed wheel that was read, with its own error on that day. */
  readonly wheel?: { readonly id: string; readonly sigmaDeg: number } | null;
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
        instrumentId: input.wheel?.id ?? null,
        instrumentSigmaDeg: input.wheel?.sigmaDeg ?? 0,
      },
    };
  } catch (error) {
    return { ok: false, sentence: sentenceOf(error) };
  }
}

/** Standard uncertainty of a listed wheel's own error today, deg. */
export function wheelSigmaDeg(wheel: Instrument): number {
  const [listed] = checkInstruments([wheel]);
  return listed === undefined ? 0 : calibrationSigma(listed, new Date().toISOString());
}

/** What goes into the uncertainty of each reading taken with it. */
export function wheelSentence(wheel: Instrument): string {
  const step = stepOfInstrument(wheel);
  const isChecked = wheel.calibratedOn !== '' && !isCalibrationOverdue(wheel, shownDay(new Date().toISOString()));
  if (!isChecked) {
    const why = wheel.calibratedOn === '' ? 'never calibrated' : `calibration was due on ${wheel.calibrationDueOn}`;
    return `${wheel.name}: ${why}, so a whole step of ${step} deg either way goes into the uncertainty.`;
  }
  return wheel.calibrationExpanded === null
    ? `${wheel.name}: calibrated on ${wheel.calibratedOn}; its step of ${step} deg goes into the uncertainty.`
    : `${wheel.name}: calibrated on ${wheel.calibratedOn}; its step of ${step} deg and U ${wheel.calibrationExpanded} deg go into the uncertainty.`;
}

/** A number under the pointer that is only compared or shown, read to half a degree. */
export function typedScaleNumber(
  number: { readonly text: string; readonly side: 'after' | 'before'; readonly zero: 'first' | 'second' },
  reading: WheelReadingSetup,
): TypedAngleOutcome {
  const { scale } = reading;
  return typedAngle({
    text: number.text,
    resolutionText: '0.5',
    reading,
    side: scale === '0-180-0' || scale === '0-90-0-90' ? number.side : null,
    zero: scale === '0-90-0-90' ? number.zero : null,
  });
}
