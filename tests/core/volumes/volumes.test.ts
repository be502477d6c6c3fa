import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crankFrom } from '../../../core/crank/geometry.ts';
import { eventsFromDepth } from '../../../core/ports/edge-height.ts';
import { bmepFromPower } from '../../../core/volumes/bmep.ts';
import {
  capFromHeight,
  capFromRadius,
  discVolume,
  domeVolume,
  headVolume,
  plugHoleVolume,
} from '../../../core/volumes/burette.ts';
import {
  clearanceForRatio,
  clearanceVolume,
  compressionRatios,
  crankcaseRatio,
  ratioAfterGapChange,
  ratioWithUncertainty,
  sweptVolume,
  trappedRatioFromDuration,
} from '../../../core/volumes/ratio.ts';
import { crankGeometries, finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

describe('volumes by burette', () => {
  test('height and radius of a cap undo each other up to a hemisphere', () => {
    fc.assert(
      fc.property(finite(20, 80), finite(0.01, 0.99), (base, part) => {
        const height = (part * base) / 2;
        const cap = capFromHeight(base, height);
        const back = capFromRadius(base, cap.sphereRadiusMm ?? 0);
        expect(back.heightMm).toBeCloseTo(height, 6);
        expect(back.volumeCc).toBeCloseTo(cap.volumeCc, 6);
      }),
    );
  });

  test('a cap is a pile of discs', () => {
    const { volumeCc, sphereRadiusMm = 0 } = capFromHeight(54, 5);
    let discs = 0;
    for (let disc = 0; disc < 5000; disc++) {
      const below = sphereRadiusMm - 5 + (disc + 0.5) / 1000;
      discs += Math.PI * (sphereRadiusMm ** 2 - below ** 2) * 1e-3;
    }
    expect(volumeCc).toBeCloseTo(discs / 1000, 6);
  });

  test('a flat cap has no sphere, a hemisphere is the largest', () => {
    expect(capFromHeight(54, 0)).toEqual({ volumeCc: 0 });
    expect(capFromHeight(54, 1e-9)).not.toHaveProperty('sphereRadiusMm');
    expect(capFromHeight(54, 1e-8)).toHaveProperty('sphereRadiusMm');
    expect(capFromRadius(54, 27 - 1e-10).heightMm).toBeCloseTo(27, 8);
    expect(refused(() => capFromRadius(54, 26.9))).toBe('out_of_range sphereRadiusMm');
    expect(refusal(() => capFromRadius(54, 20)).message).toBe(
      'Sphere radius is 20 mm; it must be at least half the base, 27 mm: measure it again.',
    );
    expect(refused(() => capFromRadius(0, 20))).toBe('non_positive baseDiameterMm');
    expect(refused(() => capFromRadius(54, 0))).toBe('non_positive sphereRadiusMm');
    expect(refused(() => capFromHeight(0, 20))).toBe('non_positive baseDiameterMm');
    expect(refused(() => capFromHeight(54, -1))).toBe('negative heightMm');
  });

  test('a head is what was poured less the holes', () => {
    const poured = { buretteStartCc: 2, buretteEndCc: 16 };
    expect(headVolume(poured)).toBe(14);
    expect(headVolume({ ...poured, plateHoleVolumeCc: 0.5, plugHoleVolumeCc: 1.5 })).toBe(12);
    expect(refused(() => headVolume({ buretteStartCc: -1, buretteEndCc: 16 }))).toBe('negative buretteStartCc');
    expect(refused(() => headVolume({ buretteStartCc: 0, buretteEndCc: -16 }))).toBe('negative buretteEndCc');
    expect(refused(() => headVolume({ ...poured, plateHoleVolumeCc: -1 }))).toBe('negative plateHoleVolumeCc');
    expect(refused(() => headVolume({ ...poured, plugHoleVolumeCc: -1 }))).toBe('negative plugHoleVolumeCc');
    expect(refused(() => headVolume({ ...poured, plugHoleVolumeCc: 14 }))).toBe('non_positive headVolumeCc');
    expect(refused(() => headVolume({ buretteStartCc: 2, buretteEndCc: 2 }))).toBe('inconsistent buretteEndCc');
    expect(refusal(() => headVolume({ buretteStartCc: 5, buretteEndCc: 2 })).message).toBe(
      'Burette end is 2 cm³; it must be greater than the first reading, 5 cm³: the two are swapped.',
    );
  });

  test('a plug hole is a cylinder, a dome what the cylinder lacks', () => {
    expect(plugHoleVolume(20, 10)).toBeCloseTo(Math.PI, 12);
    expect(discVolume(20, 10)).toBeCloseTo(Math.PI, 12);
    expect(refused(() => plugHoleVolume(0, 10))).toBe('non_positive pitchDiameterMm');
    expect(refused(() => plugHoleVolume(20, 0))).toBe('non_positive lengthMm');
    const dome = { boreMm: 20, depthMm: 10, buretteVolumeCc: 3 };
    expect(domeVolume(dome)).toBeCloseTo(Math.PI - 3, 12);
    expect(domeVolume({ ...dome, plateHoleVolumeCc: 0.5 })).toBeCloseTo(Math.PI - 2.5, 12);
    expect(domeVolume({ ...dome, buretteVolumeCc: 4 })).toBeLessThan(0);
    expect(refused(() => domeVolume({ ...dome, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => domeVolume({ ...dome, depthMm: 0 }))).toBe('non_positive depthMm');
    expect(refused(() => domeVolume({ ...dome, buretteVolumeCc: 0 }))).toBe('non_positive buretteVolumeCc');
    expect(refused(() => domeVolume({ ...dome, plateHoleVolumeCc: -1 }))).toBe('negative plateHoleVolumeCc');
    expect(refused(() => domeVolume({ ...dome, plateHoleVolumeCc: 3 }))).toBe('non_positive buretteVolumeCc');
  });
});

describe('swept and clearance volume', () => {
  test('the travel is swept, by every cylinder', () => {
    const one = sweptVolume({ boreMm: 50, strokeMm: 50, rodLengthMm: 100, offsetMm: 2 });
    expect(one).toBeCloseTo(discVolume(50, crankFrom({ strokeMm: 50, rodLengthMm: 100, offsetMm: 2 }).travelMm), 12);
    expect(sweptVolume({ boreMm: 50, strokeMm: 50, cylinders: 2 })).toBeCloseTo(2 * discVolume(50, 50), 12);
    expect(sweptVolume({ boreMm: 50, strokeMm: 50, rodLengthMm: 100, cylinders: 3 })).toBeCloseTo(
      3 * discVolume(50, 50),
      12,
    );
    expect(sweptVolume({ boreMm: 50, strokeMm: 50, offsetMm: 0 })).toBeCloseTo(discVolume(50, 50), 12);
    expect(refused(() => sweptVolume({ boreMm: 50, strokeMm: 50, offsetMm: 1 }))).toBe('missing rodLengthMm');
    expect(refused(() => sweptVolume({ boreMm: 0, strokeMm: 50 }))).toBe('non_positive boreMm');
    expect(refused(() => sweptVolume({ boreMm: 50, strokeMm: 0 }))).toBe('non_positive strokeMm');
    expect(refused(() => sweptVolume({ boreMm: 50, strokeMm: 50, cylinders: 0 }))).toBe('non_positive cylinders');
    expect(refused(() => sweptVolume({ boreMm: 50, strokeMm: 50, rodLengthMm: 25 }))).toBe('rod_too_short rodLengthMm');
  });

  test('the stack adds up, with its signs', () => {
    const stack = { headVolumeCc: 13, boreMm: 54 };
    expect(clearanceVolume(stack)).toBe(13);
    expect(clearanceVolume({ ...stack, gasketThicknessMm: 0.4 })).toBeCloseTo(13 + discVolume(54, 0.4), 12);
    expect(clearanceVolume({ ...stack, gasketThicknessMm: 0.4, gasketBoreMm: 56 })).toBeCloseTo(
      13 + discVolume(56, 0.4),
      12,
    );
    expect(clearanceVolume({ ...stack, deckClearanceMm: -0.3 })).toBeCloseTo(13 - discVolume(54, 0.3), 12);
    expect(clearanceVolume({ ...stack, domeVolumeCc: 3 })).toBe(10);
    expect(clearanceVolume({ ...stack, domeVolumeCc: -3 })).toBe(16);
    expect(refused(() => clearanceVolume({ ...stack, headVolumeCc: 0 }))).toBe('non_positive headVolumeCc');
    expect(refused(() => clearanceVolume({ ...stack, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => clearanceVolume({ ...stack, gasketBoreMm: 0 }))).toBe('non_positive gasketBoreMm');
    expect(refused(() => clearanceVolume({ ...stack, gasketThicknessMm: -0.1 }))).toBe('negative gasketThicknessMm');
    expect(refused(() => clearanceVolume({ ...stack, domeVolumeCc: 13 }))).toBe('non_positive clearanceVolumeCc');
  });
});

describe('ratios', () => {
  test('clearance from ratio undoes ratio from clearance', () => {
    fc.assert(
      fc.property(
        crankGeometries,
        finite(30, 80),
        finite(3, 30),
        finite(0.1, 0.9),
        (geometry, boreMm, clearanceVolumeCc, part) => {
          const depth = part * crankFrom(geometry).travelMm;
          const input = { geometry, boreMm, clearanceVolumeCc, exhaustClosingDepthMm: depth };
          const { fullStrokeRatio, trappedRatio, trappedSweptVolumeCc } = compressionRatios(input);
          const swept = sweptVolume({ boreMm, ...geometry });
          expect(clearanceForRatio(swept, fullStrokeRatio)).toBeCloseTo(clearanceVolumeCc, 8);
          expect(clearanceForRatio(trappedSweptVolumeCc, trappedRatio)).toBeCloseTo(clearanceVolumeCc, 8);
          expect(trappedRatio).toBeLessThan(fullStrokeRatio);
          const { durationDeg } = eventsFromDepth(geometry, depth);
          const again = trappedRatioFromDuration({
            geometry,
            boreMm,
            clearanceVolumeCc,
            exhaustDurationDeg: durationDeg,
          });
          expect(again.trappedRatio).toBeCloseTo(trappedRatio, 7);
          expect(again.exhaustClosingDepthMm).toBeCloseTo(depth, 7);
        },
      ),
    );
  });

  test('refusals name what is wrong', () => {
    const geometry = { strokeMm: 54, rodLengthMm: 110 };
    const input = { geometry, boreMm: 54, clearanceVolumeCc: 10, exhaustClosingDepthMm: 26 };
    expect(refused(() => compressionRatios({ ...input, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => compressionRatios({ ...input, clearanceVolumeCc: 0 }))).toBe('non_positive clearanceVolumeCc');
    expect(refused(() => compressionRatios({ ...input, exhaustClosingDepthMm: 54 }))).toBe(
      'out_of_range exhaustClosingDepthMm',
    );
    const duration = { geometry, boreMm: 54, clearanceVolumeCc: 10, exhaustDurationDeg: 190 };
    expect(refused(() => trappedRatioFromDuration({ ...duration, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => trappedRatioFromDuration({ ...duration, clearanceVolumeCc: 0 }))).toBe(
      'non_positive clearanceVolumeCc',
    );
    expect(refused(() => trappedRatioFromDuration({ ...duration, exhaustDurationDeg: 0 }))).toBe(
      'out_of_range exhaustDurationDeg',
    );
    expect(refused(() => clearanceForRatio(0, 10))).toBe('non_positive sweptVolumeCc');
    expect(refused(() => clearanceForRatio(100, 1))).toBe('out_of_range targetRatio');
    expect(refusal(() => clearanceForRatio(100, 0.5)).message).toBe(
      'Target ratio is 0.5; it must be greater than 1: a ratio of 1 is no compression.',
    );
  });

  test('the case ratio from either dead centre', () => {
    expect(crankcaseRatio({ sweptVolumeCc: 100, caseVolumeBdcCc: 200 })).toBe(1.5);
    expect(crankcaseRatio({ sweptVolumeCc: 100, caseVolumeTdcCc: 300 })).toBe(1.5);
    expect(crankcaseRatio({ sweptVolumeCc: 100, caseVolumeBdcCc: 200, caseVolumeTdcCc: 300 })).toBe(1.5);
    expect(refused(() => crankcaseRatio({ sweptVolumeCc: 100 }))).toBe('missing caseVolumeBdcCc');
    expect(refused(() => crankcaseRatio({ sweptVolumeCc: 0, caseVolumeBdcCc: 200 }))).toBe(
      'non_positive sweptVolumeCc',
    );
    expect(refused(() => crankcaseRatio({ sweptVolumeCc: 100, caseVolumeBdcCc: 0 }))).toBe(
      'non_positive caseVolumeBdcCc',
    );
    expect(refused(() => crankcaseRatio({ sweptVolumeCc: 100, caseVolumeTdcCc: 0 }))).toBe(
      'non_positive caseVolumeTdcCc',
    );
    expect(refusal(() => crankcaseRatio({ sweptVolumeCc: 100, caseVolumeTdcCc: 100 })).message).toBe(
      'Case volume TDC is 100 cm³; it must be greater than the swept 100 cm³: measure it again.',
    );
    expect(
      refusal(() => crankcaseRatio({ sweptVolumeCc: 100, caseVolumeTdcCc: 310, caseVolumeBdcCc: 200 })).message,
    ).toBe(
      'Case volume TDC is 310 cm³; it must be 300 cm³ with this volume at BDC: the two contradict each other; give the better one only.',
    );
  });

  test('a wider gap over the bore or the gasket hole lowers the ratio', () => {
    const input = { boreMm: 54, sweptVolumeCc: 123, clearanceVolumeCc: 10, gapChangeMm: 0.5 };
    expect(ratioAfterGapChange(input).clearanceVolumeCc).toBeCloseTo(10 + discVolume(54, 0.5), 12);
    const wide = ratioAfterGapChange({ ...input, areaDiameterMm: 56 });
    expect(wide.clearanceVolumeCc).toBeCloseTo(10 + discVolume(56, 0.5), 12);
    expect(wide.ratio).toBeCloseTo(1 + 123 / wide.clearanceVolumeCc, 12);
    expect(refused(() => ratioAfterGapChange({ ...input, gapChangeMm: -5 }))).toBe('collision gapChangeMm');
    expect(refused(() => ratioAfterGapChange({ ...input, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => ratioAfterGapChange({ ...input, sweptVolumeCc: 0 }))).toBe('non_positive sweptVolumeCc');
    expect(refused(() => ratioAfterGapChange({ ...input, clearanceVolumeCc: 0 }))).toBe(
      'non_positive clearanceVolumeCc',
    );
    expect(refused(() => ratioAfterGapChange({ ...input, areaDiameterMm: 0 }))).toBe('non_positive areaDiameterMm');
    expect(refused(() => ratioAfterGapChange({ ...input, gapChangeMm: Number.NaN }))).toBe('missing gapChangeMm');
    expect(refusal(() => ratioAfterGapChange({ ...input, gapChangeMm: -5 })).message).toBe(
      'Gap change is -5 mm; it must be a change that leaves some volume: the parts would touch.',
    );
  });

  test('each uncertainty enters with its own derivative', () => {
    const sizes = { boreMm: 54, strokeMm: 50, clearanceVolumeCc: 10, uBoreMm: 0, uStrokeMm: 0, uClearanceCc: 0 };
    const compressed = ratioWithUncertainty(sizes).ratio - 1;
    expect(ratioWithUncertainty(sizes)).toMatchObject({ standardUncertainty: 0, expanded: 0 });
    const only = (field: string) => ratioWithUncertainty({ ...sizes, [field]: 0.1 });
    expect(only('uBoreMm').standardUncertainty).toBeCloseTo((2 * compressed * 0.1) / 54, 12);
    expect(only('uStrokeMm').standardUncertainty).toBeCloseTo((compressed * 0.1) / 50, 12);
    expect(only('uClearanceCc').standardUncertainty).toBeCloseTo((compressed * 0.1) / 10, 12);
    expect(only('uClearanceCc').expanded).toBeCloseTo((compressed * 0.2) / 10, 12);
    for (const field of ['boreMm', 'strokeMm', 'clearanceVolumeCc']) {
      expect(refused(() => ratioWithUncertainty({ ...sizes, [field]: 0 }))).toBe(`non_positive ${field}`);
    }
    for (const field of ['uBoreMm', 'uStrokeMm', 'uClearanceCc']) {
      expect(refused(() => ratioWithUncertainty({ ...sizes, [field]: -1 }))).toBe(`negative ${field}`);
    }
  });

  test('pressure from power', () => {
    expect(bmepFromPower(20, 100, 12_000)).toBe(10);
    expect(refused(() => bmepFromPower(0, 100, 12_000))).toBe('non_positive powerKw');
    expect(refused(() => bmepFromPower(20, 0, 12_000))).toBe('non_positive sweptVolumeCc');
    expect(refused(() => bmepFromPower(20, 100, 0))).toBe('non_positive speedRpm');
  });
});
