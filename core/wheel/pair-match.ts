import { medianOf } from './bundle.ts';
import { columnCos, columnDeg, columnSin, ringColumns } from './ring-map.ts';
import {
  emptyShifts,
  fillLagTable,
  gradientsOf,
  refineSectors,
  type SectorShifts,
  type StripGradients,
  searchTick,
  sectorAngle,
  sectorCos,
  sectorCount,
  sectorSin,
} from './sectors.ts';
import { blurAlong, emptyStrip, faceRowCount, faceRows, ringRowCount, ringRows, type Strip } from './strip.ts';
import {
  correlateSpectra,
  quartersAlike,
  type TurnSpectrum,
  turnPeaks,
  turnSpectrum,
  wrap180,
} from './turn-spectrum.ts';
import { type Uniqueness, UniquenessProver } from './uniqueness.ts';

/** One frame of a set-up, unrolled through the set-up's fixed ring map. */
export interface FrameView {
  readonly ring: Strip;
  readonly face: Strip;
  readonly spectrum: TurnSpectrum;
  readonly gradients: StripGradients;
  /** Quarter turns (1, 2, 3) after which the ring looks much the same. */
  readonly repeatsAtQuarter: readonly number[];
}

export function frameView(ring: Strip, face: Strip, repeatDeg: number): FrameView {
  const spectrum = turnSpectrum(ring, face, repeatDeg);
  return { ring, face, spectrum, gradients: gradientsOf(ring), repeatsAtQuarter: quartersAlike(spectrum) };
}

export interface PairMatch {
  /** Mean rotation from the first to the second frame: constant part of the shifts, degrees in [0, 360). */
  readonly rotationDeg: number;
  readonly shifts: SectorShifts;
  readonly medianNcc: number;
  readonly validCount: number;
  /** Box blur that the second frame shows against the first, degrees. */
  readonly blurDeg: number;
  readonly harmonic: Harmonic;
  readonly unique: Uniqueness;
}

/** Rows of the ring and of the inner face together. */
const proofRowTotal = ringRowCount + faceRowCount;

/** Proof that was not asked for. */
export const noProof: Uniqueness = { q: 0, z: 0, rivalDeg: 0, quarterZ: [0, 0, 0], otherZ: 0, likeness: 0 };

const correlation = new Float64Array(ringColumns);
export const blurWidthsDeg: readonly number[] = [0.7, 1.1, 1.6, 2.2, 3, 4];

/**
 * Matches two frames without knowing the geometry.
 * @param candidatesDeg rotations to try; left out, the whole turn is searched
 * @param only true to stay with the candidates even where another position looks better
 */
export function matchPair(
  first: FrameView,
  second: FrameView,
  tickDeg: number,
  candidatesDeg?: readonly number[],
  only = false,
): PairMatch | null {
  let candidates = candidatesDeg;
  if (candidates === undefined) {
    correlateSpectra(first.spectrum, second.spectrum, correlation);
    candidates = turnPeaks(correlation, 4).map((p) => p.rotationDeg);
  }
  const matches: PairMatch[] = [];
  const tried: number[] = [];
  const queue = [...candidates];
  while (queue.length > 0 && tried.length < 8) {
    const candidate = queue.shift() as number;
    if (tried.some((t) => Math.abs(wrap180(t - candidate)) < 1.5)) continue;
    tried.push(candidate);
    const match = matchAt(first, second, tickDeg, candidate, !only);
    if (match === null) continue;
    matches.push(match);
    if (only) continue;
    // Where another position explains the straightened frame better, go and look there.
    if (match.unique.z < 0) queue.unshift((match.rotationDeg + match.unique.rivalDeg) % 360);
    else if (match.unique.z > 25 && match.unique.q > 0.3 && match.medianNcc > 0.85) {
      if (first.repeatsAtQuarter.length === 0) break;
      // A scale that repeats: straightened to fit, a wrong quarter looks unique too. Each gets its own fit, then they compare.
      queue.length = 0;
      queue.push(
        ...first.repeatsAtQuarter
          .map((q) => (match.rotationDeg + 90 * q) % 360)
          .filter((c) => !tried.some((t) => Math.abs(wrap180(t - c)) < 1.5)),
      );
    }
  }
  let best: PairMatch | null = null;
  for (const m of matches) if (best === null || isBetter(m, best)) best = m;
  return best === null || only ? best : placedAgainst(best, matches);
}

