import { columnCos, columnDeg, columnSin, ringColumns } from './ring-map.ts';
import { ringRowCount, rowStep, type Strip } from './strip.ts';

/** The ring is compared in 36 overlapping sectors, 16 degrees wide, 10 degrees apart. */
export const sectorCount = 36;
const halfWidth = 46;
const centres = Int32Array.from({ length: sectorCount }, (_, s) => Math.round((s * ringColumns) / sectorCount));
export const sectorCos = Float64Array.from(centres, (c) => columnCos[c] as number);
export const sectorSin = Float64Array.from(centres, (c) => columnSin[c] as number);
/** Angle of the sectors' centres, radians. */
export const sectorAngle = Float64Array.from(centres, (c) => (2 * Math.PI * c) / ringColumns);
/** A sector needs this share of its columns inside both pictures. */
const minShare = 0.7;

/** Lags searched for the tick, columns to either side (4.5 degrees). */
export const lagHalf = 26;
const lagCount = 2 * lagHalf + 1;

/** Shift of each sector from reference to frame. */
export interface SectorShifts {
  /** Rotation, degrees, about the whole turn (not wrapped against `rotationDeg` of the search). */
  readonly shiftDeg: Float64Array;
  /** Outward move, rim radii. */
  readonly radial: Float64Array;
  readonly ncc: Float64Array;
  /** 1 where measured. */
  readonly valid: Uint8Array;
  /** How many sectors could have been measured. */
  inView: number;
}

export function emptyShifts(): SectorShifts {
  return {
    shiftDeg: new Float64Array(sectorCount),
    radial: new Float64Array(sectorCount),
    ncc: new Float64Array(sectorCount),
    valid: new Uint8Array(sectorCount),
    inView: 0,
  };
}

/** Sector-wise correlation table; reused. */
const table = new Float64Array(sectorCount * lagCount);
const sectorOk = new Uint8Array(sectorCount);

/**
 * Fills the table: NCC of each reference sector with the frame at `base` + lag columns.
 * Every second row is enough for finding the tick.
 */
export function fillLagTable(reference: Strip, frame: Strip, baseColumns: number): void {
  const n = ringColumns;
  for (let s = 0; s < sectorCount; s++) {
    const c = centres[s] as number;
    let referenceIn = 0;
    for (let d = -halfWidth; d <= halfWidth; d++) referenceIn += reference.valid[(c + d + n) % n] as number;
    sectorOk[s] = referenceIn >= minShare * (2 * halfWidth + 1) ? 1 : 0;
    if (!sectorOk[s]) continue;
    for (let l = 0; l < lagCount; l++) {
      const shift = baseColumns + l - lagHalf + 4 * n;
      let ab = 0;
      let aa = 0;
      let bb = 0;
      let used = 0;
      for (let d = -halfWidth; d <= halfWidth; d += 1) {
        const x = (c + d + n) % n;
        const y = (c + d + shift) % n;
        if (!reference.valid[x] || !frame.valid[y]) continue;
        used++;
        for (let r = 1; r < ringRowCount; r += 3) {
          const a = reference.values[r * n + x] as number;
          const b = frame.values[r * n + y] as number;
          ab += a * b;
          aa += a * a;
          bb += b * b;
        }
      }
      table[s * lagCount + l] = used < minShare * (2 * halfWidth + 1) ? Number.NaN : ab / Math.sqrt(aa * bb + 1e-9);
    }
  }
}

/** Rotation with first harmonic: shift(phi) = a0 + a1 cos phi + b1 sin phi, degrees. */
export interface TickSearch {
  a0Deg: number;
  a1Deg: number;
  b1Deg: number;
  /** Mean NCC over the usable sectors. */
  score: number;
  /** The same for the best answer at least 0.7 ticks away. */
  rivalScore: number;
}

const amplitudeStep = 0.2;
const amplitudeCount = 10;

/**
 * Which tick: finds the rotation, with the first harmonic that eccentricity puts on it, that the sectors agree on.
 * Deciding sector by sector fails: eccentric shifts differ by more than half a tick round the ring.
 */
export function searchTick(baseDeg: number, tickDeg: number): TickSearch {
  const best: TickSearch = { a0Deg: baseDeg, a1Deg: 0, b1Deg: 0, score: -2, rivalScore: -2 };
  bestPerLag.fill(-2);
  for (let i = -amplitudeCount; i <= amplitudeCount; i++) {
    for (let j = -amplitudeCount; j <= amplitudeCount; j++) {
      if (i * i + j * j > amplitudeCount * amplitudeCount) continue;
      const a1 = i * amplitudeStep;
      const b1 = j * amplitudeStep;
      for (let s = 0; s < sectorCount; s++)
        offset[s] = Math.round((a1 * (sectorCos[s] as number) + b1 * (sectorSin[s] as number)) / columnDeg);
      for (let l = 0; l < lagCount; l++) {
        let sum = 0;
        let used = 0;
        for (let s = 0; s < sectorCount; s++) {
          if (!sectorOk[s]) continue;
          const k = l + (offset[s] as number);
          if (k < 0 || k >= lagCount) continue;
          const v = table[s * lagCount + k] as number;
          if (v === v) {
            sum += v;
            used++;
          }
        }
        if (used < 8) continue;
        const score = sum / Math.max(used, 14);
        if (score > (bestPerLag[l] as number)) bestPerLag[l] = score;
        if (score > best.score) {
          best.score = score;
          best.a0Deg = baseDeg + (l - lagHalf) * columnDeg;
          best.a1Deg = a1;
          best.b1Deg = b1;
        }
      }
    }
  }
  const bestLag = Math.round((best.a0Deg - baseDeg) / columnDeg) + lagHalf;
  for (let l = 0; l < lagCount; l++)
    if (Math.abs(l - bestLag) * columnDeg > 0.7 * tickDeg && (bestPerLag[l] as number) > best.rivalScore)
      best.rivalScore = bestPerLag[l] as number;
  return best;
}
const bestPerLag = new Float64Array(lagCount);
const offset = new Int32Array(sectorCount);

