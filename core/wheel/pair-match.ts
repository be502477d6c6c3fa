import { medianOf } from './bundle.ts';
import type { FrameView } from './frame-view.ts';
import { fitHarmonic, type Harmonic } from './harmonic.ts';
import { againstRivals, proofOfPair, rivalNccGap } from './pair-proof.ts';
import { columnDeg, ringColumns } from './ring-map.ts';
import {
  emptyShifts,
  gradientsOf,
  refineSectors,
  type SectorShifts,
  type StripGradients,
  sectorAngle,
  sectorCos,
  sectorCount,
  sectorSin,
} from './sectors.ts';
import { blurAlong, emptyStrip, ringRowCount, type Strip } from './strip.ts';
import { fillLagTable, searchTick } from './tick-search.ts';
import { correlateSpectra, turnPeaks, wrap180 } from './turn-spectrum.ts';
import { noProof, type Uniqueness } from './uniqueness.ts';

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
    for (const width of blurWidthsDeg) {
      const blurred = blurredRing(first, width);
      const other = refineAt(blurred.strip, blurred.gradients, second, tickDeg, candidateDeg);
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

interface Blurred {
  readonly strip: Strip;
  readonly gradients: StripGradients;
}
/** Live frames are matched against one reference again and again: what was made of it last is kept. */
let blurredOf: { readonly view: FrameView; readonly rings: Map<number, Blurred> } | null = null;

function blurredRing(view: FrameView, widthDeg: number): Blurred {
  if (blurredOf?.view !== view) blurredOf = { view, rings: new Map() };
  const known = blurredOf.rings.get(widthDeg);
  if (known !== undefined) return known;
  const strip = emptyStrip(ringRowCount);
  strip.valid.set(view.ring.valid);
  blurAlong(view.ring.values, ringRowCount, widthDeg, strip.values);
  const made = { strip, gradients: gradientsOf(strip) };
  blurredOf.rings.set(widthDeg, made);
  return made;
}

interface Refined {
  readonly rotationDeg: number;
  readonly shifts: SectorShifts;
  readonly medianNcc: number;
  readonly validCount: number;
  readonly harmonic: Harmonic;
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
  return { rotationDeg: harmonic.a0Deg, shifts, ...fitOf(shifts), harmonic };
}

/** How well the sectors fit, and how many do. */
function fitOf(shifts: SectorShifts): { medianNcc: number; validCount: number } {
  const seen: number[] = [];
  let validCount = 0;
  for (let s = 0; s < sectorCount; s++) {
    if (shifts.ncc[s] !== 0) seen.push(shifts.ncc[s] as number);
    validCount += shifts.valid[s] as number;
  }
  return { medianNcc: seen.length > 0 ? medianOf(seen) : 0, validCount };
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
  const rotationDeg = harmonic.a0Deg - 360 * Math.floor(harmonic.a0Deg / 360);
  return {
    rotationDeg,
    shifts,
    ...fitOf(shifts),
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
