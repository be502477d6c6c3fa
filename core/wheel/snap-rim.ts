import { circleToEllipse, fitEllipse } from './ellipse.ts';
import { outside } from './gather.ts';
import type { GreyPicture, RimEllipse } from './types.ts';

const rays = 360;
const step = 0.5;

/** How well an outline lies on an edge. */
export interface RimEdge {
  readonly rim: RimEllipse;
  /** Share of the visible rays on which the edge was found with the common sign, 0..1. */
  readonly support: number;
  /** Brightness rises outwards (+1) or inwards (-1). */
  readonly sign: 1 | -1;
  /** Typical step across the edge, grey levels a pixel. */
  readonly strength: number;
}

/** Radial profile of gradients round an outline; positive where brightness rises outwards. */
interface Profiles {
  readonly reach: number;
  readonly width: number;
  readonly gradient: Float32Array;
  readonly baseX: Float64Array;
  readonly baseY: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
}

function profilesOf(picture: GreyPicture, rim: RimEllipse, reachPx: number): Profiles {
  const e = circleToEllipse(rim);
  const width = 2 * Math.round(reachPx / step) + 1;
  const gradient = new Float32Array(rays * width);
  const baseX = new Float64Array(rays);
  const baseY = new Float64Array(rays);
  const normalX = new Float64Array(rays);
  const normalY = new Float64Array(rays);
  for (let i = 0; i < rays; i++) {
    const t = (2 * Math.PI * i) / rays;
    const c = Math.cos(t);
    const s = Math.sin(t);
    const x = e.cx + e.m00 * c + e.m01 * s;
    const y = e.cy + e.m01 * c + e.m11 * s;
    // Normal of M(c, s): M^-T (c, s).
    const det = e.m00 * e.m11 - e.m01 * e.m01;
    let nx = (e.m11 * c - e.m01 * s) / det;
    let ny = (-e.m01 * c + e.m00 * s) / det;
    const l = Math.hypot(nx, ny);
    nx /= l;
    ny /= l;
    baseX[i] = x;
    baseY[i] = y;
    normalX[i] = nx;
    normalY[i] = ny;
    for (let k = 0; k < width; k++) {
      const d = (k - (width - 1) / 2) * step;
      const a = bilinear(picture, x + (d - 1) * nx, y + (d - 1) * ny);
      const b = bilinear(picture, x + (d + 1) * nx, y + (d + 1) * ny);
      gradient[i * width + k] = a < 0 || b < 0 ? Number.NaN : (b - a) / 2;
    }
  }
  return { reach: reachPx, width, gradient, baseX, baseY, normalX, normalY };
}

export function bilinear(p: GreyPicture, x: number, y: number): number {
  if (!(x >= 0 && y >= 0 && x < p.widthPx - 1 && y < p.heightPx - 1)) return outside;
  const xi = x | 0;
  const yi = y | 0;
  const fx = x - xi;
  const fy = y - yi;
  const o = yi * p.stride + xi;
  const a = p.data[o] as number;
  const b = p.data[o + 1] as number;
  const c = p.data[o + p.stride] as number;
  const d = p.data[o + p.stride + 1] as number;
  return (a + fx * (b - a)) * (1 - fy) + (c + fx * (d - c)) * fy;
}

/**
 * Moves an outline on to the nearest closed edge: an ellipse's offsets along its normals are a constant, a first and a
 * second harmonic, so the five numbers are found by following the edge through ever sharper gradients.
 * @param reachPx how far the edge may be, pixels
 */
export function snapToEdge(picture: GreyPicture, rim: RimEllipse, reachPx: number): RimEdge | null {
  const profiles = profilesOf(picture, rim, reachPx * 1.5);
  let best: RimEdge | null = null;
  for (const sign of [1, -1] as const) {
    const edge = follow(profiles, sign, reachPx);
    if (edge !== null && (best === null || score(edge) > score(best))) best = edge;
  }
  return best;
}

function score(e: RimEdge): number {
  return e.support * Math.min(12, e.strength) ** 0.5;
}

