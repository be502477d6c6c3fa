import { medianOf } from './bundle.ts';
import { columnDeg, ringColumns } from './ring-map.ts';
import { type SectorShifts, sectorCos, sectorCount, sectorSin } from './sectors.ts';
import { ringRowCount, type Strip } from './strip.ts';

/** What the sectors say together, once the rigid model has straightened the ring. */
export interface SectorAngle {
  /** Rotation still missing, degrees. */
  readonly deltaDeg: number;
  /** Move of the whole wheel in its plane, in rim radii, in the face's axes. */
  readonly moveX: number;
  readonly moveY: number;
  /** Mean outward move, rim radii: the camera has come nearer or gone away. */
  readonly swell: number;
  /** Robust scatter of one sector, degrees. */
  readonly scatterDeg: number;
  /** Sectors that carried weight. */
  readonly sectors: number;
  readonly medianNcc: number;
  /** Sectors seen, matched or not. */
  readonly inView: number;
}

const rho = 0.92;
/** Holds the move at nought where too little of the ring is seen to tell it from rotation, rim radii. */
const movePrior = 0.002;
const cutFloorDeg = 0.02;

/**
 * Least squares with Tukey weights for rotation and a small move: along the ring a move (x, y) shows as
 * (-x sin + y cos) / rho, across it as x cos + y sin.
 * @returns null with fewer than 6 matched sectors
 */
export function angleOfSectors(shifts: SectorShifts): SectorAngle | null {
  let matched = 0;
  const nccs: number[] = [];
  for (let s = 0; s < sectorCount; s++) {
    matched += shifts.valid[s] as number;
    if (shifts.ncc[s] !== 0) nccs.push(shifts.ncc[s] as number);
  }
  if (matched < 6) return null;
  const radToDeg = 180 / Math.PI;
  const starts: number[] = [];
  const swells: number[] = [];
  for (let s = 0; s < sectorCount; s++)
    if (shifts.valid[s]) {
      starts.push(shifts.shiftDeg[s] as number);
      swells.push(shifts.radial[s] as number);
    }
  let delta = medianOf(starts);
  const swell = medianOf(swells);
  let x = 0;
  let y = 0;
  let scatter = 0.05;
  let sectors = 0;
  for (let it = 0; it < 8; it++) {
    const misses: number[] = [];
    for (let s = 0; s < sectorCount; s++)
      if (shifts.valid[s])
        misses.push(
          Math.abs(
            (shifts.shiftDeg[s] as number) -
              delta -
              ((-x * (sectorSin[s] as number) + y * (sectorCos[s] as number)) / rho) * radToDeg,
          ),
        );
    scatter = 1.4826 * medianOf(misses);
    const cut = 4.7 * Math.max(cutFloorDeg, scatter);
    let a00 = 0;
    let a01 = 0;
    let a02 = 0;
    let a11 = 0;
    let a12 = 0;
    let a22 = 0;
    let b0 = 0;
    let b1 = 0;
    let b2 = 0;
    sectors = 0;
    let plain = 0;
    for (let s = 0; s < sectorCount; s++) {
      if (!shifts.valid[s]) continue;
      const c = sectorCos[s] as number;
      const sn = sectorSin[s] as number;
      const value = shifts.shiftDeg[s] as number;
      const miss = value - delta - ((-x * sn + y * c) / rho) * radToDeg;
      const e = miss / cut;
      if (Math.abs(e) >= 1) continue;
      const w = (1 - e * e) ** 2 * (shifts.ncc[s] as number) ** 2;
      sectors += (1 - e * e) ** 2;
      plain += w;
      const jx = (-sn / rho) * radToDeg;
      const jy = (c / rho) * radToDeg;
      a00 += w;
      a01 += w * jx;
      a02 += w * jy;
      a11 += w * jx * jx;
      a12 += w * jx * jy;
      a22 += w * jy * jy;
      b0 += w * value;
      b1 += w * jx * value;
      b2 += w * jy * value;
      // Across the ring the marks say less; weight by its own usual scatter (0.004 rim radii against `scatter` degrees).
      const v = (shifts.radial[s] as number) - swell;
      const wr = w * (Math.max(0.01, scatter) / 0.004) ** 2;
      a11 += wr * c * c;
      a12 += wr * c * sn;
      a22 += wr * sn * sn;
      b1 += wr * c * v;
      b2 += wr * sn * v;
    }
    if (plain <= 0) return null;
    const hold = (Math.max(0.005, scatter) / movePrior) ** 2;
    a11 += hold;
    a22 += hold;
    const det = a00 * (a11 * a22 - a12 * a12) - a01 * (a01 * a22 - a12 * a02) + a02 * (a01 * a12 - a11 * a02);
    if (!(Math.abs(det) > 1e-12)) return null;
    const d = (b0 * (a11 * a22 - a12 * a12) - a01 * (b1 * a22 - a12 * b2) + a02 * (b1 * a12 - a11 * b2)) / det;
    const nx = (a00 * (b1 * a22 - a12 * b2) - b0 * (a01 * a22 - a12 * a02) + a02 * (a01 * b2 - b1 * a02)) / det;
    const ny = (a00 * (a11 * b2 - b1 * a12) - a01 * (a01 * b2 - b1 * a02) + b0 * (a01 * a12 - a11 * a02)) / det;
    const still = Math.abs(d - delta) < 1e-5 && Math.abs(nx - x) < 1e-7 && Math.abs(ny - y) < 1e-7;
    delta = d;
    x = nx;
    y = ny;
    if (still) break;
  }
  return {
    deltaDeg: delta,
    moveX: x,
    moveY: y,
    swell,
    scatterDeg: scatter,
    sectors,
    medianNcc: medianOf(nccs),
    inView: shifts.inView,
  };
}

