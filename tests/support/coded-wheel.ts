import { faceRadii, type NumbersGrow, wheelFace } from '../../core/wheel/coded/wheel-face.ts';
import { faceColumns, faceRowCount, patch, type SyntheticFace, writeText } from './synthetic-face.ts';
import { pixelOfFace, type SyntheticSetup } from './synthetic-wheel.ts';

/** Ink and paper as a laser printer leaves them. */
const paper = 0.85;
const ink = 0.08;

/** The printed wheel's own drawing as a face that can be photographed. */
export function codedFace(grows: NumbersGrow): SyntheticFace {
  const values = new Float32Array(faceColumns * faceRowCount).fill(paper);
  const face = wheelFace(grows);
  for (const { fromDeg, toDeg, inner, outer } of [...face.ticks, ...face.cells])
    patch(values, fromDeg, toDeg, inner, outer, ink);
  const height = faceRadii.numeralHeight * 0.72;
  for (const { text, atDeg } of face.numerals)
    writeText(values, text, atDeg, faceRadii.numeralMiddle - height / 2, height, ink);
  patch(values, 0, 360, 0, 0.05, 0.3);
  return { columns: faceColumns, rows: faceRowCount, values, blurred: new Map(), tickStepDeg: 1, repeatsDeg: 360 };
}

/** True angle of the zero mark: degrees clockwise on the face from the direction that the picture shows straight above its centre. */
export function trueAbsoluteDeg(s: SyntheticSetup, rotationDeg: number): number {
  // The face direction whose picture leads straight up is found by halving: near the centre the lens bends nothing.
  const [cx] = pixelOfFace(s, rotationDeg, 0, 0);
  const near = 0.02;
  const side = (atDeg: number): number => pixelOfFace(s, rotationDeg, atDeg, near)[0] - cx;
  const above = (atDeg: number): boolean =>
    pixelOfFace(s, rotationDeg, atDeg, near)[1] < pixelOfFace(s, rotationDeg, 0, 0)[1];
  for (let start = 0; start < 360; start += 10) {
    if (!above(start) || side(start) > 0 || side(start + 10) <= 0) continue;
    let low = start;
    let high = start + 10;
    for (let i = 0; i < 40; i++) {
      const middle = (low + high) / 2;
      if (side(middle) > 0) high = middle;
      else low = middle;
    }
    return ((-low % 360) + 360) % 360;
  }
  throw new Error('no direction of the face leads straight up');
}
