import { faceWeight, proofRows } from './pair-proof.ts';
import { columnDeg, ringColumns } from './ring-map.ts';
import { gradientsOf, type StripGradients } from './sectors.ts';
import type { Keyframe } from './state.ts';
import { blurAlong, emptyStrip, faceRowCount, ringRowCount, type Strip } from './strip.ts';
import { type TurnSpectrum, turnSpectrum } from './turn-spectrum.ts';
import { UniquenessProver } from './uniqueness.ts';

/** Keyframes blurred by more than this are left out of the mean face, degrees. */
const sharpDeg = 0.5;

/**
 * The face as all keyframes together know it: their mean in the face's own place. Pointer, shadows, hands and glare
 * stand elsewhere in each of them and wash out; noise goes down.
 */
export class FaceModel {
  readonly ring: Strip;
  readonly face: Strip;
  readonly gradients: StripGradients;
  readonly spectrum: TurnSpectrum;
  readonly prover: UniquenessProver;
  /** Ring and inner face as the proof compares them, `proofRows` rows. */
  readonly known: Float32Array;
  /** What stands still in the picture over the inner face, columns by picture angle. */
  readonly still: Float32Array;
  private readonly blurredRings = new Map<number, { readonly strip: Strip; readonly gradients: StripGradients }>();

  constructor(keyframes: readonly Keyframe[], repeatDeg: number) {
    const sharp = keyframes.filter((k) => k.blurDeg < sharpDeg);
    const used = sharp.length >= 3 ? sharp : keyframes;
    this.ring = meanStrip(used, (k) => k.ring, ringRowCount, null);
    this.still = stillPart(used);
    this.face = meanStrip(used, (k) => k.face, faceRowCount, this.still);
    this.gradients = gradientsOf(this.ring);
    this.spectrum = turnSpectrum(this.ring, this.face, repeatDeg);
    const known = new Float32Array(proofRows * ringColumns);
    known.set(this.ring.values);
    const o = ringRowCount * ringColumns;
    for (let i = 0; i < faceRowCount * ringColumns; i++) known[o + i] = faceWeight * (this.face.values[i] as number);
    this.known = known;
    this.prover = new UniquenessProver(known, proofRows);
  }

  /** The ring as motion over `widthDeg` would show it. */
  blurred(widthDeg: number): { readonly strip: Strip; readonly gradients: StripGradients } {
    if (widthDeg === 0) return { strip: this.ring, gradients: this.gradients };
    let kept = this.blurredRings.get(widthDeg);
    if (kept === undefined) {
      const strip: Strip = { ...this.ring, values: new Float32Array(this.ring.values.length) };
      blurAlong(this.ring.values, ringRowCount, widthDeg, strip.values);
      kept = { strip, gradients: gradientsOf(strip) };
      this.blurredRings.set(widthDeg, kept);
    }
    return kept;
  }

  /** Takes what stands still out of a straightened inner face, in place. */
  removeStill(face: Float32Array, rotationDeg: number): void {
    const n = ringColumns;
    const shift = Math.round(rotationDeg / columnDeg);
    for (let r = 0; r < faceRowCount; r++) {
      const o = r * n;
      for (let x = 0; x < n; x++)
        face[o + x] = (face[o + x] as number) - (this.still[o + ((((x + shift) % n) + n) % n)] as number);
    }
  }
}

function meanStrip(
  keyframes: readonly Keyframe[],
  pick: (k: Keyframe) => Strip,
  rows: number,
  still: Float32Array | null,
): Strip {
  const n = ringColumns;
  const out = emptyStrip(rows);
  out.polarityFree = keyframes.some((k) => pick(k).polarityFree);
  const count = new Uint16Array(n);
  for (const k of keyframes) {
    const strip = pick(k);
    const shift = Math.round(k.rotationDeg / columnDeg);
    for (let x = 0; x < n; x++) {
      if (!strip.valid[x]) continue;
      count[x] = (count[x] as number) + 1;
      out.contrast[x] = (out.contrast[x] as number) + (strip.contrast[x] as number);
      out.level[x] = (out.level[x] as number) + (strip.level[x] as number);
      const y = (((x + shift) % n) + n) % n;
      for (let r = 0; r < rows; r++)
        out.values[r * n + x] =
          (out.values[r * n + x] as number) +
          (strip.values[r * n + x] as number) -
          (still === null ? 0 : (still[r * n + y] as number));
    }
  }
  for (let x = 0; x < n; x++) {
    const c = count[x] as number;
    if (c === 0) continue;
    out.valid[x] = 1;
    out.contrast[x] = (out.contrast[x] as number) / c;
    out.level[x] = (out.level[x] as number) / c;
    for (let r = 0; r < rows; r++) out.values[r * n + x] = (out.values[r * n + x] as number) / c;
  }
  return out;
}

/** Mean of the inner faces by picture angle, shrunk: with few keyframes it is mostly the turning face itself. */
function stillPart(keyframes: readonly Keyframe[]): Float32Array {
  const n = ringColumns;
  const out = new Float32Array(faceRowCount * n);
  if (keyframes.length < 3) return out;
  const count = new Uint16Array(n);
  for (const k of keyframes) {
    const shift = Math.round(k.rotationDeg / columnDeg);
    for (let x = 0; x < n; x++) {
      if (!k.face.valid[x]) continue;
      const y = (((x + shift) % n) + n) % n;
      count[y] = (count[y] as number) + 1;
      for (let r = 0; r < faceRowCount; r++)
        out[r * n + y] = (out[r * n + y] as number) + (k.face.values[r * n + x] as number);
    }
  }
  for (let y = 0; y < n; y++) {
    const f = 1 / ((count[y] as number) + 2);
    for (let r = 0; r < faceRowCount; r++) out[r * n + y] = (out[r * n + y] as number) * f;
  }
  return out;
}