function follow(profiles: Profiles, sign: 1 | -1, reachPx: number): RimEdge | null {
  const { width, gradient, baseX, baseY, normalX, normalY } = profiles;
  const middle = (width - 1) / 2;
  // Clip each profile against its own strongest edge: one glint must not outvote the rest of the rim.
  const clipped = new Float32Array(rays * width);
  for (let i = 0; i < rays; i++)
    for (let k = 0; k < width; k++) {
      const g = sign * (gradient[i * width + k] as number);
      clipped[i * width + k] = g > 0 ? Math.min(g, 8) / (Math.min(g, 8) + 2) : 0;
    }
  let c = [0, 0, 0, 0, 0] as number[];
  let bestScore = -1;
  // Coarse: constant and first harmonic over a grid, with profiles smoothed to 3 px.
  const smooth = boxed(clipped, width, 5);
  const stepPx = Math.max(2, reachPx / 5);
  const evaluate = (k: readonly number[], from: Float32Array): number => {
    let sum = 0;
    for (let i = 0; i < rays; i += 3) {
      const d = offsetAt(k, i);
      const index = Math.round(d / step) + middle;
      if (index >= 0 && index < width) sum += from[i * width + index] as number;
    }
    return sum;
  };
  for (let a = -reachPx; a <= reachPx; a += stepPx / 2)
    for (let b = -reachPx; b <= reachPx; b += stepPx)
      for (let d = -reachPx; d <= reachPx; d += stepPx) {
        if (Math.hypot(b, d) > reachPx) continue;
        const k = [a, b, d, 0, 0];
        const v = evaluate(k, smooth) * (1 - 0.15 * (Math.hypot(a, b, d) / reachPx));
        if (v > bestScore) {
          bestScore = v;
          c = k;
        }
      }
  for (const [from, by] of [
    [smooth, 1.5],
    [smooth, 0.75],
    [clipped, 0.5],
    [clipped, 0.25],
  ] as const) {
    let value = evaluate(c, from);
    for (let moved = true, guard = 0; moved && guard < 30; guard++) {
      moved = false;
      for (let p = 0; p < 5; p++)
        for (const s of [by, -by]) {
          const k = [...c];
          k[p] = (k[p] as number) + s;
          const v = evaluate(k, from);
          if (v > value + 1e-9) {
            value = v;
            c = k;
            moved = true;
          }
        }
    }
  }
  // Sub-pixel: strongest point near the curve on every ray, robust ellipse through them.
  const xs: number[] = [];
  const ys: number[] = [];
  const strengths: number[] = [];
  let visible = 0;
  for (let i = 0; i < rays; i++) {
    const at = Math.round(offsetAt(c, i) / step) + middle;
    if (at < 4 || at >= width - 4 || Number.isNaN(gradient[i * width + at])) continue;
    visible++;
    let bestK = -1;
    let bestG = 1;
    for (let k = at - 4; k <= at + 4; k++) {
      const g = sign * (gradient[i * width + k] as number);
      if (g > bestG) {
        bestG = g;
        bestK = k;
      }
    }
    if (bestK < 1 || bestK >= width - 1) continue;
    const l = sign * (gradient[i * width + bestK - 1] as number);
    const r = sign * (gradient[i * width + bestK + 1] as number);
    const bend = l - 2 * bestG + r;
    const d = (bestK - middle + (bend < -1e-6 ? Math.max(-0.5, Math.min(0.5, (l - r) / (2 * bend))) : 0)) * step;
    xs.push((baseX[i] as number) + d * (normalX[i] as number));
    ys.push((baseY[i] as number) + d * (normalY[i] as number));
    strengths.push(bestG);
  }
  if (visible < rays * 0.3 || xs.length < 30) return null;
  const weights = new Float64Array(xs.length).fill(1);
  let ellipse: RimEllipse | null = null;
  let inliers = 0;
  for (let it = 0; it < 6; it++) {
    ellipse = fitEllipse(xs, ys, weights, xs.length);
    if (ellipse === null) return null;
    const e = circleToEllipse(ellipse);
    const det = e.m00 * e.m11 - e.m01 * e.m01;
    const radius = Math.sqrt(Math.abs(det));
    const cut = it < 3 ? 2.5 : 1.2;
    inliers = 0;
    for (let i = 0; i < xs.length; i++) {
      const dx = (xs[i] as number) - e.cx;
      const dy = (ys[i] as number) - e.cy;
      const miss = (Math.hypot((e.m11 * dx - e.m01 * dy) / det, (-e.m01 * dx + e.m00 * dy) / det) - 1) * radius;
      const w = Math.abs(miss) < cut ? (1 - (miss / cut) ** 2) ** 2 : 0;
      weights[i] = w;
      if (Math.abs(miss) < 0.8) inliers++;
    }
  }
  if (ellipse === null) return null;
  strengths.sort((a, b) => a - b);
  return { rim: ellipse, support: inliers / visible, sign, strength: strengths[strengths.length >> 1] as number };
}

function offsetAt(c: readonly number[], ray: number): number {
  const t = (2 * Math.PI * ray) / rays;
  return (
    (c[0] as number) +
    (c[1] as number) * Math.cos(t) +
    (c[2] as number) * Math.sin(t) +
    (c[3] as number) * Math.cos(2 * t) +
    (c[4] as number) * Math.sin(2 * t)
  );
}

function boxed(values: Float32Array, width: number, half: number): Float32Array {
  const out = new Float32Array(values.length);
  for (let i = 0; i < rays; i++)
    for (let k = 0; k < width; k++) {
      let sum = 0;
      for (let d = -half; d <= half; d++) {
        const j = k + d;
        if (j >= 0 && j < width) sum += (values[i * width + j] as number) * (1 - Math.abs(d) / (half + 1));
      }
      out[i * width + k] = sum / (half + 1);
    }
  return out;
}
