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
  /** Normalised correlation of face and picture where the picture may speak. */
  readonly likeness: number;
}

const n = ringColumns;
const fourier = new Fourier(n);
const rowRe = new Float64Array(n);
const rowIm = new Float64Array(n);
const crossRe = new Float64Array(n);
const crossIm = new Float64Array(n);
const autoRe = new Float64Array(n);
const autoIm = new Float64Array(n);
const energyRe = new Float64Array(n);
const energyIm = new Float64Array(n);
const maskRe = new Float64Array(n);
const maskIm = new Float64Array(n);

/** Samples of neighbouring columns and rows are alike; their noise counts as this many times fewer. */
export const correlatedSamples = 4;

/** Proof that was not asked for. */
export const noProof: Uniqueness = { q: 0, z: 0, rivalDeg: 0, quarterZ: [0, 0, 0], otherZ: 0, likeness: 0 };

/** Asks the question for one face again and again: the face's spectra are kept. */
export class UniquenessProver {
  readonly rows: number;
  private readonly face: Float32Array;
  private readonly faceRe: Float32Array;
  private readonly faceIm: Float32Array;
  private readonly squareRe = new Float64Array(n);
  private readonly squareIm = new Float64Array(n);

  /** @param face rows x columns of the face as known, 0 where unknown */
  constructor(face: Float32Array, rows: number) {
    this.rows = rows;
    this.face = face;
    this.faceRe = new Float32Array(rows * n);
    this.faceIm = new Float32Array(rows * n);
    for (let r = 0; r < rows; r++) {
      const o = r * n;
      for (let x = 0; x < n; x++) {
        const s = face[o + x] as number;
        rowRe[x] = s;
        rowIm[x] = 0;
        this.squareRe[x] = (this.squareRe[x] as number) + s * s;
      }
      fourier.forward(rowRe, rowIm);
      for (let k = 0; k < n; k++) {
        this.faceRe[o + k] = rowRe[k] as number;
        this.faceIm[o + k] = rowIm[k] as number;
      }
    }
    fourier.forward(this.squareRe, this.squareIm);
  }

  /**
   * @param frame rows x columns of the picture, straightened to the position under test
   * @param mask per column, 1 where the picture may speak
   * @param exclusionDeg rivals nearer than this belong to the same peak
   */
  prove(frame: Float32Array, mask: Uint8Array, exclusionDeg: number): Uniqueness {
    const { rows, face, faceRe, faceIm } = this;
    crossRe.fill(0);
    crossIm.fill(0);
    autoRe.fill(0);
    autoIm.fill(0);
    let frameEnergy = 0;
    let used = 0;
    for (let x = 0; x < n; x++) used += mask[x] as number;
    for (let r = 0; r < rows; r++) {
      const o = r * n;
      // One transform for two real rows: the masked picture and the masked face.
      for (let x = 0; x < n; x++) {
        const m = mask[x] as number;
        const f = m * (frame[o + x] as number);
        rowRe[x] = f;
        rowIm[x] = m * (face[o + x] as number);
        frameEnergy += f * f;
      }
      fourier.forward(rowRe, rowIm);
      for (let k = 0; k < n; k++) {
        const j = k === 0 ? 0 : n - k;
        const a = rowRe[k] as number;
        const b = rowIm[k] as number;
        const c = rowRe[j] as number;
        const d = rowIm[j] as number;
        const frameR = (a + c) / 2;
        const frameI = (b - d) / 2;
        const maskedR = (b + d) / 2;
        const maskedI = (c - a) / 2;
        const sr = faceRe[o + k] as number;
        const si = faceIm[o + k] as number;
        crossRe[k] = (crossRe[k] as number) + frameR * sr + frameI * si;
        crossIm[k] = (crossIm[k] as number) + frameI * sr - frameR * si;
        autoRe[k] = (autoRe[k] as number) + maskedR * sr + maskedI * si;
        autoIm[k] = (autoIm[k] as number) + maskedI * sr - maskedR * si;
      }
    }
    for (let x = 0; x < n; x++) {
      maskRe[x] = mask[x] as number;
      maskIm[x] = 0;
    }
    fourier.forward(maskRe, maskIm);
    for (let k = 0; k < n; k++) {
      const mr = maskRe[k] as number;
      const mi = maskIm[k] as number;
      const sr = this.squareRe[k] as number;
      const si = this.squareIm[k] as number;
      energyRe[k] = mr * sr + mi * si;
      energyIm[k] = mi * sr - mr * si;
    }
    fourier.inverse(crossRe, crossIm);
    fourier.inverse(autoRe, autoIm);
    fourier.inverse(energyRe, energyIm);
    return judge(frameEnergy, Math.max(1, used * rows), exclusionDeg);
  }
}

function judge(frameEnergy: number, samples: number, exclusionDeg: number): Uniqueness {
  const x0 = crossRe[0] as number;
  const e0 = energyRe[0] as number;
  const gain0 = x0 / Math.max(e0, 1e-9);
  const noise = Math.max(1e-9, (frameEnergy - gain0 * x0) / samples);
  let q = 2;
  let z = 1e3;
  let rivalDeg = 0;
  const quarterZ: [number, number, number] = [1e3, 1e3, 1e3];
  let otherZ = 1e3;
  const exclusion = Math.ceil(exclusionDeg / columnDeg);
  for (let l = exclusion; l <= n - exclusion; l++) {
    const e = energyRe[l] as number;
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
  return { q, z, rivalDeg, quarterZ, otherZ, likeness: x0 / Math.sqrt(Math.max(1e-9, e0 * frameEnergy)) };
}
