import { ellipseOfConic, fitEllipse, solveInPlace } from './ellipse.ts';
import type { EdgePixels } from './image-ops.ts';
import type { RimEllipse } from './types.ts';

/** An ellipse that edge pixels speak for. */
export interface EllipseCandidate {
  readonly rim: RimEllipse;
  /** Share of the directions in view in which an edge lies on it, 0..1. */
  readonly support: number;
}

/** Directions into which edge pixels are sorted, 2 degrees each. */
const directionBins = 180;
/** Gradient and the line to the opposite pixel may differ by this, as a cosine: an ellipse's normals miss its centre. */
const alongCosine = Math.cos((32 * Math.PI) / 180);
const cellPx = 4;

/** A fixed stream of numbers in [0, 1): the search must give the same answer every time. */
function generator(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0;
    return s / 4294967296;
  };
}

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
 */
export function ellipseCentres(
  edges: EdgePixels,
  widthPx: number,
  heightPx: number,
  leastPx: number,
  mostPx: number,
  count: number,
): CentreCandidate[] {
  const binned = byDirection(edges);
  const { start, order, ux, uy } = binned;
  const cols = Math.ceil(widthPx / cellPx);
  const rows = Math.ceil(heightPx / cellPx);
  // One plane per 30 degrees of direction, each capped: a straight bench edge facing another must not win alone.
  const planes = 6;
  const votes = new Float32Array(planes * cols * rows);
  const random = generator(1);
  const half = directionBins / 2;
  for (let b = 0; b < half; b++) {
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

const supportBins = 72;

/** Normal and gradient of a pixel on an ellipse may differ by this, as a cosine. */
const normalCosine = Math.cos((14 * Math.PI) / 180);
/** A pixel's opposite number may lie this far from the exact place: the centre is known to a cell only. */
const oppositePx = 5;

/** Edge pixels about a centre, relative to it. */
interface Around {
  readonly x: Float32Array;
  readonly y: Float32Array;
  /** Gradient, unit length. */
  readonly gx: Float32Array;
  readonly gy: Float32Array;
  readonly sign: Int8Array;
  /** 1 where an edge with the opposite gradient lies on the other side of the centre. */
  readonly paired: Uint8Array;
  readonly count: number;
}

function around(edges: EdgePixels, grid: EdgeGrid, centre: CentreCandidate, leastPx: number, mostPx: number): Around {
  const x: number[] = [];
  const y: number[] = [];
  const gx: number[] = [];
  const gy: number[] = [];
  const sign: number[] = [];
  const paired: number[] = [];
  for (let i = 0; i < edges.count; i++) {
    const u = (edges.x[i] as number) - centre.x;
    const v = (edges.y[i] as number) - centre.y;
    const r2 = u * u + v * v;
    if (r2 < (leastPx / 2) ** 2 || r2 > (mostPx / 2) ** 2) continue;
    const dx = edges.dx[i] as number;
    const dy = edges.dy[i] as number;
    const g = Math.hypot(dx, dy) || 1;
    const along = (u * dx + v * dy) / g;
    if (along * along < 0.72 * r2) continue;
    x.push(u);
    y.push(v);
    gx.push(dx / g);
    gy.push(dy / g);
    sign.push(along > 0 ? 1 : -1);
    paired.push(hasOpposite(edges, grid, centre.x - u, centre.y - v, dx / g, dy / g) ? 1 : 0);
  }
  return {
    x: Float32Array.from(x),
    y: Float32Array.from(y),
    gx: Float32Array.from(gx),
    gy: Float32Array.from(gy),
    sign: Int8Array.from(sign),
    paired: Uint8Array.from(paired),
    count: x.length,
  };
}

/** Edge pixels by place, for looking up neighbours. */
export interface EdgeGrid {
  readonly cols: number;
  readonly rows: number;
  readonly start: Int32Array;
  readonly order: Int32Array;
}
const gridPx = 8;

export function edgeGrid(edges: EdgePixels, widthPx: number, heightPx: number): EdgeGrid {
  const cols = Math.ceil(widthPx / gridPx);
  const rows = Math.ceil(heightPx / gridPx);
  const start = new Int32Array(cols * rows + 1);
  const cellOf = (i: number): number =>
    (((edges.y[i] as number) / gridPx) | 0) * cols + (((edges.x[i] as number) / gridPx) | 0);
  for (let i = 0; i < edges.count; i++) start[cellOf(i) + 1] = (start[cellOf(i) + 1] as number) + 1;
  for (let c = 0; c < cols * rows; c++) start[c + 1] = (start[c + 1] as number) + (start[c] as number);
  const fill = Int32Array.from(start);
  const order = new Int32Array(edges.count);
  for (let i = 0; i < edges.count; i++) {
    const c = cellOf(i);
    order[fill[c] as number] = i;
    fill[c] = (fill[c] as number) + 1;
  }
  return { cols, rows, start, order };
}

function hasOpposite(edges: EdgePixels, grid: EdgeGrid, x: number, y: number, gx: number, gy: number): boolean {
  const x0 = Math.max(0, ((x - oppositePx) / gridPx) | 0);
  const x1 = Math.min(grid.cols - 1, ((x + oppositePx) / gridPx) | 0);
  const y0 = Math.max(0, ((y - oppositePx) / gridPx) | 0);
  const y1 = Math.min(grid.rows - 1, ((y + oppositePx) / gridPx) | 0);
  for (let cy = y0; cy <= y1; cy++)
    for (let cx = x0; cx <= x1; cx++) {
      const c = cy * grid.cols + cx;
      for (let k = grid.start[c] as number; k < (grid.start[c + 1] as number); k++) {
        const j = grid.order[k] as number;
        const ex = (edges.x[j] as number) - x;
        const ey = (edges.y[j] as number) - y;
        if (ex * ex + ey * ey > oppositePx * oppositePx) continue;
        const dx = edges.dx[j] as number;
        const dy = edges.dy[j] as number;
        if (-(dx * gx + dy * gy) > 0.985 * Math.hypot(dx, dy)) return true;
      }
    }
  return false;
}

/** Ellipses about a centre, best supported first. */
export function ellipsesAbout(
  edges: EdgePixels,
  grid: EdgeGrid,
  centre: CentreCandidate,
  widthPx: number,
  heightPx: number,
  leastPx: number,
  mostPx: number,
  count: number,
): EllipseCandidate[] {
  const all = around(edges, grid, centre, leastPx, mostPx);
  const sector: number[][] = Array.from({ length: 12 }, () => []);
  for (let i = 0; i < all.count; i++)
    if (all.paired[i])
      sector[
        Math.floor(((Math.atan2(all.y[i] as number, all.x[i] as number) + Math.PI) / (2 * Math.PI)) * 12) % 12
      ]?.push(i);
  const members = sector.flat();
  if (sector.filter((s) => s.length > 0).length < 4) return [];
  const random = generator(7);
  const pool: { rim: RimEllipse; score: number; sign: number }[] = [];
  const m = new Float64Array(12);
  const stride = Math.max(1, Math.floor(members.length / 1500));
  for (let t = 0; t < 2500; t++) {
    // Three directions well apart fix an ellipse about the known centre; opposite sectors are the same direction.
    const first = Math.floor(random() * 12);
    const picks = [first, (first + 2 + Math.floor(random() * 2)) % 12, (first + 4 + Math.floor(random() * 2)) % 12];
    const points: number[] = [];
    for (const s of picks) {
      const own = sector[(s + (random() < 0.5 ? 0 : 6)) % 12] as number[];
      if (own.length === 0) break;
      points.push(own[Math.floor(random() * own.length)] as number);
    }
    if (points.length < 3) continue;
    const sign = all.sign[points[0] as number] as number;
    if (points.some((p) => all.sign[p] !== sign)) continue;
    for (let r = 0; r < 3; r++) {
      const x = all.x[points[r] as number] as number;
      const y = all.y[points[r] as number] as number;
      m[r * 4] = x * x;
      m[r * 4 + 1] = x * y;
      m[r * 4 + 2] = y * y;
      m[r * 4 + 3] = 1e4;
    }
    const solved = solveInPlace(m, 3);
    if (solved === null) continue;
    const [a, b, c] = [(solved[0] as number) / 1e4, (solved[1] as number) / 1e4, (solved[2] as number) / 1e4];
    const e = ellipseOfConic([a, b, c, 0, 0, -1]);
    if (e === null) continue;
    const low = Math.min(e.fullAxesPx[0], e.fullAxesPx[1]);
    const high = Math.max(e.fullAxesPx[0], e.fullAxesPx[1]);
    if (low < leastPx || high > mostPx || low < 0.68 * high) continue;
    const radius = Math.sqrt(low * high) / 2;
    const bins = new Uint8Array(supportBins);
    let hits = 0;
    for (let k = t % stride; k < members.length; k += stride) {
      const i = members[k] as number;
      const x = all.x[i] as number;
      const y = all.y[i] as number;
      const f = Math.sqrt(a * x * x + b * x * y + c * y * y) - 1;
      if (Math.abs(f) * radius > 3.5 || all.sign[i] !== sign) continue;
      const nx = 2 * a * x + b * y;
      const ny = b * x + 2 * c * y;
      if (Math.abs(nx * (all.gx[i] as number) + ny * (all.gy[i] as number)) < normalCosine * Math.hypot(nx, ny))
        continue;
      hits++;
      bins[Math.floor(((Math.atan2(y, x) + Math.PI) / (2 * Math.PI)) * supportBins) % supportBins] = 1;
    }
    let covered = 0;
    for (const v of bins) covered += v;
    pool.push({
      rim: { centrePx: [centre.x, centre.y], fullAxesPx: e.fullAxesPx, angleDeg: e.angleDeg },
      score: covered + 0.02 * hits,
      sign,
    });
  }
  pool.sort((p, q) => q.score - p.score);
  const found: EllipseCandidate[] = [];
  for (const p of pool.slice(0, 80)) {
    const refined = refit(all, p.sign, p.rim, centre);
    if (refined === null) continue;
    const inView = inViewBins(refined.rim, widthPx, heightPx);
    const candidate = { rim: refined.rim, support: refined.covered / Math.max(18, inView) };
    const twin = found.findIndex((f) => Math.abs(meanAxis(f.rim) - meanAxis(candidate.rim)) < 8);
    if (twin < 0) found.push(candidate);
    else if ((found[twin] as EllipseCandidate).support < candidate.support) found[twin] = candidate;
    if (found.length >= 3 * count) break;
  }
  found.sort((p, q) => q.support - p.support);
  return found.slice(0, count);
}

export function meanAxis(rim: RimEllipse): number {
  return Math.sqrt(rim.fullAxesPx[0] * rim.fullAxesPx[1]);
}

/** General ellipse through the pixels near a first guess, paired or not. */
function refit(
  all: Around,
  sign: number,
  rim: RimEllipse,
  centre: CentreCandidate,
): { rim: RimEllipse; covered: number } | null {
  let current: RimEllipse = { ...rim, centrePx: [0, 0] };
  let covered = 0;
  const px: number[] = [];
  const py: number[] = [];
  for (const band of [6, 4, 2.5, 2]) {
    px.length = 0;
    py.length = 0;
    const bins = new Uint8Array(supportBins);
    const a = (current.angleDeg * Math.PI) / 180;
    const c = Math.cos(a);
    const s = Math.sin(a);
    const r1 = current.fullAxesPx[0] / 2;
    const r2 = current.fullAxesPx[1] / 2;
    const radius = Math.sqrt(r1 * r2);
    for (let i = 0; i < all.count; i++) {
      if (all.sign[i] !== sign) continue;
      const x = (all.x[i] as number) - current.centrePx[0];
      const y = (all.y[i] as number) - current.centrePx[1];
      const u = (c * x + s * y) / r1;
      const v = (-s * x + c * y) / r2;
      const f = Math.hypot(u, v) - 1;
      if (Math.abs(f) * radius > band) continue;
      const nx = (c * u) / r1 - (s * v) / r2;
      const ny = (s * u) / r1 + (c * v) / r2;
      if (Math.abs(nx * (all.gx[i] as number) + ny * (all.gy[i] as number)) < normalCosine * Math.hypot(nx, ny))
        continue;
      px.push(all.x[i] as number);
      py.push(all.y[i] as number);
      if (Math.abs(f) * radius < 1.5)
        bins[Math.floor(((Math.atan2(y, x) + Math.PI) / (2 * Math.PI)) * supportBins) % supportBins] = 1;
    }
    if (px.length < 40) return null;
    const next = fitEllipse(px, py, new Float64Array(px.length).fill(1), px.length);
    if (next === null) return null;
    if (
      Math.hypot(next.centrePx[0], next.centrePx[1]) > 20 ||
      Math.min(...next.fullAxesPx) < 0.65 * Math.max(...next.fullAxesPx)
    )
      return null;
    current = next;
    covered = 0;
    for (const v of bins) covered += v;
  }
  return { rim: { ...current, centrePx: [current.centrePx[0] + centre.x, current.centrePx[1] + centre.y] }, covered };
}

function inViewBins(rim: RimEllipse, widthPx: number, heightPx: number): number {
  const a = (rim.angleDeg * Math.PI) / 180;
  let inside = 0;
  for (let i = 0; i < supportBins; i++) {
    const t = (2 * Math.PI * i) / supportBins;
    const u = (rim.fullAxesPx[0] / 2) * Math.cos(t);
    const v = (rim.fullAxesPx[1] / 2) * Math.sin(t);
    const x = rim.centrePx[0] + Math.cos(a) * u - Math.sin(a) * v;
    const y = rim.centrePx[1] + Math.sin(a) * u + Math.cos(a) * v;
    if (x >= 0 && y >= 0 && x < widthPx && y < heightPx) inside++;
  }
  return inside;
}
