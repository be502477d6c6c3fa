import { type EdgeGrid, hasOpposite } from './edge-grid.ts';
import { ellipseOfConic, fitEllipse, solveInPlace } from './ellipse.ts';
import type { CentreCandidate } from './ellipse-centres.ts';
import { fixedNumbers } from './fixed-numbers.ts';
import type { EdgePixels } from './image-ops.ts';
import type { RimEllipse } from './types.ts';

/** An ellipse that edge pixels speak for. */
export interface EllipseCandidate {
  readonly rim: RimEllipse;
  /** Share of the directions in view in which an edge lies on it, 0..1. */
  readonly support: number;
}

const supportBins = 72;

/** Normal and gradient of a pixel on an ellipse may differ by this, as a cosine. */
const normalCosine = Math.cos((14 * Math.PI) / 180);

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
  const random = fixedNumbers(7);
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
