import fc from 'fast-check';
import { describe, expect, expectTypeOf, test } from 'vitest';
import {
  cc,
  ccFromMm3,
  convertDifference,
  convertUnit,
  type Deg,
  deg,
  degFromRad,
  dimensions,
  dimensionsWithUnit,
  formulaUnit,
  inchFromMm,
  type Mm,
  mm,
  mm3FromCc,
  mmFromInch,
  rad,
  radFromDeg,
  radPerSecondFromRpm,
  unitsOf,
  wrapSigned,
  wrapTurn,
} from '../../core/units.ts';
import { finite } from '../support/generators.ts';
import { refusal } from '../support/refusal.ts';

describe('units as types', () => {
  test('a plain number is welcome, a number of another unit is not', () => {
    expectTypeOf<number>().toExtend<Mm>();
    expectTypeOf<Mm>().toExtend<number>();
    expectTypeOf<Deg>().not.toExtend<Mm>();
    expectTypeOf<Mm>().not.toExtend<Deg>();
  });
});

describe('constructors', () => {
  test('pass a finite number through', () => {
    expect([mm(1.5), deg(-3), rad(0.1), cc(0)]).toEqual([1.5, -3, 0.1, 0]);
  });

  test.each([
    [mm, 'length'],
    [deg, 'angle'],
    [rad, 'angle'],
    [cc, 'volume'],
  ])('refuse what is no finite number and name the quantity', (construct, field) => {
    for (const value of [Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(refusal(() => construct(value))).toEqual({
        code: 'missing',
        field,
        value,
        allowed: 'a finite number',
        message: `The ${field} is ${value}, not a number: enter it again.`,
      });
    }
  });
});

describe('conversions', () => {
  test('an inch has 25.4 mm and half a turn is pi', () => {
    expect(mmFromInch(2)).toBe(50.8);
    expect(inchFromMm(12.7)).toBe(0.5);
    expect(radFromDeg(180)).toBe(Math.PI);
    expect(degFromRad(Math.PI / 2)).toBe(90);
    expect(ccFromMm3(1500)).toBe(1.5);
    expect(mm3FromCc(1.5)).toBe(1500);
    expect(radPerSecondFromRpm(60)).toBeCloseTo(2 * Math.PI, 14);
  });

  test('millimetres to inches and back is where it began', () => {
    fc.assert(
      fc.property(finite(-1e4, 1e4), (length) => {
        expect(mmFromInch(inchFromMm(length))).toBeCloseTo(length, 9);
        expect(inchFromMm(mmFromInch(length))).toBeCloseTo(length, 9);
      }),
    );
  });

  test('every unit of every dimension converts to the formula unit and back', () => {
    fc.assert(
      fc.property(fc.constantFrom(...dimensions), finite(-1000, 1000), (dimension, value) => {
        for (const unit of unitsOf(dimension)) {
          const there = convertUnit(value, unit, formulaUnit(dimension), dimension);
          const back = convertUnit(there, formulaUnit(dimension), unit, dimension);
          expect(Math.abs(back - value)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(value)) + 1e-9);
        }
      }),
      { numRuns: 60 },
    );
  });

  test.each([
    [1, 'in', 'mm', 'length', 25.4],
    [40, 'thou', 'mm', 'length', 1.016],
    [1, 'ft', 'mm', 'length', 304.8],
    [2, 'cm', 'mm', 'length', 20],
    [0.054, 'm', 'mm', 'length', 54],
    [25, 'um', 'mm', 'length', 0.025],
    [Math.PI, 'rad', 'deg', 'angle', 180],
    [1000 * Math.PI, 'mrad', 'deg', 'angle', 180],
    [90, 'arcmin', 'deg', 'angle', 1.5],
    [0.25, 'rev', 'deg', 'angle', 90],
    [2, 'cm2', 'mm2', 'area', 200],
    [1, 'm2', 'mm2', 'area', 1e6],
    [1, 'in2', 'mm2', 'area', 645.16],
    [1, 'in3', 'cm3', 'volume', 16.387064],
    [1, 'cc', 'cm3', 'volume', 1],
    [1, 'ml', 'cm3', 'volume', 1],
    [1, 'mL', 'cm3', 'volume', 1],
    [1500, 'mm3', 'cm3', 'volume', 1.5],
    [0.2, 'l', 'cm3', 'volume', 200],
    [0.2, 'L', 'cm3', 'volume', 200],
    [0.2, 'dm3', 'cm3', 'volume', 200],
    [1, 'm3', 'cm3', 'volume', 1e6],
    [1, 'rpm', 'rev/min', 'rotation', 1],
    [3, '1/min', 'rev/min', 'rotation', 3],
    [1, 'rev/s', 'rev/min', 'rotation', 60],
    [200, 'Hz', 'rev/min', 'rotation', 12_000],
    [2 * Math.PI, 'rad/s', 'rev/min', 'rotation', 60],
    [6, 'deg/s', 'rev/min', 'rotation', 1],
    [1700, 'ft/s', 'm/s', 'speed', 518.16],
    [3600, 'mm/s', 'm/s', 'speed', 3.6],
    [36, 'km/h', 'm/s', 'speed', 10],
    [10, 'ft/s2', 'm/s2', 'acceleration', 3.048],
    [10, 'mm/s2', 'm/s2', 'acceleration', 0.01],
    [5, 'ms', 's', 'time', 0.005],
    [5, 'us', 's', 'time', 5e-6],
    [2, 'deg*cm2', 'deg*mm2', 'angle_area', 200],
    [Math.PI, 'rad*mm2', 'deg*mm2', 'angle_area', 180],
    [2, 's*cm2', 's*mm2', 'time_area', 200],
    [2, 's*m2', 's*mm2', 'time_area', 2e6],
    [2, 's*mm2/cm3', 's/m', 'specific_time_area', 2],
    [2, 's*cm2/cm3', 's/m', 'specific_time_area', 200],
    [2, 's/cm', 's/m', 'specific_time_area', 200],
    [Math.PI, 'rad/mm', 'deg/mm', 'angle_per_length', 180],
    [180, 'mm/rad', 'mm/deg', 'length_per_angle', Math.PI],
    [0.002, 'mm/mm', 'mm/m', 'slope', 2],
    [2, 'um/mm', 'mm/m', 'slope', 2],
    [0.21, 'kg', 'g', 'mass', 210],
    [1, 'oz', 'g', 'mass', 28.349523125],
    [13, 'kN', 'N', 'force', 13_000],
    [22_000, 'W', 'kW', 'power', 22],
    [1e5, 'Pa', 'bar', 'pressure', 1],
    [100, 'kPa', 'bar', 'pressure', 1],
    [1, 'MPa', 'bar', 'pressure', 10],
    [1, 'GPa', 'bar', 'pressure', 10_000],
    [1000, 'psi', 'bar', 'pressure', 68.9475729316836],
    [205_000, 'MPa', 'GPa', 'stiffness', 205],
    [205_000, 'N/mm2', 'GPa', 'stiffness', 205],
    [2.05e11, 'Pa', 'GPa', 'stiffness', 205],
    [11.5e-6, '1/K', 'um/(m*K)', 'expansion', 11.5],
    [11.5, 'ppm/K', 'um/(m*K)', 'expansion', 11.5],
    [723.15, 'K', 'degC', 'temperature', 450],
    [212, 'degF', 'degC', 'temperature', 100],
    [9, 'degF', 'K', 'temperature_difference', 5],
    [9, 'degC', 'K', 'temperature_difference', 9],
    [0.288, 'kJ/(kg*K)', 'J/(kg*K)', 'gas_constant', 288],
    [55, '%', '1', 'ratio', 0.55],
  ] as const)('%d %s is %s of %s', (value, from, to, dimension, expected) => {
    expect(convertUnit(value, from, to, dimension)).toBeCloseTo(expected, 8);
    expect(formulaUnit(dimension)).toBe(to);
  });

  test('a difference of temperatures has no zero to shift', () => {
    expect(convertDifference(9, 'degF', 'degC', 'temperature')).toBeCloseTo(5, 12);
    expect(convertDifference(2, 'K', 'degC', 'temperature')).toBe(2);
    expect(convertDifference(5, 'K', 'degF', 'temperature_difference')).toBeCloseTo(9, 12);
  });

  test('a unit of another kind is refused with those that fit', () => {
    expect(refusal(() => convertUnit(1, 'mm', 'deg', 'length'))).toEqual({
      code: 'inconsistent',
      field: 'unit',
      value: 'deg',
      allowed: 'one of mm, cm, m, um, in, thou, ft',
      message: '"deg" is no unit of length: use one of mm, cm, m, um, in, thou, ft.',
    });
    expect(refusal(() => convertUnit(1, 'toString', 'toString', 'temperature_difference')).message).toBe(
      '"toString" is no unit of temperature difference: use one of K, degC, degF.',
    );
  });

  test('units that belong to two dimensions are found in both', () => {
    expect(dimensionsWithUnit('K')).toEqual(['temperature', 'temperature_difference']);
    expect(dimensionsWithUnit('mm')).toEqual(['length']);
    expect(dimensionsWithUnit('furlong')).toEqual([]);
  });
});

