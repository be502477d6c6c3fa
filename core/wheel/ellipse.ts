import type { RimEllipse } from './types.ts';

/** Conic `A x² + B xy + C y² + D x + E y + F = 0`, in that order. */
export type Conic = readonly [number, number, number, number, number, number];

/** Affine map of the unit circle on to the ellipse without turn in the plane: strip angle stays close to picture angle. */
export interface CircleToEllipse {
  readonly cx: number;
  readonly cy: number;
  /** Symmetric 2x2 matrix [m00, m01, m11], pixels. */
  readonly m00: number;
  readonly m01: number;
  readonly m11: number;
}

/** `R(a) diag(r1, r2) R(-a)` for the ellipse's semi-axes. */
export function circleToEllipse(rim: RimEllipse): CircleToEllipse {
  const a = (rim.angleDeg * Math.PI) / 180;
  const c = Math.cos(a);
  const s = Math.sin(a);
  const r1 = rim.fullAxesPx[0] / 2;
  const r2 = rim.fullAxesPx[1] / 2;
  return {
    cx: rim.centrePx[0],
    cy: rim.centrePx[1],
    m00: r1 * c * c + r2 * s * s,
    m01: (r1 - r2) * c * s,
    m11: r1 * s * s + r2 * c * c,
  };
}

/** Geometric mean of the semi-axes, pixels. */
export function meanRadiusPx(rim: RimEllipse): number {
  return Math.sqrt(rim.fullAxesPx[0] * rim.fullAxesPx[1]) / 2;
}

/** Smaller over larger axis. */
export function axisRatio(rim: RimEllipse): number {
  return Math.min(rim.fullAxesPx[0], rim.fullAxesPx[1]) / Math.max(rim.fullAxesPx[0], rim.fullAxesPx[1]);
}

/** Ellipse of a conic; null where it is another curve or nearly degenerate. */
export function ellipseOfConic(conic: Conic): RimEllipse | null {
  const [a, b, c, d, e, f] = conic;
  const det = 4 * a * c - b * b;
  if (!(det > 1e-18)) return null;
  const cx = (b * e - 2 * c * d) / det;
  const cy = (b * d - 2 * a * e) / det;
  const value = f + (d * cx + e * cy) / 2;
  const mean = (a + c) / 2;
  const spread = Math.hypot((a - c) / 2, b / 2);
  const low = mean - spread;
  const high = mean + spread;
  // The half-axes along the eigenvectors are sqrt(-value / eigenvalue).
  const majorSquared = -value / low;
  const minorSquared = -value / high;
  if (!(majorSquared > 0 && minorSquared > 0)) return null;
  const angle = 0.5 * Math.atan2(b, a - c) + Math.PI / 2;
  return {
    centrePx: [cx, cy],
    fullAxesPx: [2 * Math.sqrt(majorSquared), 2 * Math.sqrt(minorSquared)],
    angleDeg: ((angle * 180) / Math.PI + 360) % 180,
  };
}

/**
 * Least-squares ellipse through weighted points, fitted in coordinates centred and scaled on a first guess,
 * by minimising the algebraic distance with the trace of the conic held fixed (which can't be met by a line pair at the origin).
 * @returns null where the points don't fix an ellipse
 */
export function fitEllipse(
  xs: ArrayLike<number>,
  ys: ArrayLike<number>,
  weights: ArrayLike<number>,
  count: number,
): RimEllipse | null {
  let sw = 0;
  let sx = 0;
  let sy = 0;
  for (let i = 0; i < count; i++) {
    const w = weights[i] as number;
    sw += w;
    sx += w * (xs[i] as number);
    sy += w * (ys[i] as number);
  }
  if (!(sw > 0)) return null;
  const ox = sx / sw;
  const oy = sy / sw;
  let ss = 0;
  for (let i = 0; i < count; i++)
    ss += (weights[i] as number) * (((xs[i] as number) - ox) ** 2 + ((ys[i] as number) - oy) ** 2);
  const scale = Math.sqrt(ss / sw) || 1;
  // Unknowns p of (x² + y² - 1) + p0 (x² - y²) + p1 2xy + p2 x + p3 y + p4 = 0: a circle plus what deforms it.
  const n = 5;
  const m = new Float64Array(n * (n + 1));
  const row = new Float64Array(n + 1);
  for (let i = 0; i < count; i++) {
    const w = weights[i] as number;
    if (w <= 0) continue;
    const x = ((xs[i] as number) - ox) / scale;
    const y = ((ys[i] as number) - oy) / scale;
    row[0] = x * x - y * y;
    row[1] = 2 * x * y;
    row[2] = x;
    row[3] = y;
    row[4] = 1;
    row[5] = -(x * x + y * y - 1);
    for (let r = 0; r < n; r++)
      for (let c = r; c <= n; c++)
        m[r * (n + 1) + c] = (m[r * (n + 1) + c] as number) + w * (row[r] as number) * (row[c] as number);
  }
  for (let r = 0; r < n; r++) for (let c = 0; c < r; c++) m[r * (n + 1) + c] = m[c * (n + 1) + r] as number;
  const p = solveInPlace(m, n);
  if (p === null) return null;
  const [p0, p1, p2, p3, p4] = p as unknown as [number, number, number, number, number];
  const a = 1 + p0;
  const b = 2 * p1;
  const c = 1 - p0;
  const ellipse = ellipseOfConic([a, b, c, p2, p3, p4 - 1]);
  if (ellipse === null) return null;
  return {
    centrePx: [ellipse.centrePx[0] * scale + ox, ellipse.centrePx[1] * scale + oy],
    fullAxesPx: [ellipse.fullAxesPx[0] * scale, ellipse.fullAxesPx[1] * scale],
    angleDeg: ellipse.angleDeg,
  };
}

/** Gaussian elimination with partial pivoting on an n x (n + 1) system; null where it is singular. */
export function solveInPlace(m: Float64Array, n: number): Float64Array | null {
  const w = n + 1;
  for (let c = 0; c < n; c++) {
    let pivot = c;
    for (let r = c + 1; r < n; r++)
      if (Math.abs(m[r * w + c] as number) > Math.abs(m[pivot * w + c] as number)) pivot = r;
    const best = m[pivot * w + c] as number;
    if (!(Math.abs(best) > 1e-14)) return null;
    if (pivot !== c)
      for (let k = c; k < w; k++) {
        const t = m[c * w + k] as number;
        m[c * w + k] = m[pivot * w + k] as number;
        m[pivot * w + k] = t;
      }
    for (let r = 0; r < n; r++) {
      if (r === c) continue;
      const factor = (m[r * w + c] as number) / (m[c * w + c] as number);
      if (factor === 0) continue;
      for (let k = c; k < w; k++) m[r * w + k] = (m[r * w + k] as number) - factor * (m[c * w + k] as number);
    }
  }
  const out = new Float64Array(n);
  for (let r = 0; r < n; r++) out[r] = (m[r * w + n] as number) / (m[r * w + r] as number);
  return out;
}
