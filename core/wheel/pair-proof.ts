import type { FrameView } from './frame-view.ts';
import type { Harmonic } from './harmonic.ts';
import { columnCos, columnDeg, columnSin, ringColumns } from './ring-map.ts';
import { type SectorShifts, sectorCount } from './sectors.ts';
import { faceRowCount, faceRows, ringRowCount, ringRows, type Strip } from './strip.ts';
import { wrap180 } from './turn-spectrum.ts';
import { type Uniqueness, UniquenessProver } from './uniqueness.ts';

/** Rows of the ring and of the inner face together. */
export const proofRows = ringRowCount + faceRowCount;
const known = new Float32Array(proofRows * ringColumns);
const straightened = new Float32Array(proofRows * ringColumns);
const proofMask = new Uint8Array(ringColumns);
/** Lettering inside the scale counts a little more: it is what tells repeating scales apart. */
export const faceWeight = 1.3;

/** A rival may match this much worse, sector by sector. */
export const rivalNccGap = 0.12;

/** Samples behind a likeness, freed of what neighbours share. */
const freeSamples = (proofRows * ringColumns) / 4;

/**
 * Lowers a proof to what remains against rivals that got a fit of their own.
 * @param rivals rotation and likeness of each
 */
export function againstRivals(
  rotationDeg: number,
  unique: Uniqueness,
  rivals: readonly (readonly [number, number])[],
): Uniqueness {
  const quarterZ: [number, number, number] = [...unique.quarterZ];
  let { z, otherZ, rivalDeg } = unique;
  for (const [rivalAt, likeness] of rivals) {
    const away = wrap180(rivalAt - rotationDeg);
    if (Math.abs(away) < 0.6) continue;
    const gap =
      ((unique.likeness - likeness) * Math.sqrt(freeSamples / 2)) / Math.sqrt(Math.max(0.02, 1 - unique.likeness ** 2));
    const quarter = Math.round((away + 360) / 90) % 4;
    if (quarter !== 0 && Math.abs(wrap180(away - 90 * quarter)) < 1)
      quarterZ[quarter - 1] = Math.min(quarterZ[quarter - 1] as number, gap);
    else otherZ = Math.min(otherZ, gap);
    if (gap < z) {
      z = gap;
      rivalDeg = (away + 360) % 360;
    }
  }
  return { ...unique, z, otherZ, rivalDeg, quarterZ };
}

/** How certain it is that the second frame, straightened into the first one's place, fits nowhere else. */
export function proofOfPair(
  first: FrameView,
  second: FrameView,
  at: { readonly shifts: SectorShifts; readonly harmonic: Harmonic },
): Uniqueness {
  const n = ringColumns;
  const h = at.harmonic;
  for (let x = 0; x < n; x++) {
    const s = Math.round((x * sectorCount) / n) % sectorCount;
    proofMask[x] = at.shifts.valid[s] && first.ring.valid[x] ? 1 : 0;
  }
  known.set(first.ring.values);
  for (let i = 0; i < faceRowCount * n; i++)
    known[ringRowCount * n + i] = faceWeight * (first.face.values[i] as number);
  straightenView(second, h, straightened);
  return new UniquenessProver(known, proofRows).prove(straightened, proofMask, 0.6);
}

/** Ring and face of a view brought into the first frame's place, `proofRows` rows. */
export function straightenView(view: FrameView, h: Harmonic, out: Float32Array): void {
  straighten(view.ring, ringRows, h, out, 0, 1);
  straighten(view.face, faceRows, h, out, ringRowCount, faceWeight);
}

/** Brings a strip into the first frame's place by a harmonic shift. */
function straighten(
  strip: Strip,
  rhos: readonly number[],
  h: Harmonic,
  out: Float32Array,
  rowOffset: number,
  gain: number,
): void {
  const n = ringColumns;
  const step = ((rhos[rhos.length - 1] as number) - (rhos[0] as number)) / (rhos.length - 1);
  for (let r = 0; r < strip.rowCount; r++) {
    const rho = rhos[r] as number;
    // A sideways move of the disc turns a mark by move / radius.
    const lever = 0.9 / rho;
    for (let x = 0; x < n; x++) {
      const c = columnCos[x] as number;
      const s = columnSin[x] as number;
      const shift = (h.a0Deg + (h.a1Deg * c + h.b1Deg * s) * lever) / columnDeg;
      const y = x + shift;
      const yw = Math.floor(y);
      const f = y - yw;
      const i = ((yw % n) + n) % n;
      const j = i + 1 === n ? 0 : i + 1;
      let q = r + (h.radial0 + h.radial1 * c + h.radialB1 * s) / step;
      q = Math.max(0, Math.min(strip.rowCount - 1.001, q));
      const qw = Math.floor(q);
      const g = q - qw;
      const o = qw * n;
      const top = (strip.values[o + i] as number) * (1 - f) + (strip.values[o + j] as number) * f;
      const bottom = (strip.values[o + n + i] as number) * (1 - f) + (strip.values[o + n + j] as number) * f;
      out[(r + rowOffset) * n + x] = gain * (top + g * (bottom - top));
    }
  }
}
