import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  crankAngleFrom,
  dwellSensitivity,
  middleOfStops,
  risingFromRotation,
  stopDepthFromArc,
  stopOffsetError,
  stopWarning,
  tdcDrift,
  tdcFromStop,
} from '../../../core/crank/dead-centre.ts';
import { anglesAtDepth, crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import { eccentricityError, parallaxError } from '../../../core/crank/wheel-errors.ts';
import { valueWith } from '../../../core/uncertainty/value.ts';
import { wrapSigned, wrapTurn } from '../../../core/units.ts';
import { angles, crankGeometries, finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const sigmas = { forwardSigmaDeg: 0.06, backwardSigmaDeg: 0.08 };

describe('true TDC from a stop', () => {
  test('the corrected middle is TDC for every offset, stop and wheel setting', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.02, 0.45), angles, (geometry, part, tdc) => {
        const crank = crankFrom(geometry);
        const depth = part * crank.travelMm;
        const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, depth);
        const found = tdcFromStop({
          // Turning forwards the piston comes up to the stop before TDC.
          forwardDeg: wrapTurn(tdc - upBtdcDeg),
          backwardDeg: wrapTurn(tdc + downAtdcDeg),
          ...sigmas,
          geometry,
        });
        expect(Math.abs(wrapSigned(found.tdcReadingDeg.value - tdc))).toBeLessThan(1e-7);
        expect(found.tdcReadingDeg.sigma).toBeCloseTo(0.05, 12);
        expect(found.stopDepthMm).toBeCloseTo(depth, 6);
        expect(found.middleDeg + found.correctionDeg - found.tdcReadingDeg.value).toBeCloseTo(
          Math.round((found.middleDeg + found.correctionDeg - found.tdcReadingDeg.value) / 360) * 360,
          9,
        );
      }),
    );
  });

  test('without geometry, and without offset, nothing is corrected', () => {
    const contacts = { forwardDeg: 322, backwardDeg: 39, ...sigmas };
    const plain = tdcFromStop(contacts);
    expect(plain).toMatchObject({ blockedArcDeg: 77, middleDeg: 0.5, correctionDeg: 0, stopDepthMm: null });
    expect(plain.tdcReadingDeg.value).toBe(0.5);
    expect(plain.tdcReadingDeg.contributions.map(({ from, effect, route }) => [from, effect, route])).toEqual([
      ['contact turning forwards', 0.03, 'propagated'],
      ['contact turning backwards', 0.04, 'propagated'],
    ]);
    const straight = tdcFromStop({ ...contacts, geometry: { strokeMm: 54, rodLengthMm: 110 } });
    expect(Object.is(straight.correctionDeg, 0)).toBe(true);
    expect(straight.stopDepthMm).toBeCloseTo(depthAt(crankFrom({ strokeMm: 54, rodLengthMm: 110 }), 38.5), 9);
    expect(refused(() => tdcFromStop({ ...contacts, forwardSigmaDeg: -1 }))).toBe('negative sigmaDeg');
  });

  test('swapped, equal or half-turn contacts are refused, each border with its slack', () => {
    const middle = (forwardDeg: number, backwardDeg: number) => () => middleOfStops({ forwardDeg, backwardDeg });
    expect(refused(middle(20, 20 + 5e-10))).toBe('inconsistent stopBackwardDeg');
    expect(middle(20, 20 + 1e-6)().blockedArcDeg).toBeCloseTo(1e-6, 12);
    expect(refused(middle(20, 200 - 1e-10))).toBe('inconsistent stopBackwardDeg');
    expect(middle(20, 199.999)().tdcReadingDeg).toBeCloseTo(109.9995, 9);
    expect(refused(middle(360, 10))).toBe('out_of_range stopForwardDeg');
    expect(refused(middle(0, -10))).toBe('out_of_range stopBackwardDeg');
    expect(refusal(middle(38, 322)).message).toBe(
      'Stop backward is 322 deg; it must be after the forward contact by more than 0 and less than 180 deg: the readings are swapped, or the stop sits below half the stroke.',
    );
  });

  test('a stop too close to TDC or too far down is remarked on', () => {
    expect([60, 77, 120].map(stopWarning)).toEqual([null, null, null]);
    expect(stopWarning(59.8)).toBe(
      'The stop blocks only 29.9 deg either side of TDC: set it deeper, 30 to 60 deg read best.',
    );
    expect(stopWarning(120.5)).toBe(
      'The stop blocks 60.3 deg either side of TDC: set it higher, 30 to 60 deg read best.',
    );
  });

  test('the error of the middle is half the difference of the strokes', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.02, 0.9), (geometry, part) => {
        const depth = part * crankFrom(geometry).travelMm;
        const { stopAtdcDeg, stopBtdcDeg, midpointErrorDeg } = stopOffsetError(geometry, depth);
        expect(midpointErrorDeg).toBeCloseTo((stopAtdcDeg - stopBtdcDeg) / 2, 9);
        expect(stopDepthFromArc(crankFrom(geometry), stopAtdcDeg + stopBtdcDeg)).toBeCloseTo(depth, 7);
      }),
    );
    const geometry = { strokeMm: 54, rodLengthMm: 110 };
    expect(refused(() => stopOffsetError(geometry, 0))).toBe('non_positive stopDepthMm');
    expect(refused(() => stopOffsetError(geometry, 54 - 1e-9))).toBe('out_of_range stopDepthMm');
    expect(stopOffsetError(geometry, 54 - 1e-6).stopAtdcDeg).toBeGreaterThan(179);
    expect(refusal(() => stopOffsetError(geometry, 55)).message).toBe(
      'Stop depth is 55 mm; it must be less than the travel 54 mm: measure it again.',
    );
    expect(refused(() => stopDepthFromArc(crankFrom(geometry), 361))).toBe('out_of_range blockedArcDeg');
  });

  test('the dial gauge is blind over more degrees the coarser it is', () => {
    const geometry = { strokeMm: 54, rodLengthMm: 110 };
    const zones = [0.005, 0.01, 0.02, 0.05].map((step) => dwellSensitivity(geometry, step, 8).deadZoneDeg);
    expect(zones.map((zone) => zone.toFixed(2))).toEqual(['1.98', '2.79', '3.95', '6.25']);
    const slopes = [1, 2, 5, 8, 10, 15, 20].map(
      (depth) => dwellSensitivity(geometry, 0.01, depth).sensitivityAtStopDegPerMm,
    );
    expect(slopes.map((slope) => slope.toFixed(1))).toEqual(['7.1', '5.1', '3.3', '2.7', '2.5', '2.2', '2.1']);
    expect(refused(() => dwellSensitivity(geometry, 0, 8))).toBe('non_positive resolutionMm');
    expect(refused(() => dwellSensitivity(geometry, 55, 8))).toBe('out_of_range positionMm');
  });
});

