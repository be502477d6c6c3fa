import type { WheelSetupContent } from '../../core/contract/readings.ts';
import { risingFromRotation } from '../../core/crank/dead-centre.ts';
import { type ScaleReading, shownOnScale } from '../../core/crank/wheel-scale.ts';
import { wrapTurn } from '../../core/units.ts';

type ScaleContent = Pick<
  WheelSetupContent,
  'wheelReading' | 'shownAtReferenceDeg' | 'forwards' | 'eccentricityOfRadius'
>;

/**
 * What the wheel's scale stood at in the reference frame, from what the pointer shows now.
 * @param risingDeg the number entered, on the scale rising forwards
 * @param rotationDeg where the wheel stands while it is entered
 */
export function scaleAtReference(
  risingDeg: number,
  rotationDeg: number,
  forwards: 'clockwise' | 'anticlockwise',
): number {
  return wrapTurn(risingDeg - risingFromRotation(rotationDeg, forwards));
}

/**
 * The same at a later reference: a knock of the camera moves neither wheel nor pointer.
 * @param shownAtReferenceDeg at the earlier reference; null where none was entered
 * @param atDeg rotation of the later reference from the earlier one
 */
export function scaleCarriedOn(
  shownAtReferenceDeg: number | null,
  atDeg: number,
  forwards: 'clockwise' | 'anticlockwise' | null,
): number | null {
  if (shownAtReferenceDeg === null || forwards === null) return null;
  return wrapTurn(shownAtReferenceDeg + risingFromRotation(atDeg, forwards));
}

/** The wheel's own number under the pointer, as its scale prints it, and the same rising forwards. */
export interface ScaleShown {
  readonly reading: ScaleReading;
  readonly risingDeg: number;
}

/** @returns null until it was entered once */
export function scaleShown(content: ScaleContent, rotationDeg: number | null): ScaleShown | null {
  const { wheelReading, shownAtReferenceDeg, forwards } = content;
  if (wheelReading === null || shownAtReferenceDeg === null || forwards === null || rotationDeg === null) return null;
  const risingDeg = wrapTurn(shownAtReferenceDeg + risingFromRotation(rotationDeg, forwards));
  return { risingDeg, reading: shownOnScale(wheelReading.scale, wheelReading.growsForwards, risingDeg) };
}

/** A pointer over an eccentric wheel, read by eye, can be this far off without anything being wrong (vision study, section 10). */
function pointerToleranceDeg(eccentricityOfRadius: number | null): number {
  return (0.6 * (eccentricityOfRadius ?? 0.004) * 180) / Math.PI + 0.3;
}

/** What a number is read to by eye, half a step of half a degree. */
const readByEyeDeg = 0.25;

/** What comparing the pointer with the wheel came to. */
export interface PointerComparison {
  /** By how much the pointer shows more than it should; negative for less. */
  readonly byDeg: number;
  readonly agrees: boolean;
  readonly sentences: readonly string[];
}

/**
 * Compares what the pointer shows with what it should show by the camera. Both read the wheel, so a wheel that turned on
 * the crank is not seen by it: that, and which of the two it is otherwise, the stop tells.
 * @param typedDeg the number entered, on the scale rising forwards
 */
export function comparePointer(
  content: Pick<WheelSetupContent, 'eccentricityOfRadius' | 'continuesSetupId'>,
  shown: ScaleShown,
  typedDeg: number,
): PointerComparison {
  const byDeg = wrapTurn(typedDeg - shown.risingDeg + 180) - 180;
  const figure = `${Math.abs(byDeg).toFixed(1)} deg`;
  if (Math.abs(byDeg) <= pointerToleranceDeg(content.eccentricityOfRadius) + readByEyeDeg) {
    return {
      byDeg,
      agrees: true,
      sentences: [
        `The pointer shows what it should, to ${figure}: it stands as it did when the number was entered.`,
        'Whether the wheel turned on the crank can’t be told by this. The check of TDC tells.',
      ],
    };
  }
  const carried =
    content.continuesSetupId === null ? '' : ', or the crank was turned before the readings were carried on';
  return {
    byDeg,
    agrees: false,
    sentences: [
      `The pointer is ${figure} off what it should show, ${byDeg > 0 ? 'further on' : 'further back'} turning forwards. Read it once more, square to the wheel.`,
      `If that stands, the pointer was moved, or the camera’s reference is off: camera or engine moved unnoticed${carried}. Check TDC by the stop from both sides to tell them apart.`,
      `TDC comes out as before: the pointer was moved, and every angle by camera holds. TDC comes out about ${figure} off: the reference is off; press “Wheel moved” and read again. It is off by another amount: the wheel turned on the crank as well.`,
    ],
  };
}

/**
 * Why the wheel's number and the crank angle differ.
 * @param crankDeg degrees forwards from true TDC
 */
export function scaleDifference(
  content: ScaleContent,
  shown: ScaleShown,
  crankDeg: number,
): { readonly byDeg: number; readonly sentence: string } {
  // A wheel in quarters has two zeros, half a turn apart: the nearer one is meant.
  const turnDeg = shown.reading.scale === '0-90-0-90' ? 180 : 360;
  const half = turnDeg / 2;
  const byDeg = wrapTurn(shown.risingDeg - crankDeg + half, turnDeg) - half;
  if (Math.abs(byDeg) <= pointerToleranceDeg(content.eccentricityOfRadius)) {
    return { byDeg, sentence: 'Wheel and crank agree as nearly as a pointer can be read.' };
  }
  // Where the wheel shows more than the crank angle, its zero came under the pointer before TDC.
  const side = byDeg > 0 ? 'before' : 'after';
  return {
    byDeg,
    sentence: `They differ by ${Math.abs(byDeg).toFixed(1)} deg because the wheel’s zero stands under the pointer ${Math.abs(byDeg).toFixed(1)} deg ${side} true TDC. Nothing needs moving: every angle counts from true TDC. If the wheel was set to show zero at TDC, compare the pointer, then check TDC by the stop.`,
  };
}