/** A rival may match this much worse, sector by sector. */
export const rivalNccGap = 0.12;

function placedAgainst(best: PairMatch, matches: readonly PairMatch[]): PairMatch {
  // Light that stands still makes whole pictures alike; only what fits sector by sector as well is a rival.
  const rivals = matches
    .filter((m) => m.medianNcc > best.medianNcc - rivalNccGap && m.validCount > 0.6 * best.validCount)
    .map((m): [number, number] => [m.rotationDeg, m.unique.likeness]);
  return { ...best, unique: againstRivals(best.rotationDeg, best.unique, rivals) };
}

/** Between quarters of a scale that repeats the whole likeness decides, else how well the sectors fit and how unique that is. */
function isBetter(a: PairMatch, b: PairMatch): boolean {
  const away = Math.abs(wrap180(a.rotationDeg - b.rotationDeg));
  const quarters = away > 45 && Math.abs(away - 90 * Math.round(away / 90)) < 1;
  const alike = Math.abs(a.medianNcc - b.medianNcc) < 0.1;
  return quarters && alike ? a.unique.likeness > b.unique.likeness : quality(a) > quality(b);
}

function quality(m: PairMatch): number {
  const { unique } = m;
  return (
    m.medianNcc * Math.min(1, m.validCount / 18) +
    unique.likeness +
    (unique.z < 0 ? -0.3 : 0) +
    0.02 * Math.min(10, unique.z)
  );
}

/** Samples behind a likeness, freed of what neighbours share. */
const freeSamples = (proofRowTotal * ringColumns) / 4;

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

function matchAt(
  first: FrameView,
  second: FrameView,
  tickDeg: number,
  candidateDeg: number,
  prove: boolean,
): PairMatch | null {
  const plain = refineAt(first.ring, first.gradients, second, tickDeg, candidateDeg);
  if (plain === null) return null;
  let chosen = plain;
  let blurDeg = 0;
  if (plain.medianNcc < 0.88 && plain.medianNcc > 0.2) {
    const blurred = emptyStrip(ringRowCount);
    blurred.valid.set(first.ring.valid);
    for (const width of blurWidthsDeg) {
      blurAlong(first.ring.values, ringRowCount, width, blurred.values);
      const other = refineAt(blurred, gradientsOf(blurred), second, tickDeg, candidateDeg);
      if (other === null || other.medianNcc <= chosen.medianNcc + 0.01) {
        // Where a little blur doesn't help and the likeness isn't bad, poor light or eccentricity lowered it.
        if (width > (plain.medianNcc > 0.75 ? 0.5 : 2) && blurDeg === 0) break;
        continue;
      }
      chosen = other;
      blurDeg = width;
    }
  }
  const unique = prove ? proofOfPair(first, second, chosen) : noProof;
  return { ...chosen, rotationDeg: chosen.rotationDeg - 360 * Math.floor(chosen.rotationDeg / 360), blurDeg, unique };
}

interface Refined {
  readonly rotationDeg: number;
  readonly shifts: SectorShifts;
  readonly medianNcc: number;
  readonly validCount: number;
  readonly harmonic: Harmonic;
}

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