/** Rows of the ring that the search for the lag looks at. */
const scanRows = Array.from({ length: Math.ceil((ringRowCount - 1) / 3) }, (_, i) => 1 + 3 * i);
/** Farthest lag that can be asked for, columns. */
const mostLag = 127;
const scanned = new Float64Array(2 * mostLag + 1);
/** The rows of both strips one after the other, 0 where not valid; the frame's are lengthened by its own ends. */
const faceRuns = new Float32Array(scanRows.length * ringColumns);
const frameLength = ringColumns + 2 * mostLag;
const frameRuns = new Float32Array(scanRows.length * frameLength);
/** Energy of each column over those rows, and whether it is valid. */
const faceEnergy = new Float64Array(ringColumns);
const frameEnergy = new Float64Array(frameLength);
const frameValid = new Uint8Array(frameLength);

/** Best whole-ring lag of a straightened frame against the face, degrees, with its normalised correlation. */
export function scanLags(
  face: Strip,
  frame: Strip,
  halfDeg: number,
): { readonly lagDeg: number; readonly ncc: number } {
  const half = Math.min(mostLag, Math.round(halfDeg / columnDeg));
  layOut(face, frame, half);
  let bestLag = 0;
  let best = -2;
  for (let l = -half; l <= half; l++) {
    const ncc = likenessAt(face.valid, l + mostLag);
    scanned[l + half] = ncc;
    if (ncc > best) {
      best = ncc;
      bestLag = l;
    }
  }
  const i = bestLag + half;
  if (i > 0 && i < 2 * half) {
    const left = scanned[i - 1] as number;
    const right = scanned[i + 1] as number;
    const bend = left - 2 * best + right;
    if (bend < -1e-9)
      return { lagDeg: (bestLag + Math.max(-0.5, Math.min(0.5, (left - right) / (2 * bend)))) * columnDeg, ncc: best };
  }
  return { lagDeg: bestLag * columnDeg, ncc: best };
}

function layOut(face: Strip, frame: Strip, half: number): void {
  const n = ringColumns;
  faceEnergy.fill(0);
  frameEnergy.fill(0);
  for (let k = 0; k < scanRows.length; k++) {
    const from = (scanRows[k] as number) * n;
    const faceAt = k * n;
    for (let x = 0; x < n; x++) {
      const v = face.valid[x] ? (face.values[from + x] as number) : 0;
      faceRuns[faceAt + x] = v;
      faceEnergy[x] = (faceEnergy[x] as number) + v * v;
    }
    const frameAt = k * frameLength;
    for (let i = mostLag - half; i < mostLag + n + half; i++) {
      const y = (i - mostLag + n) % n;
      const v = frame.valid[y] ? (frame.values[from + y] as number) : 0;
      frameRuns[frameAt + i] = v;
      frameEnergy[i] = (frameEnergy[i] as number) + v * v;
    }
  }
  for (let i = mostLag - half; i < mostLag + n + half; i++)
    frameValid[i] = frame.valid[(i - mostLag + n) % n] as number;
}

/** Normalised correlation over the columns that are valid in both, the frame's counted from `start`. */
function likenessAt(faceValid: Uint8Array, start: number): number {
  const n = ringColumns;
  let aa = 0;
  let bb = 0;
  for (let x = 0; x < n; x++) {
    aa += (faceEnergy[x] as number) * (frameValid[start + x] as number);
    bb += (frameEnergy[start + x] as number) * (faceValid[x] as number);
  }
  // Four sums side by side: one alone would wait for each addition.
  let p = 0;
  let q = 0;
  let r = 0;
  let s = 0;
  for (let k = 0; k < scanRows.length; k++) {
    const a = k * n;
    const b = k * frameLength + start;
    for (let x = 0; x < n; x += 4) {
      p += (faceRuns[a + x] as number) * (frameRuns[b + x] as number);
      q += (faceRuns[a + x + 1] as number) * (frameRuns[b + x + 1] as number);
      r += (faceRuns[a + x + 2] as number) * (frameRuns[b + x + 2] as number);
      s += (faceRuns[a + x + 3] as number) * (frameRuns[b + x + 3] as number);
    }
  }
  return (p + q + r + s) / Math.sqrt(aa * bb + 1e-9);
}
