import { circleToEllipse } from './ellipse.ts';
import { gather, outside } from './gather.ts';
import type { GreyPicture, PointerCheck, RimEllipse } from './types.ts';

/**
 * The pointer where it crosses the rim, as it looked when it was marked. The band lies just outside the rim, where
 * nothing turns: only the pointer itself, a hand or a shadow changes what is seen there.
 */
export interface PointerMark {
  readonly atPx: readonly [number, number];
  /** Grey levels, `bandRows` by `bandColumns`; the marked place is the middle column. */
  readonly band: Uint8Array;
}

export const bandRows = 10;
const columnStepDeg = 0.1;
/** Columns to either side of the pointer that belong to it, and that it is searched over. */
const halfTemplate = 25;
const halfSearch = 55;
const halfBand = halfTemplate + halfSearch;
export const bandColumns = 2 * halfBand + 1;
/** The band in rim radii. */
const innerOfRim = 1.03;
const outerOfRim = 1.15;

/** The pointer must stand out from what is behind it by this, grey levels (standard deviation). */
const leastContrast = 4;
/** Nothing else in the band may look like it as much as this. */
const mostLikeness = 0.6;
/** It is recognised from this likeness on. */
const leastLikeness = 0.7;
/** It has moved when it looks this much more like itself elsewhere than where it was. */
const leastGain = 0.1;
/** Smaller moves are those of a camera that counts as still. */
const leastMoveDeg = 0.4;

const count = bandRows * bandColumns;
const xs = new Float32Array(count);
const ys = new Float32Array(count);

/** @returns null where a part of the band lies outside the picture */
function bandAt(picture: GreyPicture, rim: RimEllipse, atPx: readonly [number, number]): Float32Array | null {
  const e = circleToEllipse(rim);
  const det = e.m00 * e.m11 - e.m01 * e.m01;
  const dx = atPx[0] - e.cx;
  const dy = atPx[1] - e.cy;
  const middle = Math.atan2(-e.m01 * dx + e.m00 * dy, e.m11 * dx - e.m01 * dy);
  if (!(Math.abs(det) > 1e-6)) return null;
  for (let r = 0; r < bandRows; r++) {
    const scale = innerOfRim + ((outerOfRim - innerOfRim) * r) / (bandRows - 1);
    for (let c = 0; c < bandColumns; c++) {
      const angle = middle + ((c - halfBand) * columnStepDeg * Math.PI) / 180;
      const u = scale * Math.cos(angle);
      const v = scale * Math.sin(angle);
      xs[r * bandColumns + c] = e.cx + e.m00 * u + e.m01 * v;
      ys[r * bandColumns + c] = e.cy + e.m01 * u + e.m11 * v;
    }
  }
  const band = new Float32Array(count);
  gather(picture, xs, ys, count, band);
  return band.includes(outside) ? null : band;
}

interface Likeness {
  readonly value: number;
  /** Standard deviation of the marked pointer's grey levels. */
  readonly contrast: number;
}

/** Normalised correlation of the marked pointer with what stands some columns further on; shading along the rows is left out. */
function likenessAt(marked: ArrayLike<number>, now: ArrayLike<number>, lag: number): Likeness {
  const width = 2 * halfTemplate + 1;
  let cross = 0;
  let energyA = 0;
  let energyB = 0;
  for (let r = 0; r < bandRows; r++) {
    const a0 = r * bandColumns + halfBand - halfTemplate;
    const b0 = a0 + lag;
    let meanA = 0;
    let meanB = 0;
    for (let c = 0; c < width; c++) {
      meanA += marked[a0 + c] as number;
      meanB += now[b0 + c] as number;
    }
    meanA /= width;
    meanB /= width;
    for (let c = 0; c < width; c++) {
      const a = (marked[a0 + c] as number) - meanA;
      const b = (now[b0 + c] as number) - meanB;
      cross += a * b;
      energyA += a * a;
      energyB += b * b;
    }
  }
  // A floor as of a grey level of noise: a plain band resembles nothing.
  const floor = bandRows * width;
  return {
    value: cross / Math.sqrt((energyA + floor) * (energyB + floor)),
    contrast: Math.sqrt(energyA / floor),
  };
}

/**
 * Remembers the pointer.
 * @param atPx where it crosses the rim, marked by the operator
 * @returns null where nothing stands out there that could be known again, or the picture ends there
 */
export function markPointer(
  picture: GreyPicture,
  rim: RimEllipse,
  atPx: readonly [number, number],
): PointerMark | null {
  const band = bandAt(picture, rim, atPx);
  if (band === null || likenessAt(band, band, 0).contrast < leastContrast) return null;
  for (let lag = -halfSearch; lag <= halfSearch; lag++) {
    if (Math.abs(lag) > halfTemplate && likenessAt(band, band, lag).value > mostLikeness) return null;
  }
  return { atPx, band: Uint8Array.from(band, Math.round) };
}

/** Looks where the pointer is; only in a picture whose camera stands as it did. */
export function checkPointer(mark: PointerMark, picture: GreyPicture, rim: RimEllipse): PointerCheck {
  const now = bandAt(picture, rim, mark.atPx);
  if (now === null) return { state: 'not_seen', shiftDeg: null };
  const values = Array.from({ length: 2 * halfSearch + 1 }, (_, i) => likenessAt(mark.band, now, i - halfSearch).value);
  const best = values.reduce((at, value, i) => (value > (values[at] as number) ? i : at), halfSearch);
  const value = values[best] as number;
  if (value < leastLikeness) return { state: 'not_seen', shiftDeg: null };
  const [before, after] = [values[best - 1] ?? value, values[best + 1] ?? value];
  const bend = before - 2 * value + after;
  const part = bend < 0 ? (before - after) / (2 * bend) : 0;
  const shiftDeg = (best - halfSearch + part) * columnStepDeg;
  const isMoved = Math.abs(shiftDeg) >= leastMoveDeg && value - (values[halfSearch] as number) >= leastGain;
  return { state: isMoved ? 'moved' : 'there', shiftDeg };
}
