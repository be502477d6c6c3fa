import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import {
  pistonRock,
  squishPairs,
  squishPlane,
  squishStatistics,
  toleranceLimits,
} from '../../../core/squish/readings.ts';
import { rodInertiaStretch, thermalGrowth } from '../../../core/squish/running.ts';
import {
  bandVolume,
  type SquishChamber,
  squishBand,
  squishVelocityAt,
  squishVelocityMax,
} from '../../../core/squish/velocity.ts';
import { wrapSigned } from '../../../core/units.ts';
import { angles, finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const toRad = Math.PI / 180;

describe('squish readings', () => {
  test('the statistics of four solders', () => {
    const result = squishStatistics([1, 1.2, 1.1, 1.1]);
    expect(result).toEqual({
      meanMm: expect.closeTo(1.1, 12),
      minimumMm: 1,
      maximumMm: 1.2,
      rangeMm: expect.closeTo(0.2, 12),
      standardDeviationMm: expect.closeTo(Math.sqrt(0.02 / 3), 12),
    });
    expect(refused(() => squishStatistics([1]))).toBe('insufficient_data readings');
    expect(refused(() => squishStatistics([1, 0]))).toBe('non_positive readings[2]');
    expect(refused(() => squishStatistics([1, Number.NaN]))).toBe('missing readings[2]');
  });

  test('a plane is found again from its own points, wherever they were taken', () => {
    fc.assert(
      fc.property(
        finite(0.8, 1.6),
        finite(0.0001, 0.005),
        angles,
        fc.uniqueArray(fc.integer({ min: 0, max: 35 }), { minLength: 3, maxLength: 8 }),
        (centre, tilt, direction, places) => {
          const radius = 24;
          const at = places.map((place) => place * 10);
          const readings = at.map((angle) => centre + tilt * radius * Math.cos((angle - direction) * toRad));
          const plane = squishPlane(readings, at, radius, 54);
          expect(plane.centreMm).toBeCloseTo(centre, 7);
          expect(plane.tiltMmPerM).toBeCloseTo(1000 * tilt, 5);
          expect(plane.tiltAngleDeg).toBeCloseTo(Math.atan(tilt) / toRad, 6);
          expect(plane.minimumOverBoreMm).toBeCloseTo(centre - 27 * tilt, 6);
          expect(plane.maximumOverBoreMm).toBeCloseTo(centre + 27 * tilt, 6);
          expect(plane.rmsResidualMm).toBeLessThan(1e-6);
          expect(Math.abs(wrapSigned((plane.directionOfLargestGapDeg ?? 0) - direction))).toBeLessThan(1e-2);
        },
      ),
    );
  });

  test('a saddle is all residual and has no direction', () => {
    const plane = squishPlane([1.1, 1, 1.1, 1], [0, 90, 180, 270], 20, 54);
    expect(plane.rmsResidualMm).toBeCloseTo(0.05, 12);
    expect(plane.tiltMmPerM).toBeCloseTo(0, 9);
    expect(plane).not.toHaveProperty('directionOfLargestGapDeg');
  });

  test('four readings at right angles follow their closed form', () => {
    const [c0, c90, c180, c270] = [1.12, 1.03, 1, 1.08];
    const plane = squishPlane([c0, c90, c180, c270], [0, 90, 180, 270], 20, 54);
    expect(plane.tiltMmPerM).toBeCloseTo(1000 * Math.hypot((c0 - c180) / 40, (c90 - c270) / 40), 9);
    expect(plane.rmsResidualMm).toBeCloseTo(Math.abs(c0 + c180 - c90 - c270) / 4, 12);
  });

  test('places that do not fix a plane are refused', () => {
    const plane =
      (readings: number[], at: number[], radius = 20, bore = 54) =>
      () =>
        squishPlane(readings, at, radius, bore);
    expect(refused(plane([1, 1], [0, 90]))).toBe('insufficient_data readings');
    expect(refused(plane([1, 1, 1], [0, 90]))).toBe('inconsistent readings');
    expect(refused(plane([1, 1, 1], [0, 180, 0]))).toBe('singular angles');
    expect(refused(plane([1, 1, 1, 1], [30, 210, 30, 210]))).toBe('singular angles');
    expect(refused(plane([1, 1, 1], [10, 10, 10]))).toBe('singular angles');
    expect(plane([1, 1, 1], [0, 1, 180])().tiltMmPerM).toBeCloseTo(0, 6);
    expect(refused(plane([1, 1, -1], [0, 90, 180]))).toBe('non_positive readings[3]');
    expect(refused(plane([1, 1, 1], [0, 90, Number.NaN]))).toBe('missing angles[3]');
    expect(refused(plane([1, 1, 1], [0, 90, 180], 0))).toBe('non_positive radiusMm');
    expect(refused(plane([1, 1, 1], [0, 90, 180], 20, 0))).toBe('non_positive boreMm');
    expect(refused(plane([1, 1, 1], [0, 90, 180], 27.1))).toBe('inconsistent radiusMm');
    expect(plane([1, 1, 1], [0, 90, 180], 27)().centreMm).toBeCloseTo(1, 12);
    expect(refusal(plane([1, 1, 1], [0, 180, 0])).message).toBe(
      'Angles is [0,180,0]; it must be places that are not all on one line: take a reading beside the line.',
    );
    expect(refusal(plane([1, 1, 1], [0, 90, 180], 30)).message).toBe(
      'Radius is 30 mm; it must be up to half the bore, 27 mm: it lies inside the bore.',
    );
  });

  test('opposite pairs have means, a difference and slopes', () => {
    const pairs = { pinAMm: 1.06, pinBMm: 1.02, thrustAMm: 1.15, thrustBMm: 0.97, radiusMm: 25 };
    expect(squishPairs(pairs)).toEqual({
      pinMeanMm: expect.closeTo(1.04, 12),
      thrustMeanMm: expect.closeTo(1.06, 12),
      pairMeanDifferenceMm: expect.closeTo(-0.02, 12),
      slopeAlongPinMmPerM: expect.closeTo(0.8, 9),
      slopeAlongThrustMmPerM: expect.closeTo(3.6, 9),
    });
    for (const field of Object.keys(pairs)) {
      expect(refused(() => squishPairs({ ...pairs, [field]: 0 }))).toBe(`non_positive ${field}`);
    }
  });

  test('rock lifts the edge by the sine of its angle', () => {
    const { rockAngleDeg, edgeRiseMm } = pistonRock(1, 1, 10);
    expect(rockAngleDeg).toBeCloseTo(45, 12);
    expect(edgeRiseMm).toBeCloseTo(10 * Math.SQRT1_2, 12);
    expect(refused(() => pistonRock(0, 1, 1))).toBe('non_positive diametralClearanceMm');
    expect(refused(() => pistonRock(1, 0, 1))).toBe('non_positive skirtLengthMm');
    expect(refused(() => pistonRock(1, 1, 0))).toBe('non_positive radiusMm');
  });

  test('limits come from magnitudes', () => {
    expect(toleranceLimits(10, 0.4, 0.2)).toEqual({ lower: 9.8, upper: 10.4, midpoint: expect.closeTo(10.1, 12) });
    expect(refused(() => toleranceLimits(10, -0.4, 0.2))).toBe('negative plus');
    expect(refused(() => toleranceLimits(10, 0.4, -0.2))).toBe('negative minus');
    expect(refused(() => toleranceLimits(Number.NaN, 0.4, 0.2))).toBe('missing nominal[1]');
  });
});

describe('squish velocity', () => {
  const chamber: SquishChamber = {
    geometry: { strokeMm: 54, rodLengthMm: 108, offsetMm: 0.5 },
    boreMm: 54,
    bowlDiameterMm: 37,
    squishMm: 0.95,
    clearanceVolumeCc: 10.4,
    speedRpm: 11_500,
    taperDeg: 1.2,
  };

  /** Flow out of the band by the change of its share of the charge, with no formula in common. */
  function byMassBalance(input: SquishChamber, angleBtdcDeg: number): number {
    const { boreMm, bowlDiameterMm, squishMm, clearanceVolumeCc, speedRpm, taperDeg = 0 } = input;
    const crank = crankFrom(input.geometry);
    const [outer, inner] = [boreMm / 2, bowlDiameterMm / 2];
    const band = (depth: number): number => {
      const rings = 4000;
      let sum = 0;
      for (let ring = 0; ring < rings; ring++) {
        const radius = inner + ((outer - inner) * (ring + 0.5)) / rings;
        sum += 2 * Math.PI * radius * (squishMm + depth + (outer - radius) * Math.tan(taperDeg * toRad));
      }
      return (sum * (outer - inner)) / rings;
    };
    const volume = (depth: number) => clearanceVolumeCc * 1000 + Math.PI * outer ** 2 * depth;
    const share = (angle: number) => {
      const depth = depthAt(crank, -angle);
      return band(depth) / volume(depth);
    };
    const step = 0.001;
    const perDegree = (share(angleBtdcDeg + step) - share(angleBtdcDeg - step)) / (2 * step);
    const depth = depthAt(crank, -angleBtdcDeg);
    const gap = squishMm + depth + (outer - inner) * Math.tan(taperDeg * toRad);
    return (perDegree * speedRpm * 6 * volume(depth)) / (Math.PI * bowlDiameterMm * gap) / 1000;
  }

  test('is what the mass balance of the band asks for', () => {
    for (const angle of [2, 10, 25, 60, 90]) {
      expect(squishVelocityAt(chamber, angle)).toBeCloseTo(byMassBalance(chamber, angle), 4);
    }
    const flat = { ...chamber, taperDeg: undefined };
    expect(squishVelocityAt(flat, 12)).toBeCloseTo(byMassBalance(flat, 12), 4);
    expect(squishVelocityAt(chamber, 0)).toBeCloseTo(0, 12);
    expect(squishVelocityAt(chamber, -1e-10)).toBeCloseTo(0, 8);
  });

  test('no angle gives more than the highest, down to the narrowest gaps', () => {
    fc.assert(
      fc.property(finite(0.01, 3), finite(0, 5), finite(0, 90), finite(20, 50), (squishMm, taperDeg, angle, bowl) => {
        const one = { ...chamber, squishMm, taperDeg, bowlDiameterMm: bowl, clearanceVolumeCc: 14 };
        const peak = squishVelocityMax(one);
        expect(squishVelocityAt(one, angle)).toBeLessThanOrEqual(peak.maxSquishVelocityMps * (1 + 1e-9));
        expect(squishVelocityAt(one, peak.angleBtdcDeg)).toBeCloseTo(peak.maxSquishVelocityMps, 9);
      }),
      { numRuns: 60 },
    );
  });

  test('the band of a taper has the volume of its rings', () => {
    expect(bandVolume(54, 36, 1, 0)).toBeCloseTo((Math.PI * (27 ** 2 - 18 ** 2)) / 1000, 12);
    let rings = 0;
    for (let ring = 0; ring < 9000; ring++) {
      const radius = 18 + (ring + 0.5) / 1000;
      rings += 2 * Math.PI * radius * (1 + (27 - radius) * Math.tan(2 * toRad)) * 1e-3;
    }
    expect(bandVolume(54, 36, 1, 2)).toBeCloseTo(rings / 1000, 8);
  });

  test('the band around a bowl', () => {
    expect(squishBand(50, 30)).toEqual({
      squishAreaMm2: expect.closeTo(400 * Math.PI, 9),
      squishAreaRatio: expect.closeTo(0.64, 12),
      bandWidthMm: 10,
    });
    expect(refused(() => squishBand(50, 50))).toBe('inconsistent bowlDiameterMm');
    expect(refused(() => squishBand(0, 30))).toBe('non_positive boreMm');
    expect(refused(() => squishBand(50, 0))).toBe('non_positive bowlDiameterMm');
    expect(refusal(() => squishBand(50, 60)).message).toBe(
      'Bowl diameter is 60 mm; it must be less than the bore, 50 mm: otherwise there is no band.',
    );
  });

  test('what cannot be is refused by name', () => {
    const at =
      (rest: Partial<SquishChamber>, angle = 10) =>
      () =>
        squishVelocityAt({ ...chamber, ...rest }, angle);
    expect(refused(at({ squishMm: 0 }))).toBe('non_positive squishMm');
    expect(refused(at({ clearanceVolumeCc: 0 }))).toBe('non_positive clearanceVolumeCc');
    expect(refused(at({ speedRpm: 0 }))).toBe('non_positive speedRpm');
    expect(refused(at({ taperDeg: -1 }))).toBe('negative taperDeg');
    expect(refused(at({ taperDeg: 89.1 }))).toBe('out_of_range taperDeg');
    expect(refused(at({ bowlDiameterMm: 54 }))).toBe('inconsistent bowlDiameterMm');
    expect(refused(at({}, 90.1))).toBe('out_of_range angleBtdcDeg');
    expect(refused(at({}, -0.1))).toBe('out_of_range angleBtdcDeg');
    const band = bandVolume(54, 37, 0.95, 1.2);
    expect(refused(at({ clearanceVolumeCc: band }))).toBe('inconsistent clearanceVolumeCc');
    expect(at({ clearanceVolumeCc: band + 1e-6 })()).toBeLessThan(1e-3);
    expect(refusal(at({ clearanceVolumeCc: 1 })).message).toMatch(
      /^Clearance volume is 1 cm³; it must be more than the squish band's own 1\.\d+ cm³: check the volume, the gap and the bowl\.$/,
    );
  });
});

describe('running', () => {
  test('the rod stretches by its load', () => {
    const rod = { massG: 200, accelerationMps2: 50_000, rodLengthMm: 100, sectionAreaMm2: 100, modulusGPa: 200 };
    expect(rodInertiaStretch(rod)).toEqual({ forceN: 10_000, stretchMm: 0.05 });
    for (const field of Object.keys(rod)) {
      expect(refused(() => rodInertiaStretch({ ...rod, [field]: 0 }))).toBe(`non_positive ${field}`);
    }
  });

  test('heat lengthens and cold shortens', () => {
    expect(thermalGrowth(100, 20, 50)).toBeCloseTo(0.1, 12);
    expect(thermalGrowth(100, 20, -50)).toBeCloseTo(-0.1, 12);
    expect(refused(() => thermalGrowth(0, 20, 50))).toBe('non_positive lengthMm');
    expect(refused(() => thermalGrowth(100, 0, 50))).toBe('non_positive expansionUmPerMK');
    expect(refused(() => thermalGrowth(100, 20, Number.NaN))).toBe('missing temperatureRiseK');
  });
});
