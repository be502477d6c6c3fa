import { medianOf } from './bundle.ts';
import { ringColumns } from './ring-map.ts';
import type { Strip } from './strip.ts';
import type { ReadingDiagnostics, RefusalReason } from './types.ts';

/**
 * Limits of acceptance. They come from rendered set-ups with known truth; each keeps a distance from the worst good
 * frame and from the best bad one.
 */
export const limits = {
  /** Marks fainter than this can't be told from noise, grey levels. */
  leastContrast: 2,
  /** Share of the sectors in view that must match, and of the whole ring. */
  leastMatchedOfView: 0.6,
  /** Marks without polarity are lost in unlucky light as well as under a hand. */
  leastMatchedOfViewPolarityFree: 0.48,
  leastMatchedOfRing: 0.45,
  /** Median likeness of the sectors, for ordinary marks and without polarity. */
  leastNcc: 0.55,
  leastNccPolarityFree: 0.33,
  /** Proof of uniqueness. */
  leastZ: 4.5,
  leastQ: 0.06,
  /** The same for the marks that alone tell the repeats of a scale apart: real ones reach 15 and more, a lamp at times 14. */
  leastOddZ: 12,
  /** Share of a turn's frames in which they must do so. */
  leastOddShare: 0.75,
  /** Move of the wheel in the picture, pixels. */
  mostShiftPx: 2.2,
  /** Change of size, rim radii. */
  mostSwell: 0.006,
  /** Scatter of one sector about the answer, degrees. */
  mostScatterDeg: 0.12,
  /** Widest uncertainty that is still a reading, degrees. */
  mostSigmaDeg: 0.07,
  mostProvisionalSigmaDeg: 0.35,
} as const;

export const emptyDiagnostics: ReadingDiagnostics = {
  coveredFraction: 0,
  inViewFraction: 0,
  medianNcc: 0,
  contrast: 0,
  residualDeg: 0,
  blurDeg: 0,
  uniquenessZ: 0,
  ringShiftPx: 0,
};

/** Median local contrast of the columns in view, grey levels. */
export function medianContrast(strip: Strip): number {
  const seen: number[] = [];
  for (let x = 0; x < ringColumns; x += 4) if (strip.valid[x]) seen.push(strip.contrast[x] as number);
  return seen.length > 0 ? medianOf(seen) : 0;
}

/**
 * Why a ring doesn't match: judged by light, contrast and the direction in which detail has gone, against the ring as known.
 * @param matched sectors that did match, of `inView`
 */
export function whyNoMatch(known: Strip, seen: Strip, matched: number, inView: number): RefusalReason {
  const contrast = medianContrast(seen);
  const usual = Math.max(1e-6, medianContrast(known));
  let bright = 0;
  let columns = 0;
  const levels: number[] = [];
  const usualLevels: number[] = [];
  for (let x = 0; x < ringColumns; x += 4) {
    if (known.valid[x]) usualLevels.push(known.level[x] as number);
    if (!seen.valid[x]) continue;
    columns++;
    levels.push(seen.level[x] as number);
    if ((seen.level[x] as number) > 225) bright++;
  }
  if (columns < ringColumns / 4 / 3) return 'wheel_not_whole';
  const level = medianOf(levels);
  const usualLevel = medianOf(usualLevels);
  if (level < 0.35 * usualLevel && (contrast < 0.5 * usual || contrast < limits.leastContrast)) return 'too_dark';
  if (bright > 0.2 * columns || (level > 1.6 * usualLevel && contrast < 0.7 * usual)) return 'glare';
  if (matched >= 8 && matched < limits.leastMatchedOfView * inView) return 'hand_over_rim';
  // Motion smears the ring all round; a hand leaves part of it sharp.
  const usualDetail = Math.max(1e-6, medianOf(directionsOfDetail(known)));
  const details = directionsOfDetail(seen).sort((a, b) => a - b);
  const sharpest = details.length > 0 ? (details[Math.floor(details.length * 0.85)] as number) / usualDetail : 0;
  if (contrast < 0.75 * usual && sharpest < 0.55) return 'moving_too_fast';
  if (sharpest >= 0.55 && contrast >= limits.leastContrast && medianOf(details) < 0.75 * usualDetail)
    return 'hand_over_rim';
  if (contrast < 0.4 * usual) return 'out_of_focus';
  if (contrast < limits.leastContrast) return 'too_dark';
  return matched >= 4 || contrast < 0.8 * usual ? 'hand_over_rim' : 'nothing_matches';
}

/** Detail along the ring over detail across it, in twelve parts of the ring: motion takes away the first and leaves the second. */
function directionsOfDetail(strip: Strip): number[] {
  const n = ringColumns;
  const parts = 12;
  const out: number[] = [];
  for (let p = 0; p < parts; p++) {
    let along = 0;
    let across = 0;
    for (let r = 1; r < strip.rowCount; r += 2)
      for (let x = Math.floor((p * n) / parts); x + 3 < ((p + 1) * n) / parts; x += 3) {
        if (!strip.valid[x] || !strip.valid[x + 3]) continue;
        const v = strip.values[r * n + x] as number;
        along += ((strip.values[r * n + x + 3] as number) - v) ** 2;
        across += (v - (strip.values[(r - 1) * n + x] as number)) ** 2;
      }
    if (across > 0) out.push(along / across);
  }
  return out;
}
