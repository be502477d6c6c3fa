import { atLeast, numbers, positive, present, refuse } from '../checks.ts';
import { borderSlack, type Mm } from '../units.ts';

/**
 * Ring end gap after a change of the bore: the gap follows the circumference.
 * @param gapMm greater than 0
 * @param boreChangeMm signed
 * @throws missing, non_positive, collision where the ring would butt
 */
export function ringGapAfterBoreChange(gapMm: Mm, boreChangeMm: Mm): Mm {
  const change = present('boreChangeMm', boreChangeMm);
  const gap = positive('gapMm', gapMm) + Math.PI * change;
  if (gap <= borderSlack) {
    refuse(
      'collision',
      'boreChangeMm',
      change,
      'a change that leaves a gap',
      'the ring would butt and score the bore.',
    );
  }
  return gap;
}

export interface RingGapTaper {
  readonly boreTaperMm: Mm;
  readonly minimumGapMm: Mm;
  readonly maximumGapMm: Mm;
}

/**
 * Taper of the bore from the gap of one ring at several depths; the ring must sit square.
 * @param gapsMm at least two, each greater than 0
 * @throws missing, non_positive, insufficient_data
 */
export function ringGapTaper(gapsMm: readonly Mm[]): RingGapTaper {
  for (const [index, gap] of numbers('gaps', gapsMm).entries()) positive(`gaps[${index + 1}]`, gap);
  const gaps = atLeast('gaps', gapsMm, 2, 'one depth cannot show taper');
  const minimumGapMm = Math.min(...gaps);
  const maximumGapMm = Math.max(...gaps);
  return { boreTaperMm: (maximumGapMm - minimumGapMm) / Math.PI, minimumGapMm, maximumGapMm };
}

/**
 * Ring end gap at running temperature. The temperatures are guesses: advice only.
 * @param input expansions greater than 0 in um/(m K), rises signed in K
 * @throws missing, non_positive
 */
export function hotRingGap(input: {
  gapMm: Mm;
  boreMm: Mm;
  ringExpansionUmPerMK: number;
  ringRiseK: number;
  boreExpansionUmPerMK: number;
  boreRiseK: number;
}): { hotGapMm: Mm; closes: boolean } {
  const gap = positive('gapMm', input.gapMm);
  const bore = positive('boreMm', input.boreMm);
  const ring = positive('ringExpansionUmPerMK', input.ringExpansionUmPerMK) * present('ringRiseK', input.ringRiseK);
  const wall = positive('boreExpansionUmPerMK', input.boreExpansionUmPerMK) * present('boreRiseK', input.boreRiseK);
  const hotGapMm = gap - Math.PI * bore * (ring - wall) * 1e-6;
  return { hotGapMm, closes: hotGapMm <= borderSlack };
}