describe('rotation, reading and crank angle', () => {
  test('a crank angle counts forwards from TDC', () => {
    expect(crankAngleFrom(10, 350)).toBe(20);
    expect(crankAngleFrom(350, 10)).toBe(340);
  });

  test('clockwise or not is decided once', () => {
    expect(risingFromRotation(30, 'clockwise')).toBe(30);
    expect(risingFromRotation(30, 'anticlockwise')).toBe(330);
    expect(risingFromRotation(30, 'anticlockwise', 90)).toBe(60);
  });

  test('a drift of TDC carries both uncertainties', () => {
    const drift = tdcDrift(valueWith(359.9, 0.03, 'stop', 'repeats'), valueWith(0.3, 0.04, 'stop', 'repeats'));
    expect(drift.value).toBeCloseTo(0.4, 9);
    expect(drift.sigma).toBeCloseTo(0.05, 12);
    expect(drift.contributions.map(({ from, effect }) => [from, effect])).toEqual([
      ['check: stop', 0.04],
      ['TDC in use: stop', -0.03],
    ]);
  });
});

describe('the wheel itself', () => {
  test('an off-centre wheel errs by the angle seen from its true centre', () => {
    fc.assert(
      fc.property(finite(0, 40), finite(41, 200), angles, angles, (eccentricity, radius, angle, phase) => {
        const { readingErrorDeg, firstOrderErrorDeg, peakFirstOrderDeg } = eccentricityError(
          eccentricity,
          radius,
          angle,
          phase,
        );
        const turn = ((angle - phase) * Math.PI) / 180;
        const seen = Math.atan2(radius * 0 + eccentricity * Math.sin(turn), radius + eccentricity * Math.cos(turn));
        expect(readingErrorDeg).toBeCloseTo((seen * 180) / Math.PI, 9);
        expect(Math.abs(firstOrderErrorDeg)).toBeLessThanOrEqual(peakFirstOrderDeg + 1e-12);
        expect(peakFirstOrderDeg).toBeCloseTo((eccentricity / radius) * (180 / Math.PI), 9);
      }),
    );
    expect(refused(() => eccentricityError(-1, 100, 0, 0))).toBe('negative eccentricityMm');
    expect(refused(() => eccentricityError(1, 0, 0, 0))).toBe('non_positive wheelRadiusMm');
    expect(refused(() => eccentricityError(100 - 1e-10, 100, 0, 0))).toBe('out_of_range eccentricityMm');
    expect(eccentricityError(100 - 1e-6, 100, 0, 0).readingErrorDeg).toBe(0);
    expect(refused(() => eccentricityError(1, 100, Number.NaN, 0))).toBe('missing angleDeg');
    expect(refused(() => eccentricityError(1, 100, 0, Number.NaN))).toBe('missing phaseDeg');
  });

  test('parallax grows with gap and angle and vanishes on the normal', () => {
    expect(parallaxError(3, 0, 100)).toBe(0);
    expect(parallaxError(0, 30, 100)).toBe(0);
    expect(parallaxError(3, -10, 100)).toBeCloseTo(-0.3031, 4);
    expect(refused(() => parallaxError(-1, 10, 100))).toBe('negative pointerGapMm');
    expect(refused(() => parallaxError(1, 90, 100))).toBe('out_of_range viewAngleDeg');
    expect(refused(() => parallaxError(1, -90, 100))).toBe('out_of_range viewAngleDeg');
    expect(refused(() => parallaxError(1, 10, 0))).toBe('non_positive wheelRadiusMm');
  });
});
