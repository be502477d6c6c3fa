import { columnCos, columnDeg, columnSin, ringColumns } from './ring-map.ts';
import { ringRowCount, rowStep, type Strip } from './strip.ts';

/** The ring is compared in 36 overlapping sectors, 16 degrees wide, 10 degrees apart. */
export const sectorCount = 36;
export const halfWidth = 46;
/** Columns of a sector. */
export const windowLength = 2 * halfWidth + 1;
export const centres = Int32Array.from({ length: sectorCount }, (_, s) => Math.round((s * ringColumns) / sectorCount));
export const sectorCos = Float64Array.from(centres, (c) => columnCos[c] as number);
export const sectorSin = Float64Array.from(centres, (c) => columnSin[c] as number);
/** Angle of the sectors' centres, radians. */
export const sectorAngle = Float64Array.from(centres, (c) => (2 * Math.PI * c) / ringColumns);
/** A sector needs this share of its columns inside both pictures. */
export const minShare = 0.7;

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

/** Gradients of a strip along the ring (per column) and across (per row), for the sub-tick step. */
export interface StripGradients {
  readonly along: Float32Array;
  readonly across: Float32Array;
  /** Sums of each sector that don't depend on the frame: tt, hxx, hxr, hrr, xt, rt. */
  readonly sums: Float64Array;
}

/** Weight of a column within its sector. */
const windowWeight = Float64Array.from(
  { length: 2 * halfWidth + 1 },
  (_, i) => 1 - ((i - halfWidth) / (halfWidth + 1)) ** 2,
);
const sumCount = 6;

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
    const o = r * n;
    for (let x = 0; x < n; x++) {
      const next = x + 1 === n ? 0 : x + 1;
      const before = x === 0 ? n - 1 : x - 1;
      along[o + x] = ((v[o + next] as number) - (v[o + before] as number)) / 2;
      across[o + x] = ((v[down + x] as number) - (v[up + x] as number)) / span;
    }
  }
  const sums = new Float64Array(sectorCount * sumCount);
  for (let s = 0; s < sectorCount; s++) sumSector(strip, along, across, s, null, 0, sums, s * sumCount);
  return { along, across, sums };
}

/** Adds up what only the reference knows of a sector; with a frame, over the columns that are valid in both. */
function sumSector(
  reference: Strip,
  along: Float32Array,
  across: Float32Array,
  s: number,
  frame: Strip | null,
  shift: number,
  into: Float64Array,
  at: number,
): number {
  const n = ringColumns;
  const c = centres[s] as number;
  let tt = 0;
  let hxx = 0;
  let hxr = 0;
  let hrr = 0;
  let xt = 0;
  let rt = 0;
  let used = 0;
  for (let i = 0; i < windowLength; i++) {
    const x = (c + i - halfWidth + n) % n;
    if (!reference.valid[x]) continue;
    if (frame !== null) {
      const y = (((x + shift) % n) + n) % n;
      if (!frame.valid[y] || !frame.valid[y + 1 === n ? 0 : y + 1]) continue;
    }
    used++;
    const w = windowWeight[i] as number;
    for (let r = 1; r < ringRowCount - 1; r++) {
      const k = r * n + x;
      const t = reference.values[k] as number;
      const gx = along[k] as number;
      const gr = across[k] as number;
      tt += w * t * t;
      hxx += w * gx * gx;
      hxr += w * gx * gr;
      hrr += w * gr * gr;
      xt += w * gx * t;
      rt += w * gr * t;
    }
  }
  into[at] = tt;
  into[at + 1] = hxx;
  into[at + 2] = hxr;
  into[at + 3] = hrr;
  into[at + 4] = xt;
  into[at + 5] = rt;
  return used;
}

const iterations = 6;
/** Steps smaller than this end the search, columns and rows. */
const settledColumns = 0.002;
const settledRows = 0.005;

/** A sector less like its partner counts as covered. */
const leastSectorNcc = 0.5;
const leastSectorNccPolarityFree = 0.36;

const rowBlend = new Float64Array(windowLength + 1);
const ownSums = new Float64Array(sumCount);
const crossSums = new Float64Array(4);

/**
 * Sub-tick shifts by inverse-compositional least squares, each sector along the ring and across it, gain free.
 * The basin is about +-0.2 tick: start only from a checked tick.
 * @source Baker and Matthews, "Lucas-Kanade 20 years on" (IJCV 2004)
 */
