import { Fourier } from './fourier.ts';
import { columnDeg, ringColumns } from './ring-map.ts';
import { faceRowCount, ringRowCount, type Strip } from './strip.ts';

/**
 * Spectra for finding the turn position: what repeats with the numerals' spacing is taken out, because ticks
 * repeat every 1, 5 and 10 degrees and would lock the correlation on any multiple of 10.
 */
/** Harmonics kept; numerals and lettering need no more. */
const kept = 500;
const ringBands = ringRowCount / 2;
export const spectrumRows = ringBands + faceRowCount;

export interface TurnSpectrum {
  readonly re: Float32Array;
  readonly im: Float32Array;
}

const fourier = new Fourier(ringColumns);
const re = new Float64Array(ringColumns);
const im = new Float64Array(ringColumns);

/** @param repeatDeg spacing of the numerals, degrees: 10, 15, 20 or 30 */
export function turnSpectrum(ring: Strip, face: Strip, repeatDeg: number): TurnSpectrum {
  const out: TurnSpectrum = { re: new Float32Array(spectrumRows * kept), im: new Float32Array(spectrumRows * kept) };
  for (let b = 0; b < spectrumRows; b += 2) {
    fillRow(ring, face, b, re);
    fillRow(ring, face, b + 1, im);
    fourier.forward(re, im);
    // Two real rows in one transform.
    separate(out, b, repeatDeg);
  }
  return out;
}

function fillRow(ring: Strip, face: Strip, band: number, into: Float64Array): void {
  const n = ringColumns;
  if (band < ringBands) {
    // Five-row blur: eccentricity moves marks from row to row.
    const from = Math.max(0, 2 * band - 2);
    const to = Math.min(ringRowCount - 1, 2 * band + 3);
    into.fill(0);
    for (let r = from; r <= to; r++)
      for (let x = 0; x < n; x++) into[x] = (into[x] as number) + (ring.values[r * n + x] as number);
    const f = 1 / (to - from + 1);
    for (let x = 0; x < n; x++) into[x] = (into[x] as number) * f;
    return;
  }
  const o = (band - ringBands) * n;
  for (let x = 0; x < n; x++) into[x] = face.values[o + x] as number;
}

function separate(out: TurnSpectrum, band: number, repeatDeg: number): void {
  for (let odd = 0; odd < 2; odd++) {
    const o = (band + odd) * kept;
    let energy = 0;
    for (let m = 1; m < kept; m++) {
      const a = re[m] as number;
      const b = im[m] as number;
      const c = re[ringColumns - m] as number;
      const d = im[ringColumns - m] as number;
      // Lettering inside the scale does not repeat with the numerals: no comb removal there.
      const f = band + odd < ringBands ? 1 - Math.cos((2 * Math.PI * m * repeatDeg) / 360) : 1;
      const x = odd === 0 ? (a + c) / 2 : (b + d) / 2;
      const y = odd === 0 ? (b - d) / 2 : (c - a) / 2;
      out.re[o + m] = x * f;
      out.im[o + m] = y * f;
      energy += (x * x + y * y) * f * f;
    }
    const meanSquare = (2 * energy) / (ringColumns * ringColumns);
    // The floor keeps empty rows from being blown up until they drown the numerals.
    const g = 1 / Math.sqrt((meanSquare + (band + odd < ringBands ? 0.12 : 0.5)) * ringColumns * ringColumns);
    for (let m = 1; m < kept; m++) {
      out.re[o + m] = (out.re[o + m] as number) * g;
      out.im[o + m] = (out.im[o + m] as number) * g;
    }
  }
}

/** Correlation of two spectra over all rotations; index = rotation of `frame` against `reference`, columns. */
export function correlateSpectra(reference: TurnSpectrum, frame: TurnSpectrum, out: Float64Array): void {
  re.fill(0);
  im.fill(0);
  for (let b = 0; b < spectrumRows; b++) {
    const o = b * kept;
    for (let m = 1; m < kept; m++) {
      const ar = reference.re[o + m] as number;
      const ai = reference.im[o + m] as number;
      const br = frame.re[o + m] as number;
      const bi = frame.im[o + m] as number;
      re[m] = (re[m] as number) + ar * br + ai * bi;
      im[m] = (im[m] as number) + ar * bi - ai * br;
    }
  }
  for (let m = 1; m < kept; m++) {
    re[ringColumns - m] = re[m] as number;
    im[ringColumns - m] = -(im[m] as number);
  }
  fourier.inverse(re, im);
  for (let x = 0; x < ringColumns; x++) out[x] = re[x] as number;
}

/**
 * Numerals that look this much alike a quarter or half turn on may repeat: in uneven light numerals that do were seen down
 * to 0.36, different ones up to 0.18.
 */
const alikeFrom = 0.25;

/** Quarter turns (1, 2, 3) after which the ring, its ticks left out, looks much the same. */
export function quartersAlike(spectrum: TurnSpectrum): number[] {
  const at = (deg: number): number => {
    let sum = 0;
    for (let b = 0; b < ringBands; b++) {
      const o = b * kept;
      for (let m = 1; m < kept; m++)
        sum +=
          ((spectrum.re[o + m] as number) ** 2 + (spectrum.im[o + m] as number) ** 2) *
          Math.cos((m * deg * Math.PI) / 180);
    }
    return sum;
  };
  const whole = at(0);
  return [1, 2, 3].filter((q) => {
    let best = 0;
    // A degree either way: the ring is straight only as far as its centre is known.
    for (let d = -1; d <= 1; d += 0.25) best = Math.max(best, at(90 * q + d));
    return best > alikeFrom * whole;
  });
}

export interface TurnPeak {
  readonly rotationDeg: number;
  readonly value: number;
}

/** Highest separate peaks (at least 2 degrees apart), best first. */
export function turnPeaks(correlation: Float64Array, count: number): TurnPeak[] {
  const n = ringColumns;
  const peaks: TurnPeak[] = [];
  for (let x = 0; x < n; x++) {
    const v = correlation[x] as number;
    if (v > (correlation[(x + n - 1) % n] as number) && v >= (correlation[(x + 1) % n] as number))
      peaks.push({ rotationDeg: x * columnDeg, value: v });
  }
  peaks.sort((a, b) => b.value - a.value);
  const kept: TurnPeak[] = [];
  for (const p of peaks) {
    if (kept.every((k) => Math.abs(wrap180(k.rotationDeg - p.rotationDeg)) >= 2)) kept.push(p);
    if (kept.length === count) break;
  }
  return kept;
}

/** Wraps to [-180, 180). */
export function wrap180(deg: number): number {
  return deg - 360 * Math.floor((deg + 180) / 360);
}
