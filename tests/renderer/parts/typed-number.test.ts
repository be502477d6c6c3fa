import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readTypedNumber, unitsThatFit, writeNumber } from '../../../renderer/parts/typed-number.ts';

function value(text: string, kind: 'length' | 'angle' | 'volume' | 'plain' = 'length', unit = 'mm'): number {
  const reading = readTypedNumber(text, kind, unit);
  if (!reading.ok) throw new Error(`${text}: ${reading.reason}`);
  return reading.value;
}

describe('a typed length', () => {
  it.each([
    ['0.0345in', 0.8763],
    ['34.5 thou', 0.8763],
    ['0.87', 0.87],
    ['0,87', 0.87],
    [',5', 0.5],
    ['0,5', 0.5],
    ['54', 54],
    ['54 mm', 54],
    ['1/16 in', 1.5875],
    ['1 1/16"', 26.9875],
    ['-0.2', -0.2],
    ['−0.2', -0.2],
    ['.002 inch', 0.0508],
    ['50 µm', 0.05],
  ])('"%s" is %f mm', (text, expected) => {
    expect(value(text)).toBeCloseTo(expected, 10);
  });

  it('takes a bare number in the unit of the field', () => {
    expect(value('2', 'length', 'in')).toBeCloseTo(50.8, 12);
  });

  it.each(['1.234,5', '1,234.5', '1 234', 'abc', '', '--3', '1/0 in', '12 parsec', '1.5/16 in', '1e3'])(
    'refuses "%s" with a reason instead of guessing',
    (text) => {
      const reading = readTypedNumber(text, 'length', 'mm');
      expect(reading.ok).toBe(false);
      if (!reading.ok) expect(reading.reason.length).toBeGreaterThan(8);
    },
  );

  it('never reads a comma as anything but the decimal mark', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 999 }), fc.integer({ min: 0, max: 999 }), (whole, part) => {
        const digits = String(part).padStart(3, '0');
        expect(value(`${whole},${digits}`)).toBe(Number(`${whole}.${digits}`));
      }),
    );
  });

  it('reads what it has written, in both units and with both marks', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 400, noNaN: true }),
        fc.constantFrom('point' as const, 'comma' as const),
        fc.constantFrom(['mm', 1] as const, ['in', 25.4] as const),
        (lengthMm, mark, [unit, factor]) => {
          const text = writeNumber(lengthMm / factor, 9, mark);
          expect(value(text, 'length', unit)).toBeCloseTo(lengthMm, 6);
        },
      ),
    );
  });
});

describe('a bare length that does not fit its field', () => {
  const squish = (lengthMm: number) => lengthMm > 0 && lengthMm <= 10;
  const bore = (lengthMm: number) => lengthMm >= 20 && lengthMm <= 200;
  it.each([
    ['34.5', 'mm', squish, ['thou']],
    ['0.87', 'mm', bore, ['in']],
    ['2,11', 'mm', bore, ['in']],
    ['53.6', 'in', bore, ['mm']],
    ['900', 'in', squish, []],
    ['-3', 'mm', squish, []],
    ['34.5 mm', 'mm', squish, []],
  ] as const)('%s in a field in %s may have been meant in %s', (text, unit, isPossible, units) => {
    expect(unitsThatFit(readTypedNumber(text, 'length', unit), 'length', isPossible)).toEqual(units);
  });

  it('is no question where the field measures something else, or no number was typed', () => {
    expect(unitsThatFit(readTypedNumber('34.5', 'plain', ''), 'plain', squish)).toEqual([]);
    expect(unitsThatFit(readTypedNumber('x', 'length', 'mm'), 'length', squish)).toEqual([]);
  });
});

describe('other fields', () => {
  it('takes volumes in cc, ml and cubic inches', () => {
    expect(value('10 cc', 'volume', 'cm3')).toBe(10);
    expect(value('10ml', 'volume', 'cm3')).toBe(10);
    expect(value('1 in3', 'volume', 'cm3')).toBeCloseTo(16.387064, 9);
  });

  it('refuses a unit that does not belong to the field and names those that do', () => {
    const reading = readTypedNumber('12 mm', 'volume', 'cm3');
    expect(reading).toEqual({ ok: false, reason: '"mm" is not a unit for this field: it takes cm3, cc, ml or in3.' });
  });
});

describe('a written number', () => {
  it.each([
    [0.5, 3, 'point', '0.5'],
    [0.5, 3, 'comma', '0,5'],
    [54, 2, 'point', '54'],
    [-0.0001, 2, 'point', '0'],
    [100, 0, 'point', '100'],
    [0.126, 2, 'comma', '0,13'],
  ] as const)('%f with %i places and a %s is %s', (number, decimals, mark, text) => {
    expect(writeNumber(number, decimals, mark)).toBe(text);
  });
});