export function refineSectors(
  reference: Strip,
  gradients: StripGradients,
  frame: Strip,
  startDeg: (sector: number) => number,
  startRadial: (sector: number) => number,
  out: SectorShifts,
): void {
  const least = minShare * windowLength;
  const leastNcc = reference.polarityFree ? leastSectorNccPolarityFree : leastSectorNcc;
  out.inView = 0;
  for (let s = 0; s < sectorCount; s++) {
    out.valid[s] = 0;
    out.ncc[s] = 0;
    const c = centres[s] as number;
    let dx = startDeg(s) / columnDeg;
    let dr = startRadial(s) / rowStep;
    const dx0 = dx;
    let ncc = 0;
    let seen = true;
    for (let it = 0; it < iterations; it++) {
      const xWhole = Math.floor(dx);
      let sums = gradients.sums;
      let at = s * sumCount;
      const whole = allValid(reference, c) && allValid(frame, c + xWhole) && allValid(frame, c + xWhole + 1);
      if (!whole) {
        if (sumSector(reference, gradients.along, gradients.across, s, frame, xWhole, ownSums, 0) < least) {
          seen = false;
          break;
        }
        sums = ownSums;
        at = 0;
      }
      const rWhole = Math.floor(dr);
      // Rows that fall off the band leave the reference's sums a little too large; eccentricity moves by two rows at most.
      if (Math.abs(rWhole) > 6) break;
      crossSector(reference, gradients, frame, c, xWhole, dx - xWhole, rWhole, dr - rWhole, whole);
      const tt = sums[at] as number;
      const hxx = sums[at + 1] as number;
      const hxr = sums[at + 2] as number;
      const tg = crossSums[0] as number;
      ncc = tg / Math.sqrt(tt * (crossSums[1] as number) + 1e-9);
      if (!(ncc > 0.1)) break;
      const gain = tg / tt;
      // frame(x + d) ~ gain (T + grad T · delta): the ring is found `delta` further on.
      const bx = (crossSums[2] as number) / gain - (sums[at + 4] as number);
      const br = (crossSums[3] as number) / gain - (sums[at + 5] as number);
      // A weak prior across: rows of plain ticks say little about the radial shift.
      const hr = (sums[at + 3] as number) + 0.02 * tt;
      const det = hxx * hr - hxr * hxr;
      if (!(det > 1e-9)) break;
      const ux = Math.max(-0.8, Math.min(0.8, (hr * bx - hxr * br) / det));
      const ur = Math.max(-0.5, Math.min(0.5, (hxx * br - hxr * bx) / det));
      dx -= ux;
      dr -= ur;
      if (Math.abs(ux) < settledColumns && Math.abs(ur) < settledRows) break;
    }
    if (!seen) continue;
    out.inView++;
    out.ncc[s] = ncc;
    out.shiftDeg[s] = dx * columnDeg;
    out.radial[s] = dr * rowStep;
    out.valid[s] = ncc > leastNcc && Math.abs(dx - dx0) * columnDeg < 0.4 && Math.abs(dr) < 5 ? 1 : 0;
  }
}

/** Are all columns of the window round a centre valid? */
function allValid(strip: Strip, centre: number): boolean {
  const n = ringColumns;
  let x = (((centre - halfWidth) % n) + n) % n;
  for (let i = 0; i < windowLength; i++) {
    if (!strip.valid[x]) return false;
    x = x + 1 === n ? 0 : x + 1;
  }
  return true;
}

/** Fills `crossSums` with <T,G>, <G,G>, <Tx,G>, <Tr,G> of a sector against the shifted frame. */
function crossSector(
  reference: Strip,
  gradients: StripGradients,
  frame: Strip,
  centre: number,
  xWhole: number,
  fx: number,
  rWhole: number,
  fr: number,
  whole: boolean,
): void {
  const n = ringColumns;
  const { along, across } = gradients;
  const { values } = reference;
  const frameValues = frame.values;
  const left = (centre - halfWidth + n) % n;
  const frameLeft = (((centre - halfWidth + xWhole) % n) + n) % n;
  // Columns of the window before the end of the row; the others go on at its beginning.
  const before = Math.min(windowLength, n - left);
  const frameBefore = Math.min(windowLength + 1, n - frameLeft);
  if (!whole)
    for (let i = 0; i < windowLength; i++)
      usableWeight[i] = usable(reference, frame, (left + i) % n, xWhole) ? (windowWeight[i] as number) : 0;
  const weight = whole ? windowWeight : usableWeight;
  let tg = 0;
  let gg = 0;
  let xg = 0;
  let rg = 0;
  for (let r = 1; r < ringRowCount - 1; r++) {
    const q = r + rWhole;
    if (q < 0 || q + 1 >= ringRowCount) continue;
    for (let i = 0, y = q * n + frameLeft; i < frameBefore; i++, y++) {
      const a = frameValues[y] as number;
      rowBlend[i] = a + fr * ((frameValues[y + n] as number) - a);
    }
    for (let i = frameBefore, y = q * n; i <= windowLength; i++, y++) {
      const a = frameValues[y] as number;
      rowBlend[i] = a + fr * ((frameValues[y + n] as number) - a);
    }
    let here = rowBlend[0] as number;
    for (let i = 0, k = r * n + left; i < windowLength; i++, k++) {
      if (i === before) k -= n;
      const next = rowBlend[i + 1] as number;
      const g = here + fx * (next - here);
      here = next;
      const wg = (weight[i] as number) * g;
      tg += wg * (values[k] as number);
      gg += wg * g;
      xg += wg * (along[k] as number);
      rg += wg * (across[k] as number);
    }
  }
  crossSums[0] = tg;
  crossSums[1] = gg;
  crossSums[2] = xg;
  crossSums[3] = rg;
}
const usableWeight = new Float64Array(windowLength);

function usable(reference: Strip, frame: Strip, x: number, shift: number): boolean {
  const n = ringColumns;
  if (!reference.valid[x]) return false;
  const y = (((x + shift) % n) + n) % n;
  return frame.valid[y] === 1 && frame.valid[y + 1 === n ? 0 : y + 1] === 1;
}
