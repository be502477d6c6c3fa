import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  anglesAtDepth,
  anglesAtDepthRad,
  crankFrom,
  deadCentres,
  depthAt,
  depthAtHalfArc,
  depthAtRad,
  depthSlopesAtRad,
  rodWarning,
  signedOffset,
} from '../../../core/crank/geometry.ts';
import { meanPistonSpeed, peakAcceleration, velocityAndAcceleration } from '../../../core/crank/motion.ts';
import { highest } from '../../../core/numerics/search.ts';
import { crankGeometries, finite, straightCranks } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

/** Depth written down straight from the vector loop, with all its cancellation. */
function plainDepth(stroke: number, rod: number, offset: number, atdcDeg: number): number {
  const radius = stroke / 2;
  const top = Math.asin(offset / (rod + radius));
  const height = (angle: number) =>
    radius * Math.cos(angle) + Math.sqrt(rod ** 2 - (radius * Math.sin(angle) - offset) ** 2);
  return height(top) - height(top + (atdcDeg * Math.PI) / 180);
}

describe('slider-crank', () => {
  test('the depth is that of the vector loop, at every angle and offset', () => {
    fc.assert(
      fc.property(crankGeometries, finite(-720, 720), (geometry, angle) => {
        const { strokeMm, rodLengthMm, offsetMm = 0 } = geometry;
        expect(depthAt(crankFrom(geometry), angle)).toBeCloseTo(plainDepth(strokeMm, rodLengthMm, offsetMm, angle), 9);
      }),
    );
  });

  test('angle from depth undoes depth from angle on both strokes', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.001, 0.999), (geometry, part) => {
        const crank = crankFrom(geometry);
        const depth = part * crank.travelMm;
        const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, depth);
        expect(depthAt(crank, downAtdcDeg)).toBeCloseTo(depth, 9);
        expect(depthAt(crank, -upBtdcDeg)).toBeCloseTo(depth, 9);
        expect(depthAt(crank, 360 - upBtdcDeg)).toBeCloseTo(depth, 9);
        expect(depthAtHalfArc(crank, ((downAtdcDeg + upBtdcDeg) * Math.PI) / 360)).toBeCloseTo(depth, 8);
      }),
    );
  });

  test('depth from angle undoes angle from depth', () => {
    fc.assert(
      fc.property(straightCranks, finite(0.01, 179.99), (geometry, angle) => {
        const crank = crankFrom(geometry);
        expect(anglesAtDepth(crank, depthAt(crank, angle)).downAtdcDeg).toBeCloseTo(angle, 6);
        expect(anglesAtDepth(crank, depthAt(crank, -angle)).upBtdcDeg).toBeCloseTo(angle, 6);
      }),
    );
  });

  test('dead centres are where the piston turns, and the strokes make a turn', () => {
    fc.assert(
      fc.property(crankGeometries, (geometry) => {
        const crank = crankFrom(geometry);
        const result = deadCentres(geometry);
        expect(result.downstrokeAngleDeg + result.upstrokeAngleDeg).toBeCloseTo(360, 12);
        expect(depthAt(crank, 0)).toBe(0);
        expect(depthAt(crank, result.downstrokeAngleDeg)).toBeCloseTo(crank.travelMm, 9);
        expect(Math.abs(depthSlopesAtRad(crank, 0).first)).toBeLessThan(1e-9);
        expect(Math.abs(depthSlopesAtRad(crank, crank.bdcAngle - crank.tdcAngle).first)).toBeLessThan(1e-9);
        expect(result.bdcFromVerticalDeg - result.tdcFromVerticalDeg).toBeCloseTo(result.downstrokeAngleDeg, 9);
        expect(result.travelMm).toBeGreaterThanOrEqual(geometry.strokeMm - 1e-12);
        const lowest = highest((angle) => depthAtRad(crank, angle), Math.PI - 0.5, Math.PI + 0.5);
        expect(lowest.value).toBeCloseTo(crank.travelMm, 8);
      }),
    );
  });

  test('mirroring the offset mirrors the strokes', () => {
    fc.assert(
      fc.property(crankGeometries, finite(-180, 180), (geometry, angle) => {
        const mirrored = { ...geometry, offsetMm: -(geometry.offsetMm ?? 0) };
        expect(depthAt(crankFrom(mirrored), angle)).toBeCloseTo(depthAt(crankFrom(geometry), -angle), 9);
      }),
    );
  });

  test('slopes are those of the depth, by differences', () => {
    fc.assert(
      fc.property(crankGeometries, finite(-3, 3), (geometry, angle) => {
        const crank = crankFrom(geometry);
        const step = 1e-4;
        const [before, here, after] = [-step, 0, step].map((by) => depthAtRad(crank, angle + by)) as [
          number,
          number,
          number,
        ];
        const slopes = depthSlopesAtRad(crank, angle);
        expect(slopes.first).toBeCloseTo((after - before) / (2 * step), 4);
        expect(slopes.second).toBeCloseTo((after - 2 * here + before) / step ** 2, 3);
      }),
    );
  });

  test('near TDC no digits are lost', () => {
    const crank = crankFrom({ strokeMm: 54, rodLengthMm: 110 });
    const tiny = 1e-5;
    const curvature = 27 * (1 + 27 / 110);
    expect(Math.abs(depthAtRad(crank, tiny) / ((curvature * tiny ** 2) / 2) - 1)).toBeLessThan(1e-9);
    expect(Math.abs(anglesAtDepthRad(crank, (curvature * 1e-6) / 2).down / 1e-3 - 1)).toBeLessThan(1e-6);
  });

  test('without offset the travel is the stroke to the last digit', () => {
    expect(crankFrom({ strokeMm: 54.1, rodLengthMm: 110 }).travelMm).toBe(54.1);
    expect(crankFrom({ strokeMm: 54.1, rodLengthMm: 110, offsetMm: undefined }).offsetMm).toBe(0);
  });

  test('at the dead centres both strokes meet, with a slack of 1e-9', () => {
    const crank = crankFrom({ strokeMm: 50, rodLengthMm: 100, offsetMm: 1 });
    expect(anglesAtDepth(crank, -1e-9)).toEqual({ downAtdcDeg: expect.closeTo(0, 5), upBtdcDeg: expect.closeTo(0, 5) });
    const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, crank.travelMm + 1e-9);
    expect(downAtdcDeg + upBtdcDeg).toBeCloseTo(360, 5);
    expect(refused(() => anglesAtDepth(crank, -1e-8))).toBe('out_of_range positionMm');
    expect(refused(() => anglesAtDepth(crank, crank.travelMm + 1e-8))).toBe('out_of_range positionMm');
    expect(refused(() => depthAt(crank, Number.NaN))).toBe('missing crankAngleDeg');
  });

  test('a crank that cannot turn is refused', () => {
    expect(refused(() => crankFrom({ strokeMm: 0, rodLengthMm: 100 }))).toBe('non_positive strokeMm');
    expect(refused(() => crankFrom({ strokeMm: 50, rodLengthMm: -1 }))).toBe('non_positive rodLengthMm');
    expect(refused(() => crankFrom({ strokeMm: 50, rodLengthMm: 100, offsetMm: Number.NaN }))).toBe('missing offsetMm');
    expect(refused(() => crankFrom({ strokeMm: 54, rodLengthMm: 27 + 1e-9 }))).toBe('rod_too_short rodLengthMm');
    expect(() => crankFrom({ strokeMm: 54, rodLengthMm: 27 + 1e-8 })).not.toThrow();
    expect(refusal(() => crankFrom({ strokeMm: 54, rodLengthMm: 28, offsetMm: -2 })).message).toBe(
      'Rod length is 28 mm; it must be longer than half the stroke plus the offset, 29 mm: the crank could not turn; check stroke, rod length and offset.',
    );
  });

  test('a rod under one and a half strokes is asked about', () => {
    expect(rodWarning({ strokeMm: 54, rodLengthMm: 81 })).toBeNull();
    expect(rodWarning({ strokeMm: 54, rodLengthMm: 80.9 })).toBe(
      'A rod of 80.9 mm is short for a stroke of 54 mm: check both, centre to centre.',
    );
  });

  test('offsets add with their sides', () => {
    expect(signedOffset({ mm: 0.8, side: 'swing_side' }, { mm: 0.5, side: 'away_side' })).toBeCloseTo(0.3, 12);
    expect(signedOffset()).toBe(0);
    expect(refusal(() => signedOffset({ mm: -0.8, side: 'swing_side' }))).toMatchObject({
      code: 'negative',
      message: 'Offset is -0.8 mm; it must be 0 mm or more: enter the size and choose the side.',
    });
  });
});

