import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { boreForm, pistonClearance } from '../../../core/fits/bore.ts';
import { hotRingGap, ringGapAfterBoreChange, ringGapTaper } from '../../../core/fits/rings.ts';
import { finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

describe('rings', () => {
  test('a gap follows the circumference, there and back', () => {
    fc.assert(
      fc.property(finite(0.2, 0.6), finite(0, 0.05), (gap, change) => {
        const wider = ringGapAfterBoreChange(gap, change);
        expect(wider - gap).toBeCloseTo(Math.PI * change, 12);
        expect(ringGapAfterBoreChange(wider, -change)).toBeCloseTo(gap, 12);
        expect(ringGapTaper([gap, wider]).boreTaperMm).toBeCloseTo(change, 12);
      }),
    );
  });

  test('a ring that would butt is refused', () => {
    expect(refusal(() => ringGapAfterBoreChange(0.05, -0.02)).message).toBe(
      'Bore change is -0.02 mm; it must be a change that leaves a gap: the ring would butt and score the bore.',
    );
    expect(refused(() => ringGapAfterBoreChange(0.1 * Math.PI, -0.1))).toBe('collision boreChangeMm');
    expect(refused(() => ringGapAfterBoreChange(0, 0.1))).toBe('non_positive gapMm');
    expect(refused(() => ringGapAfterBoreChange(0.3, Number.NaN))).toBe('missing boreChangeMm');
    expect(ringGapTaper([0.28, 0.37, 0.31])).toEqual({
      boreTaperMm: expect.closeTo(0.09 / Math.PI, 12),
      minimumGapMm: 0.28,
      maximumGapMm: 0.37,
    });
    expect(refused(() => ringGapTaper([0.28]))).toBe('insufficient_data gaps');
    expect(refused(() => ringGapTaper([0.28, 0]))).toBe('non_positive gaps[2]');
  });

  test('heat closes the gap by the difference of ring and bore', () => {
    const input = {
      gapMm: 0.3,
      boreMm: 50,
      ringExpansionUmPerMK: 12,
      ringRiseK: 100,
      boreExpansionUmPerMK: 10,
      boreRiseK: 50,
    };
    const { hotGapMm, closes } = hotRingGap(input);
    expect(hotGapMm).toBeCloseTo(0.3 - Math.PI * 50 * 700e-6, 12);
    expect(closes).toBe(false);
    expect(hotRingGap({ ...input, gapMm: Math.PI * 50 * 700e-6 }).closes).toBe(true);
    expect(hotRingGap({ ...input, gapMm: 0.05 }).closes).toBe(true);
    expect(hotRingGap({ ...input, ringRiseK: 0, boreRiseK: 0 }).hotGapMm).toBeCloseTo(0.3, 12);
    for (const field of ['gapMm', 'boreMm', 'ringExpansionUmPerMK', 'boreExpansionUmPerMK']) {
      expect(refused(() => hotRingGap({ ...input, [field]: 0 }))).toBe(`non_positive ${field}`);
    }
    for (const field of ['ringRiseK', 'boreRiseK']) {
      expect(refused(() => hotRingGap({ ...input, [field]: Number.NaN }))).toBe(`missing ${field}`);
    }
  });
});

describe('bore and piston', () => {
  test('clearance by smallest, largest and mean bore', () => {
    expect(pistonClearance([54.01, 54.03], [54.02], 53.95)).toEqual({
      minimumClearanceMm: expect.closeTo(0.06, 9),
      maximumClearanceMm: expect.closeTo(0.08, 9),
      meanClearanceMm: expect.closeTo(0.07, 9),
    });
    expect(pistonClearance([], [54.02], 53.95).meanClearanceMm).toBeCloseTo(0.07, 9);
    expect(refused(() => pistonClearance([], [], 53.95))).toBe('insufficient_data boreX');
    expect(refused(() => pistonClearance([54], [0], 53.95))).toBe('non_positive boreY[1]');
    expect(refused(() => pistonClearance([0], [54], 53.95))).toBe('non_positive boreX[1]');
    expect(refusal(() => pistonClearance([54.2], [54, 54.1], 54.3)).message).toContain('the smallest bore, 54 mm');
    expect(refused(() => pistonClearance([54], [54], 0))).toBe('non_positive pistonMm');
    expect(refused(() => pistonClearance([54], [54], 54 - 1e-10))).toBe('collision pistonMm');
    expect(refusal(() => pistonClearance([54], [54], 54.1)).message).toBe(
      'Piston is 54.1 mm; it must be smaller than the smallest bore, 54 mm: it would not go in; measure both at one temperature.',
    );
  });

  test('taper runs along an axis, out-of-round across', () => {
    expect(boreForm([54, 54.02, 54.01], [54.005, 54.01, 54.03])).toEqual({
      taperXMm: expect.closeTo(0.02, 9),
      taperYMm: expect.closeTo(0.025, 9),
      maxOutOfRoundMm: expect.closeTo(0.02, 9),
      smallestMm: 54,
      largestMm: 54.03,
    });
    expect(refused(() => boreForm([54, 54], [54]))).toBe('inconsistent boreX');
    expect(refused(() => boreForm([54], [54]))).toBe('insufficient_data boreX');
    expect(refused(() => boreForm([54, 0], [54, 54]))).toBe('non_positive boreX[2]');
    expect(refused(() => boreForm([54, 54], [54, Number.NaN]))).toBe('missing boreY[2]');
  });
});
