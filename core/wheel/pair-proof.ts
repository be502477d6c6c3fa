import type { FrameView } from './frame-view.ts';
import type { Harmonic } from './harmonic.ts';
import { columnCos, columnDeg, columnSin, ringColumns } from './ring-map.ts';
import { type SectorShifts, sectorCount } from './sectors.ts';
import type { OddMarks } from './state.ts';
import { faceRowCount, faceRows, ringRowCount, ringRows, type Strip } from './strip.ts';
import { wrap180 } from './turn-spectrum.ts';
import { correlatedSamples, type Uniqueness, UniquenessProver } from './uniqueness.ts';

/** Rows of the ring and of the inner face together. */
export const proofRows = ringRowCount + faceRowCount;
const known = new Float32Array(proofRows * ringColumns);
const straightened = new Float32Array(proofRows * ringColumns);
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

/**
 * The proof with the repeats of a scale told apart by its odd marks alone: what stands still in the picture makes all else
 * of a ring that repeats look as if it could tell.
 * @param face what is known of the face, and `frame` the picture straightened to the position under test
 * @param mask per column, 1 where the picture may speak
 */
export function byOddMarks(
  proof: Uniqueness,
  odd: OddMarks,
  face: Float32Array,
  frame: Float32Array,
  mask: Uint8Array,
): Uniqueness {
  const n = ringColumns;
  const sums = { own: 0, frame: 0, both: 0, count: 0 };
  const apart = [0, 0, 0, 0];
  const agreed = [0, 0, 0, 0];
  for (let i = 0; i < odd.places.length; i++) {
    const column = i % n;
    if (!odd.places[i] || !mask[column]) continue;
    const s = face[i] as number;
    const f = frame[i] as number;
    sums.own += s * s;
    sums.frame += f * f;
    sums.both += s * f;
    sums.count++;
    for (const q of odd.quarters) {
      const difference = s - (face[i - column + ((column - (q * n) / 4 + n) % n)] as number);
      apart[q] = (apart[q] as number) + difference * difference;
      agreed[q] = (agreed[q] as number) + difference * f;
    }
  }
  const gain = sums.both / Math.max(1e-9, sums.own);
  const noise = Math.max(1e-9, (sums.frame - gain * sums.both) / Math.max(1, sums.count));
  const quarterZ: [number, number, number] = [...proof.quarterZ];
  for (const q of odd.quarters)
    quarterZ[q - 1] = (agreed[q] as number) / Math.sqrt(correlatedSamples * noise * Math.max(1e-9, apart[q] as number));
  const strongest = quarterZ.indexOf(Math.min(...quarterZ));
  const z = Math.min(proof.otherZ, quarterZ[strongest] as number);
  return { ...proof, quarterZ, z, rivalDeg: z < proof.otherZ ? 90 * (strongest + 1) : proof.rivalDeg };
}

/** How certain it is that the second frame, straightened into the first one's place, fits nowhere else. */
export function proofOfPair(
  first: FrameView,
  second: FrameView,
  at: { readonly shifts: SectorShifts; readonly harmonic: Harmonic },
): Uniqueness {
  const n = ringColumns;
  const h = at.harmonic;
  const proofMask = seenColumns(first.ring, at.shifts);
  known.set(first.ring.values);
  for (let i = 0; i < faceRowCount * n; i++)
    known[ringRowCount * n + i] = faceWeight * (first.face.values[i] as number);
  straightenView(second, h, straightened);
  return new UniquenessProver(known, proofRows).prove(straightened, proofMask, 0.6);
}

/** Per column of the first frame, 1 where it is in the picture and the second one matches. */
export function seenColumns(first: Strip, { valid }: SectorShifts): Uint8Array {
  return first.valid.map((inPicture, x) => {
    const s = Math.round((x * sectorCount) / ringColumns) % sectorCount;
    return valid[s] && inPicture ? 1 : 0;
  });
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
