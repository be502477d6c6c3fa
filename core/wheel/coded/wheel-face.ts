import { present } from '../../checks.ts';
import { cellCount, cellDeg, ringBits } from './ring-code.ts';

/**
 * The printed wheel's face: one description for the paper, the camera and the tests. Radii are in wheel radii, angles in
 * degrees clockwise from the zero mark, as the face is looked at.
 */
export const faceRadii = {
  /** Ticks end here, just inside the cut line, and grow inwards. */
  ticksOuter: 0.985,
  tickLength: 0.045,
  fiveLength: 0.06,
  tenLength: 0.075,
  /** Middle and height of the numerals. */
  numeralMiddle: 0.868,
  numeralHeight: 0.05,
  /** Every bit is told twice: dark in the outer track and light in the inner one, or the other way round. */
  codeOuter: 0.81,
  codeMiddle: 0.7475,
  codeInner: 0.685,
  crossHair: 0.3,
} as const;

/** Widths of the ticks, degrees. */
const tickWidthDeg = 0.3;
const tenWidthDeg = 0.4;
const numeralEveryDeg = 10;

/**
 * Which way the numbers run round the face. Under a fixed pointer they rise when the wheel turns the other way round. The
 * ring tells the two faces apart: the anticlockwise one has every bit turned over.
 */
export type NumbersGrow = 'clockwise' | 'anticlockwise';

/** A dark piece of a ring. */
export interface RingPiece {
  readonly fromDeg: number;
  readonly toDeg: number;
  readonly inner: number;
  readonly outer: number;
}

/** A number of the scale, upright as seen from outside the wheel. */
export interface Numeral {
  readonly text: string;
  readonly atDeg: number;
}

export interface WheelFace {
  readonly grows: NumbersGrow;
  readonly ticks: readonly RingPiece[];
  readonly cells: readonly RingPiece[];
  readonly numerals: readonly Numeral[];
}

/** The whole face. */
export function wheelFace(grows: NumbersGrow): WheelFace {
  const ticks = Array.from({ length: 360 }, (_, deg): RingPiece => {
    const isTen = deg % 10 === 0;
    const length = isTen ? faceRadii.tenLength : deg % 5 === 0 ? faceRadii.fiveLength : faceRadii.tickLength;
    const half = (isTen ? tenWidthDeg : tickWidthDeg) / 2;
    return {
      fromDeg: deg - half,
      toDeg: deg + half,
      inner: faceRadii.ticksOuter - length,
      outer: faceRadii.ticksOuter,
    };
  });
  const numerals = Array.from({ length: 360 / numeralEveryDeg }, (_, i): Numeral => {
    const value = i * numeralEveryDeg;
    return { text: String(value), atDeg: grows === 'clockwise' ? value : (360 - value) % 360 };
  });
  return { grows, ticks, cells: codedPieces(grows), numerals };
}

/** Neighbouring cells with the same bit are one piece, so that no printer shows a seam. */
function codedPieces(grows: NumbersGrow): RingPiece[] {
  const isDarkOutside = (cell: number): boolean => (ringBits[cell % cellCount] === 1) === (grows === 'clockwise');
  // Begin where a run begins, so that no run is cut at the zero mark.
  let first = 0;
  while (isDarkOutside(first) === isDarkOutside(first + cellCount - 1)) first++;
  const pieces: RingPiece[] = [];
  let start = first;
  for (let cell = first + 1; cell <= first + cellCount; cell++) {
    if (cell < first + cellCount && isDarkOutside(cell) === isDarkOutside(start)) continue;
    const [inner, outer] = isDarkOutside(start)
      ? [faceRadii.codeMiddle, faceRadii.codeOuter]
      : [faceRadii.codeInner, faceRadii.codeMiddle];
    pieces.push({ fromDeg: start * cellDeg, toDeg: cell * cellDeg, inner, outer });
    start = cell;
  }
  return pieces;
}

/**
 * Number of the scale that stands at an angle of the face.
 * @param atDeg degrees clockwise on the face from the zero mark, any
 * @returns degrees, in [0, 360)
 * @throws missing
 */
export function scaleValueAt(atDeg: number, grows: NumbersGrow): number {
  present('atDeg', atDeg);
  const value = grows === 'clockwise' ? atDeg : -atDeg;
  return value - 360 * Math.floor(value / 360);
}