describe('wrapping', () => {
  test('a turn is [0, 360), a signed difference [-180, 180)', () => {
    expect([0, 359.5, 360, -0.5, 725].map((angle) => wrapTurn(angle))).toEqual([0, 359.5, 0, 359.5, 5]);
    expect([0, 180, -180, 190, -190, 540].map((angle) => wrapSigned(angle))).toEqual([0, -180, -180, -170, 170, -180]);
    expect(wrapTurn(100, 90)).toBe(10);
    expect(wrapSigned(80, 90)).toBe(-10);
  });

  test('an angle a hair below zero wraps to zero and not to the period', () => {
    expect(wrapTurn(-1e-17)).toBe(0);
    expect(wrapTurn(-5e-324)).toBe(0);
  });

  test('wrapping twice changes nothing and whole turns drop out', () => {
    fc.assert(
      fc.property(finite(-1e4, 1e4), fc.integer({ min: -5, max: 5 }), (angle, turns) => {
        const wrapped = wrapTurn(angle);
        expect(wrapped).toBeGreaterThanOrEqual(0);
        expect(wrapped).toBeLessThan(360);
        expect(wrapTurn(wrapped)).toBe(wrapped);
        expect(Math.abs(wrapSigned(angle + 360 * turns - angle))).toBeLessThan(1e-8);
      }),
    );
  });
});