function refineAt(
  ring: Strip,
  gradients: StripGradients,
  second: FrameView,
  tickDeg: number,
  candidateDeg: number,
): Refined | null {
  const base = Math.round(candidateDeg / columnDeg);
  fillLagTable(ring, second.ring, base);
  const tick = searchTick(base * columnDeg, tickDeg);
  if (tick.score < 0.1) return null;
  const shifts = emptyShifts();
  refineSectors(
    ring,
    gradients,
    second.ring,
    (s) => tick.a0Deg + tick.a1Deg * (sectorCos[s] as number) + tick.b1Deg * (sectorSin[s] as number),
    () => 0,
    shifts,
  );
  // Sectors that jumped or failed at first get a second start from what the others agree on.
  let harmonic = fitHarmonic(shifts);
  if (harmonic === null) return null;
  const h = harmonic;
  refineSectors(
    ring,
    gradients,
    second.ring,
    (s) => h.a0Deg + h.a1Deg * (sectorCos[s] as number) + h.b1Deg * (sectorSin[s] as number),
    (s) => h.radial0 + h.radial1 * (sectorCos[s] as number) + h.radialB1 * (sectorSin[s] as number),
    shifts,
  );
  harmonic = fitHarmonic(shifts);
  if (harmonic === null) return null;
  const seen: number[] = [];
  let validCount = 0;
  for (let s = 0; s < sectorCount; s++) {
    if (shifts.ncc[s] !== 0) seen.push(shifts.ncc[s] as number);
    validCount += shifts.valid[s] as number;
  }
  return { rotationDeg: harmonic.a0Deg, shifts, medianNcc: seen.length > 0 ? medianOf(seen) : 0, validCount, harmonic };
}

/**
 * Match of two frames that are both placed against the same reference: their shifts follow from the two harmonics up to
 * a few hundredths of a degree, so nothing is searched.
 */
export function matchPlaced(
  first: FrameView,
  firstPlace: PairMatch,
  second: FrameView,
  secondPlace: PairMatch,
): PairMatch | null {
  const a = firstPlace.harmonic;
  const b = secondPlace.harmonic;
  const at = (h: Harmonic, phi: number): number => h.a0Deg + h.a1Deg * Math.cos(phi) + h.b1Deg * Math.sin(phi);
  const out = (h: Harmonic, phi: number): number => h.radial0 + h.radial1 * Math.cos(phi) + h.radialB1 * Math.sin(phi);
  const shifts = emptyShifts();
  // Equal blur on both sides: motion over one or two ticks turns the comb over, which a sharp partner would misread.
  const left = blurredStrip(first.ring, secondPlace.blurDeg);
  const right = blurredStrip(second.ring, firstPlace.blurDeg);
  const origin = (s: number): number => (sectorAngle[s] as number) - (a.a0Deg * Math.PI) / 180;
  refineSectors(
    left,
    secondPlace.blurDeg > 0 ? gradientsOf(left) : first.gradients,
    right,
    (s) => at(b, origin(s)) - at(a, origin(s)),
    (s) => out(b, origin(s)) - out(a, origin(s)),
    shifts,
  );
  const harmonic = fitHarmonic(shifts);
  if (harmonic === null) return null;
  const seen: number[] = [];
  let validCount = 0;
  for (let s = 0; s < sectorCount; s++) {
    if (shifts.ncc[s] !== 0) seen.push(shifts.ncc[s] as number);
    validCount += shifts.valid[s] as number;
  }
  const rotationDeg = harmonic.a0Deg - 360 * Math.floor(harmonic.a0Deg / 360);
  return {
    rotationDeg,
    shifts,
    medianNcc: seen.length > 0 ? medianOf(seen) : 0,
    validCount,
    blurDeg: secondPlace.blurDeg,
    harmonic,
    unique: noProof,
  };
}

/** The strip as motion over `widthDeg` during the exposure would leave it; the strip itself where there is none. */
export function blurredStrip(strip: Strip, widthDeg: number): Strip {
  if (widthDeg <= 0) return strip;
  const out: Strip = { ...strip, values: new Float32Array(strip.values.length) };
  blurAlong(strip.values, strip.rowCount, widthDeg, out.values);
  return out;
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

export const proofRows = proofRowTotal;
const known = new Float32Array(proofRows * ringColumns);
const straightened = new Float32Array(proofRows * ringColumns);
const proofMask = new Uint8Array(ringColumns);
/** Lettering inside the scale counts a little more: it is what tells repeating scales apart. */
export const faceWeight = 1.3;

function proofOfPair(first: FrameView, second: FrameView, at: Refined): Uniqueness {
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