/** Gradients of a strip along the ring (per column) and across (per row), for the sub-tick step. */
export interface StripGradients {
  readonly along: Float32Array;
  readonly across: Float32Array;
}

export function gradientsOf(strip: Strip): StripGradients {
  const n = ringColumns;
  const rows = strip.rowCount;
  const along = new Float32Array(rows * n);
  const across = new Float32Array(rows * n);
  const v = strip.values;
  for (let r = 0; r < rows; r++) {
    const up = Math.max(0, r - 1) * n;
    const down = Math.min(rows - 1, r + 1) * n;
    const span = r === 0 || r === rows - 1 ? 1 : 2;
    for (let x = 0; x < n; x++) {
      along[r * n + x] = ((v[r * n + ((x + 1) % n)] as number) - (v[r * n + ((x + n - 1) % n)] as number)) / 2;
      across[r * n + x] = ((v[down + x] as number) - (v[up + x] as number)) / span;
    }
  }
  return { along, across };
}

const iterations = 6;

/**
 * Sub-tick shifts by inverse-compositional least squares, each sector along the ring and across it, gain free.
 * The basin is about +-0.2 tick: start only from a checked tick.
 */
export function refineSectors(
  reference: Strip,
  gradients: StripGradients,
  frame: Strip,
  startDeg: (sector: number) => number,
  startRadial: (sector: number) => number,
  out: SectorShifts,
): void {
  const n = ringColumns;
  out.inView = 0;
  for (let s = 0; s < sectorCount; s++) {
    out.valid[s] = 0;
    out.ncc[s] = 0;
    const c = centres[s] as number;
    let dx = startDeg(s) / columnDeg;
    let dr = startRadial(s) / rowStep;
    const dx0 = dx;
    let referenceIn = 0;
    for (let d = -halfWidth; d <= halfWidth; d++) referenceIn += reference.valid[(c + d + n) % n] as number;
    if (referenceIn < minShare * (2 * halfWidth + 1)) continue;
    let ncc = 0;
    let seen = true;
    for (let it = 0; it < iterations; it++) {
      let hxx = 0;
      let hxr = 0;
      let hrr = 0;
      let tt = 0;
      let tg = 0;
      let gg = 0;
      let xt = 0;
      let rt = 0;
      let xg = 0;
      let rg = 0;
      let used = 0;
      const xWhole = Math.floor(dx);
      const fx = dx - xWhole;
      const rWhole = Math.floor(dr);
      const fr = dr - rWhole;
      for (let d = -halfWidth; d <= halfWidth; d++) {
        const x = (c + d + n) % n;
        const y = (((c + d + xWhole) % n) + n) % n;
        const y1 = y + 1 === n ? 0 : y + 1;
        if (!reference.valid[x] || !frame.valid[y] || !frame.valid[y1]) continue;
        used++;
        const w = 1 - (d / (halfWidth + 1)) ** 2;
        for (let r = 1; r < ringRowCount - 1; r++) {
          const q = r + rWhole;
          if (q < 0 || q + 1 >= ringRowCount) continue;
          const o = q * n;
          const a = frame.values[o + y] as number;
          const b = frame.values[o + y1] as number;
          const e = frame.values[o + n + y] as number;
          const f = frame.values[o + n + y1] as number;
          const top = a + fx * (b - a);
          const g = top + fr * (e + fx * (f - e) - top);
          const i = r * n + x;
          const t = reference.values[i] as number;
          const gx = gradients.along[i] as number;
          const gr = gradients.across[i] as number;
          tt += w * t * t;
          tg += w * t * g;
          gg += w * g * g;
          hxx += w * gx * gx;
          hxr += w * gx * gr;
          hrr += w * gr * gr;
          xt += w * gx * t;
          rt += w * gr * t;
          xg += w * gx * g;
          rg += w * gr * g;
        }
      }
      if (used < minShare * (2 * halfWidth + 1)) {
        seen = false;
        break;
      }
      ncc = tg / Math.sqrt(tt * gg + 1e-9);
      if (!(ncc > 0.1)) break;
      const gain = tg / tt;
      // frame(x + d) ~ gain (T + grad T · delta): the ring is found `delta` further on.
      const bx = xg / gain - xt;
      const br = rg / gain - rt;
      // A weak prior across: rows of plain ticks say little about the radial shift.
      const hr = hrr + 0.02 * tt;
      const det = hxx * hr - hxr * hxr;
      if (!(det > 1e-9)) break;
      let ux = (hr * bx - hxr * br) / det;
      let ur = (hxx * br - hxr * bx) / det;
      ux = Math.max(-0.8, Math.min(0.8, ux));
      ur = Math.max(-0.5, Math.min(0.5, ur));
      dx -= ux;
      dr -= ur;
      if (Math.abs(ux) < 0.002 && Math.abs(ur) < 0.005) break;
    }
    if (!seen) continue;
    out.inView++;
    out.ncc[s] = ncc;
    out.shiftDeg[s] = dx * columnDeg;
    out.radial[s] = dr * rowStep;
    out.valid[s] = ncc > 0.5 && Math.abs(dx - dx0) * columnDeg < 0.4 && Math.abs(dr) < 5 ? 1 : 0;
  }
}
