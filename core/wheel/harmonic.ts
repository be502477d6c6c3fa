import { medianOf } from './bundle.ts';
import { type SectorShifts, sectorCos, sectorCount, sectorSin } from './sectors.ts';

/** Shift of ring and face as rotation plus a small move of the whole disc in its plane. */
export interface Harmonic {
  readonly a0Deg: number;
  readonly a1Deg: number;
  readonly b1Deg: number;
  /** Mean outward move and its first harmonic, rim radii. */
  readonly radial0: number;
  readonly radial1: number;
  readonly radialB1: number;
}

/** Robust fit of constant and first harmonic to the sector shifts. */
export function fitHarmonic(shifts: SectorShifts): Harmonic | null {
  const along = robustHarmonic(shifts.shiftDeg, shifts, 0.03);
  const across = robustHarmonic(shifts.radial, shifts, 0.003);
  if (along === null || across === null) return null;
  return {
    a0Deg: along[0],
    a1Deg: along[1],
    b1Deg: along[2],
    radial0: across[0],
    radial1: across[1],
    radialB1: across[2],
  };
}

function robustHarmonic(
  values: Float64Array,
  shifts: SectorShifts,
  scaleFloor: number,
): [number, number, number] | null {
  const weights = new Float64Array(sectorCount);
  for (let s = 0; s < sectorCount; s++) weights[s] = shifts.valid[s] as number;
  let c: [number, number, number] = [0, 0, 0];
  for (let it = 0; it < 5; it++) {
    let s0 = 0;
    let sc = 0;
    let ss = 0;
    let scc = 0;
    let scs = 0;
    let sss = 0;
    let v0 = 0;
    let vc = 0;
    let vs = 0;
    for (let s = 0; s < sectorCount; s++) {
      const w = weights[s] as number;
      if (w === 0) continue;
      const x = sectorCos[s] as number;
      const y = sectorSin[s] as number;
      const v = values[s] as number;
      s0 += w;
      sc += w * x;
      ss += w * y;
      scc += w * x * x;
      scs += w * x * y;
      sss += w * y * y;
      v0 += w * v;
      vc += w * x * v;
      vs += w * y * v;
    }
    if (s0 < 3) return null;
    // Mild ridge on the harmonic: with a third of the ring it can hardly be told from the constant.
    const r = 0.02 * s0;
    const solved = solve3(s0, sc, ss, scc + r, scs, sss + r, v0, vc, vs);
    if (solved === null) return null;
    c = solved;
    const residuals: number[] = [];
    for (let s = 0; s < sectorCount; s++)
      if (shifts.valid[s])
        residuals.push(
          Math.abs((values[s] as number) - c[0] - c[1] * (sectorCos[s] as number) - c[2] * (sectorSin[s] as number)),
        );
    const cut = 4.7 * Math.max(scaleFloor, 1.4826 * medianOf(residuals));
    for (let s = 0; s < sectorCount; s++) {
      if (!shifts.valid[s]) continue;
      const e =
        ((values[s] as number) - c[0] - c[1] * (sectorCos[s] as number) - c[2] * (sectorSin[s] as number)) / cut;
      weights[s] = Math.abs(e) < 1 ? (1 - e * e) ** 2 : 0;
    }
  }
  return c;
}

function solve3(
  a: number,
  b: number,
  c: number,
  d: number,
  e: number,
  f: number,
  x: number,
  y: number,
  z: number,
): [number, number, number] | null {
  const det = a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
  if (!(Math.abs(det) > 1e-12)) return null;
  return [
    (x * (d * f - e * e) - b * (y * f - e * z) + c * (y * e - d * z)) / det,
    (a * (y * f - e * z) - x * (b * f - c * e) + c * (b * z - c * y)) / det,
    (a * (d * z - e * y) - b * (b * z - c * y) + x * (b * e - c * d)) / det,
  ];
}
