import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import { ignitionDegFromMm, ignitionMmFromDeg, travelFromSlantedGauge } from '../../../core/ignition/advance.ts';
import { crankGeometries, finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const geometry = { strokeMm: 54, rodLengthMm: 110, offsetMm: 0.6 };

describe('ignition', () => {
  test('degrees from millimetres undo millimetres from degrees', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.5, 90), (crank, advance) => {
        expect(ignitionDegFromMm(crank, ignitionMmFromDeg(crank, advance))).toBeCloseTo(advance, 6);
      }),
    );
  });

  test('the upstroke counts, so the offset does', () => {
    expect(ignitionMmFromDeg(geometry, 20)).toBe(depthAt(crankFrom(geometry), -20));
    expect(ignitionMmFromDeg(geometry, 20)).not.toBeCloseTo(depthAt(crankFrom(geometry), 20), 4);
  });

  test('TDC is allowed, BDC is not', () => {
    expect(ignitionMmFromDeg(geometry, 0)).toBeCloseTo(0, 12);
    expect(ignitionMmFromDeg(geometry, -1e-10)).toBeCloseTo(0, 12);
    expect(ignitionDegFromMm(geometry, 0)).toBeCloseTo(0, 5);
    expect(ignitionDegFromMm(geometry, -1e-10)).toBeCloseTo(0, 5);
    expect(refused(() => ignitionMmFromDeg(geometry, 180))).toBe('out_of_range advanceDeg');
    expect(refused(() => ignitionMmFromDeg(geometry, -0.1))).toBe('out_of_range advanceDeg');
    expect(refused(() => ignitionMmFromDeg(geometry, Number.NaN))).toBe('missing advanceDeg');
    const { travelMm } = crankFrom(geometry);
    expect(refused(() => ignitionDegFromMm(geometry, travelMm))).toBe('out_of_range positionBtdcMm');
    expect(ignitionDegFromMm(geometry, travelMm - 1e-6)).toBeGreaterThan(178);
    expect(refused(() => ignitionDegFromMm(geometry, -0.1))).toBe('out_of_range positionBtdcMm');
    expect(refused(() => ignitionDegFromMm(geometry, Number.NaN))).toBe('missing positionBtdcMm');
    expect(refusal(() => ignitionMmFromDeg(geometry, -2)).message).toBe(
      'Advance is -2 deg; it must be 0 deg or more and less than 180 deg: ignition comes before TDC on the upstroke.',
    );
    expect(refusal(() => ignitionDegFromMm({ strokeMm: 54, rodLengthMm: 110 }, 60)).message).toBe(
      'Position before TDC is 60 mm; it must be 0 mm or more and less than the travel, 54 mm: measure down from TDC.',
    );
  });

  test('a slanting gauge shows too much', () => {
    expect(travelFromSlantedGauge(2, 60)).toBeCloseTo(1, 12);
    expect(travelFromSlantedGauge(2, 0)).toBe(2);
    expect(refused(() => travelFromSlantedGauge(2, 90))).toBe('out_of_range plugAngleDeg');
    expect(refused(() => travelFromSlantedGauge(2, -1))).toBe('out_of_range plugAngleDeg');
    expect(refused(() => travelFromSlantedGauge(Number.NaN, 1))).toBe('missing readingMm');
    expect(refused(() => travelFromSlantedGauge(1, Number.NaN))).toBe('missing plugAngleDeg');
    expect(refusal(() => travelFromSlantedGauge(2, 95)).message).toBe(
      'Plug angle is 95 deg; it must be 0 deg or more and less than 90 deg: measure it from the bore axis.',
    );
  });
});
