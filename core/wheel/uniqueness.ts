import { Fourier } from './fourier.ts';
import { columnDeg, ringColumns } from './ring-map.ts';

/**
 * Proof that a picture shows the wheel in one position and no other. For every other rotation L of the face S the
 * picture F is asked: do you look like S, or like S turned by L? With D = S - S_L and C = (S + S_L) / 2:
 * q = <D,F> / (g <D,D> / 2), g = <C,F> / <C,C>, is +1 for this position and -1 for the rival.
 */
export interface Uniqueness {
  /** Smallest q over all rivals. */
  readonly q: number;
  /** Smallest number of noise standard deviations by which this position beats a rival. */
  readonly z: number;
  /** The strongest rival, degrees from this position. */
  readonly rivalDeg: number;
  /** z against this position turned by 90, 180 and 270 degrees: what decides scales that repeat. */
  readonly quarterZ: readonly [number, number, number];
  /** Smallest z over all rivals but those at 90, 180 and 270 degrees. */
  readonly otherZ: number;
}

const n = ringColumns;
const fourier = new Fourier(n);
const rowRe = new Float64Array(n);
const rowIm = new Float64Array(n);
const crossRe = new Float64Array(n);
const crossIm = new Float64Array(n);
const autoRe = new Float64Array(n);
const autoIm = new Float64Array(n);
const squareSum = new Float64Array(n);
const squareRe = new Float64Array(n);
const squareIm = new Float64Array(n);
const maskRe = new Float64Array(n);
const maskIm = new Float64Array(n);

/** Samples of neighbouring columns and rows are alike; their noise counts as this many times fewer. */
const correlatedSamples = 4;

/**
 * @param face rows x columns of the face as known, 0 where unknown
 * @param frame rows x columns of the picture, straightened to the position under test
 * @param mask per column, 1 where the picture may speak
 * @param exclusionDeg rivals nearer than this belong to the same peak
 */
export function proveUnique(
  face: Float32Array, frame: Float32Array, rows: number, mask: Uint8Array, exclusionDeg: number,
): Uniqueness {
  crossRe.fill(0);
  crossIm.fill(0);
  autoRe.fill(0);
  autoIm.fill(0);
  squareSum.fill(0);
  let frameEnergy = 0;
  let used = 0;
  for (let x = 0; x < n; x++) used += mask[x] as number;
  const fRe = rowRe;
  const fIm = rowIm;
  for (let r = 0; r < rows; r++) {
    const o = r * n;
    // One transform: masked frame in the real part, masked face in the imaginary part; a second for the whole face.
    for (let x = 0; x < n; x++) {
      const m = mask[x] as number;
      const f = m * (frame[o + x] as number);
      const s = face[o + x] as number;
      fRe[x] = f;
      fIm[x] = m * s;
      squareSum[x] = (squareSum[x] as number) + s * s;
      frameEnergy += f * f;
      maskRe[x] = s;
      maskIm[x] = 0;
    }
    fourier.forward(fRe, fIm);
    fourier.forward(maskRe, maskIm);
    for (let k = 0; k < n; k++) {
      const j = (n - k) % n;
      const a = fRe[k] as number;
      const b = fIm[k] as number;
      const c = fRe[j] as number;
      const d = fIm[j] as number;
      const framR = (a + c) / 2;
      const framI = (b - d) / 2;
      const faceR = (b + d) / 2;
      const faceI = (c - a) / 2;
      const sr = maskRe[k] as number;
      const si = maskIm[k] as number;
      crossRe[k] = (crossRe[k] as number) + framR * sr + framI * si;
      crossIm[k] = (crossIm[k] as number) + framI * sr - framR * si;
      autoRe[k] = (autoRe[k] as number) + faceR * sr + faceI * si;
      autoIm[k] = (autoIm[k] as number) + faceI * sr - faceR * si;
    }
  }
  for (let x = 0; x < n; x++) {
    squareRe[x] = squareSum[x] as number;
    squareIm[x] = 0;
    maskRe[x] = mask[x] as number;
    maskIm[x] = 0;
  }
  fourier.forward(squareRe, squareIm);
  fourier.forward(maskRe, maskIm);
  for (let k = 0; k < n; k++) {
    const mr = maskRe[k] as number;
    const mi = maskIm[k] as number;
    const sr = squareRe[k] as number;
    const si = squareIm[k] as number;
    squareRe[k] = mr * sr + mi * si;
    squareIm[k] = mi * sr - mr * si;
  }
  fourier.inverse(crossRe, crossIm);
  fourier.inverse(autoRe, autoIm);
  fourier.inverse(squareRe, squareIm);
  const x0 = crossRe[0] as number;
  const e0 = squareRe[0] as number;
  const gain0 = x0 / Math.max(e0, 1e-9);
  const noise = Math.max(1e-9, (frameEnergy - gain0 * x0) / Math.max(1, used * rows));
  let q = 2;
  let z = 1e3;
  let rivalDeg = 0;
  const quarterZ: [number, number, number] = [1e3, 1e3, 1e3];
  let otherZ = 1e3;
  const exclusion = Math.ceil(exclusionDeg / columnDeg);
  for (let l = exclusion; l <= n - exclusion; l++) {
    const e = squareRe[l] as number;
    const b = autoRe[l] as number;
    const dd = e0 + e - 2 * b;
    const cc = (e0 + e + 2 * b) / 4;
    if (!(dd > 1e-6) || !(cc > 1e-6)) continue;
    const df = x0 - (crossRe[l] as number);
    const g = (x0 + (crossRe[l] as number)) / 2 / cc;
    // A rival with no likeness at all gives a tiny or negative gain; then the plain gain of this position is the measure.
    const gain = Math.max(g, 0.3 * gain0);
    const qHere = df / Math.max(1e-9, (gain * dd) / 2);
    const zHere = df / Math.sqrt(correlatedSamples * noise * dd);
    if (zHere < z) {
      z = zHere;
      rivalDeg = l * columnDeg;
    }
    if (qHere < q) q = qHere;
    const quarter = Math.round((l * 4) / n);
    if (quarter >= 1 && quarter <= 3 && Math.abs(l - (quarter * n) / 4) * columnDeg < 0.6) {
      if (zHere < (quarterZ[quarter - 1] as number)) quarterZ[quarter - 1] = zHere;
    } else if (zHere < otherZ) otherZ = zHere;
  }
  return { q, z, rivalDeg, quarterZ, otherZ };
}
