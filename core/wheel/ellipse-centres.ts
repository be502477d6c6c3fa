import { fixedNumbers } from './fixed-numbers.ts';
import type { EdgePixels } from './image-ops.ts';

/** Directions into which edge pixels are sorted, 2 degrees each. */
const directionBins = 180;
/** Gradient and the line to the opposite pixel may differ by this, as a cosine: an ellipse's normals miss its centre. */
const alongCosine = Math.cos((32 * Math.PI) / 180);
const cellPx = 4;
/** Directions worked through between two looks at whatever else waits. */
const binsAStep = 10;

interface Binned {
  readonly start: Int32Array;
  readonly order: Int32Array;
  readonly ux: Float32Array;
  readonly uy: Float32Array;
}

function byDirection(edges: EdgePixels): Binned {
  const { count, dx, dy } = edges;
  const ux = new Float32Array(count);
  const uy = new Float32Array(count);
  const bin = new Int32Array(count);
  const start = new Int32Array(directionBins + 1);
  for (let i = 0; i < count; i++) {
    const gx = dx[i] as number;
    const gy = dy[i] as number;
    const l = Math.hypot(gx, gy) || 1;
    ux[i] = gx / l;
    uy[i] = gy / l;
    const b = Math.floor(((Math.atan2(gy, gx) + Math.PI) / (2 * Math.PI)) * directionBins) % directionBins;
    bin[i] = b;
    start[b + 1] = (start[b + 1] as number) + 1;
  }
  for (let b = 0; b < directionBins; b++) start[b + 1] = (start[b + 1] as number) + (start[b] as number);
  const fill = Int32Array.from(start);
  const order = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const b = bin[i] as number;
    order[fill[b] as number] = i;
    fill[b] = (fill[b] as number) + 1;
  }
  return { start, order, ux, uy };
}

/** A place where midpoints of opposite edges gather. */
export interface CentreCandidate {
  readonly x: number;
  readonly y: number;
  readonly votes: number;
}

/**
 * Centres of ellipses: where an ellipse's edge runs exactly opposite ways, the midpoint of the two places is its centre,
 * at any tilt. Pairs of edge pixels with opposite gradients vote with their midpoints.
 * @yields share that is done, 0..1, every few hundredths of a second
 */
export function* ellipseCentreSteps(
  edges: EdgePixels,
  widthPx: number,
  heightPx: number,
  leastPx: number,
  mostPx: number,
  count: number,
): Generator<number, CentreCandidate[]> {
  const binned = byDirection(edges);
  const { start, order, ux, uy } = binned;
  const cols = Math.ceil(widthPx / cellPx);
  const rows = Math.ceil(heightPx / cellPx);
  // One plane per 30 degrees of direction, each capped: a straight bench edge facing another must not win alone.
  const planes = 6;
  const votes = new Float32Array(planes * cols * rows);
  const random = fixedNumbers(1);
  const half = directionBins / 2;
  for (let b = 0; b < half; b++) {
    if (b % binsAStep === 0) yield b / half;
    const plane = Math.floor((b * planes) / half);
    const na = (start[b + 1] as number) - (start[b] as number);
    if (na === 0) continue;
    for (let o = -1; o <= 1; o++) {
      const c = (b + half + o + directionBins) % directionBins;
      const nc = (start[c + 1] as number) - (start[c] as number);
      if (nc === 0) continue;
      const all = na * nc;
      const tries = Math.min(all, 24000);
      const weight = all / tries;
      for (let t = 0; t < tries; t++) {
        const i = order[(start[b] as number) + (all === tries ? t % na : Math.floor(random() * na))] as number;
        const j = order[
          (start[c] as number) + (all === tries ? Math.floor(t / na) : Math.floor(random() * nc))
        ] as number;
        const ex = (edges.x[j] as number) - (edges.x[i] as number);
        const ey = (edges.y[j] as number) - (edges.y[i] as number);
        const d2 = ex * ex + ey * ey;
        if (d2 < leastPx * leastPx || d2 > mostPx * mostPx) continue;
        const along = Math.abs(ex * (ux[i] as number) + ey * (uy[i] as number));
        if (along * along < alongCosine * alongCosine * d2) continue;
        const cx = (((edges.x[i] as number) + (edges.x[j] as number)) / 2 / cellPx) | 0;
        const cy = (((edges.y[i] as number) + (edges.y[j] as number)) / 2 / cellPx) | 0;
        const cell = (plane * rows + cy) * cols + cx;
        votes[cell] = (votes[cell] as number) + weight;
      }
    }
  }
  // Each plane in units of its own background, capped, then added up and smoothed.
  const sum = new Float32Array(cols * rows);
  for (let p = 0; p < planes; p++) {
    let total = 0;
    for (let i = 0; i < cols * rows; i++) total += votes[p * cols * rows + i] as number;
    const background = total / (cols * rows) + 1e-6;
    for (let i = 0; i < cols * rows; i++)
      sum[i] = (sum[i] as number) + Math.min(25, (votes[p * cols * rows + i] as number) / background);
  }
  const smooth = new Float32Array(cols * rows);
  for (let y = 1; y + 1 < rows; y++)
    for (let x = 1; x + 1 < cols; x++) {
      let v = 0;
      for (let j = -1; j <= 1; j++) for (let i = -1; i <= 1; i++) v += sum[(y + j) * cols + x + i] as number;
      smooth[y * cols + x] = v;
    }
  const peaks: CentreCandidate[] = [];
  for (let y = 1; y + 1 < rows; y++)
    for (let x = 1; x + 1 < cols; x++) {
      const v = smooth[y * cols + x] as number;
      let top = true;
      for (let j = -1; j <= 1 && top; j++)
        for (let i = -1; i <= 1; i++) if ((smooth[(y + j) * cols + x + i] as number) > v) top = false;
      if (top && v > 0) peaks.push({ x: (x + 0.5) * cellPx, y: (y + 0.5) * cellPx, votes: v });
    }
  peaks.sort((a, b) => b.votes - a.votes);
  const kept: CentreCandidate[] = [];
  for (const p of peaks) {
    if (kept.every((k) => Math.hypot(k.x - p.x, k.y - p.y) > 14)) kept.push(p);
    if (kept.length === count) break;
  }
  return kept;
}
