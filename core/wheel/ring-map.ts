import { type CircleToEllipse, circleToEllipse } from './ellipse.ts';
import type { RimEllipse } from './types.ts';

/** Columns round the ring; a power of two for the Fourier transform. One column is 0.176 degrees. */
export const ringColumns = 2048;
export const columnDeg = 360 / ringColumns;

/**
 * Projective map from the unit disc of the wheel to the picture. The rim's ellipse fixes it up to where the true centre
 * lies inside the disc, `k`: every such map is (circle to ellipse) x (the projective motion of the disc that carries 0 to k).
 */
export interface RingMap {
  readonly rim: RimEllipse;
  readonly kx: number;
  readonly ky: number;
  /** 3x3, row after row: (u, v, 1) of the disc to homogeneous picture pixels. */
  readonly toPicture: Float64Array;
  readonly toDisc: Float64Array;
}

/** Fills `h` (9) with the map of an ellipse and a centre (kx, ky), |k| < 1. */
export function fillRingMatrix(e: CircleToEllipse, kx: number, ky: number, h: Float64Array): void {
  const m2 = Math.min(kx * kx + ky * ky, 0.9);
  const q = Math.sqrt(1 - m2);
  // Boost along k: identity across k, and (1 - q) of the projection on k's direction added along it.
  const g = m2 > 1e-16 ? (1 - q) / m2 : 0.5;
  const b00 = q + g * kx * kx;
  const b01 = g * kx * ky;
  const b11 = q + g * ky * ky;
  h[0] = e.m00 * b00 + e.m01 * b01 + e.cx * kx;
  h[1] = e.m00 * b01 + e.m01 * b11 + e.cx * ky;
  h[2] = e.m00 * kx + e.m01 * ky + e.cx;
  h[3] = e.m01 * b00 + e.m11 * b01 + e.cy * kx;
  h[4] = e.m01 * b01 + e.m11 * b11 + e.cy * ky;
  h[5] = e.m01 * kx + e.m11 * ky + e.cy;
  h[6] = kx;
  h[7] = ky;
  h[8] = 1;
}

/** The map for a rim and a centre inside it. */
export function ringMap(rim: RimEllipse, kx: number, ky: number): RingMap {
  const toPicture = new Float64Array(9);
  fillRingMatrix(circleToEllipse(rim), kx, ky, toPicture);
  return { rim, kx, ky, toPicture, toDisc: inverse3(toPicture) };
}

/** Inverse of a 3x3 matrix, row after row. */
export function inverse3(m: Float64Array): Float64Array {
  const [a, b, c, d, e, f, g, h, i] = m as unknown as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const A = e * i - f * h;
  const B = f * g - d * i;
  const C = d * h - e * g;
  const det = a * A + b * B + c * C;
  return Float64Array.of(
    A / det,
    (c * h - b * i) / det,
    (b * f - c * e) / det,
    B / det,
    (a * i - c * g) / det,
    (c * d - a * f) / det,
    C / det,
    (b * g - a * h) / det,
    (a * e - b * d) / det,
  );
}

const cosines = new Float64Array(ringColumns);
const sines = new Float64Array(ringColumns);
for (let x = 0; x < ringColumns; x++) {
  cosines[x] = Math.cos((2 * Math.PI * x) / ringColumns);
  sines[x] = Math.sin((2 * Math.PI * x) / ringColumns);
}
/** Cosine and sine of every column's angle. */
export const columnCos: Readonly<Float64Array> = cosines;
export const columnSin: Readonly<Float64Array> = sines;

/** Fills picture positions of `rows.length` circles of relative radii `rows`, row after row. */
export function fillRingPositions(h: Float64Array, rows: ArrayLike<number>, xs: Float32Array, ys: Float32Array): void {
  const [h0, h1, h2, h3, h4, h5, h6, h7, h8] = h as unknown as [
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  let o = 0;
  for (let r = 0; r < rows.length; r++) {
    const rho = rows[r] as number;
    for (let x = 0; x < ringColumns; x++, o++) {
      const u = rho * (cosines[x] as number);
      const v = rho * (sines[x] as number);
      const w = 1 / (h6 * u + h7 * v + h8);
      xs[o] = (h0 * u + h1 * v + h2) * w;
      ys[o] = (h3 * u + h4 * v + h5) * w;
    }
  }
}

/** Picture point of a disc point. */
export function discToPicture(h: Float64Array, u: number, v: number): [number, number] {
  const w = 1 / ((h[6] as number) * u + (h[7] as number) * v + (h[8] as number));
  return [
    ((h[0] as number) * u + (h[1] as number) * v + (h[2] as number)) * w,
    ((h[3] as number) * u + (h[4] as number) * v + (h[5] as number)) * w,
  ];
}