describe('motion', () => {
  test('speed and acceleration are the time derivatives of the depth', () => {
    const geometry = { strokeMm: 54, rodLengthMm: 108, offsetMm: 1 };
    const crank = crankFrom(geometry);
    const perSecond = 11_000 * 6;
    const step = 1e-6;
    const { velocityMps, accelerationMps2 } = velocityAndAcceleration(geometry, 65, 11_000);
    const depth = (time: number) => depthAt(crank, 65 + perSecond * time) / 1000;
    expect(velocityMps).toBeCloseTo((depth(step) - depth(-step)) / (2 * step), 4);
    expect(accelerationMps2 / ((depth(step) - 2 * depth(0) + depth(-step)) / step ** 2)).toBeCloseTo(1, 3);
    expect(refused(() => velocityAndAcceleration(geometry, Number.NaN, 11_000))).toBe('missing crankAngleDeg');
    expect(refused(() => velocityAndAcceleration(geometry, 1, 0))).toBe('non_positive speedRpm');
  });

  test('mean speed is two travels a turn', () => {
    expect(meanPistonSpeed({ strokeMm: 60, rodLengthMm: 110 }, 6000)).toBe(12);
    expect(refused(() => meanPistonSpeed({ strokeMm: 60, rodLengthMm: 110 }, -1))).toBe('non_positive speedRpm');
  });

  test('no angle near TDC accelerates more than the peak, and a tiny offset changes it little', () => {
    fc.assert(
      fc.property(crankGeometries, finite(-45, 45), (geometry, angle) => {
        const peak = peakAcceleration(geometry, 9000);
        expect(Math.abs(velocityAndAcceleration(geometry, angle, 9000).accelerationMps2)).toBeLessThanOrEqual(
          peak * (1 + 1e-12),
        );
        const straight = peakAcceleration({ ...geometry, offsetMm: 0 }, 9000);
        const nearly = peakAcceleration({ ...geometry, offsetMm: 1e-6 }, 9000);
        expect(nearly / straight).toBeCloseTo(1, 6);
      }),
      { numRuns: 50 },
    );
    expect(refused(() => peakAcceleration({ strokeMm: 60, rodLengthMm: 110 }, 0))).toBe('non_positive speedRpm');
  });
});
