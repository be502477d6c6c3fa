import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  possibleMeanings,
  risingReading,
  type ScaleReading,
  shownOnScale,
  wheelScales,
} from '../../../core/crank/wheel-scale.ts';
import { wrapSigned } from '../../../core/units.ts';
import { angles } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const reading = (scale: ScaleReading['scale'], shownDeg: number, rest: Partial<ScaleReading> = {}): ScaleReading => ({
  scale,
  growsForwards: true,
  shownDeg,
  ...rest,
});

describe('wheel scales', () => {
  test('what a scale shows reads back to the same place', () => {
    fc.assert(
      fc.property(fc.constantFrom(...wheelScales), fc.boolean(), angles, (scale, growsForwards, rising) => {
        const back = risingReading(shownOnScale(scale, growsForwards, rising));
        expect(Math.abs(wrapSigned(back - rising))).toBeLessThan(1e-9);
      }),
    );
  });

  test('350 on a wheel that grows forwards is 10 before its zero', () => {
    expect(risingReading(reading('0-360', 350))).toBe(350);
    expect(risingReading(reading('0-360', 350, { growsForwards: false }))).toBe(10);
    expect(risingReading(reading('two_rings', 92, { growsForwards: false }))).toBe(268);
    expect(risingReading(reading('0-360', 0, { growsForwards: false }))).toBe(0);
  });

  test('a number of a two-way scale needs its side', () => {
    expect(risingReading(reading('0-180-0', 92, { sideOfZero: 'after' }))).toBe(92);
    expect(risingReading(reading('0-180-0', 92, { sideOfZero: 'before' }))).toBe(268);
    expect(risingReading(reading('0-180-0', 0))).toBe(0);
    expect(risingReading(reading('0-180-0', 180))).toBe(180);
    expect(refusal(() => risingReading(reading('0-180-0', 92)))).toMatchObject({
      code: 'missing',
      field: 'sideOfZero',
      message: 'Side of zero is empty; it must be after or before the zero: say on which side it lies.',
    });
    expect(refused(() => risingReading(reading('0-180-0', 92, { sideOfZero: null })))).toBe('missing sideOfZero');
  });

  test('a number of a quadrant scale needs its zero as well', () => {
    const quadrant = (shown: number, sideOfZero: 'after' | 'before', zero: 'first' | 'second') =>
      risingReading(reading('0-90-0-90', shown, { sideOfZero, zero }));
    expect(quadrant(88, 'after', 'first')).toBe(88);
    expect(quadrant(88, 'before', 'first')).toBe(272);
    expect(quadrant(88, 'after', 'second')).toBe(268);
    expect(quadrant(88, 'before', 'second')).toBe(92);
    expect(quadrant(90, 'before', 'second')).toBe(90);
    expect(refusal(() => risingReading(reading('0-90-0-90', 88, { sideOfZero: 'after' })))).toMatchObject({
      code: 'missing',
      field: 'zero',
      message: 'Zero is empty; it must be the first or the second zero: say which zero it is counted from.',
    });
    expect(refused(() => risingReading(reading('0-90-0-90', 88, { zero: 'first' })))).toBe('missing sideOfZero');
    expect(risingReading(reading('0-90-0-90', 0, { zero: 'second' }))).toBe(180);
  });

  test('numbers that the scale does not have are refused', () => {
    expect(refusal(() => risingReading(reading('0-360', 360))).message).toBe(
      'Wheel reading is 360 deg; it must be from 0 to just under 360 deg on this scale: read it again, or change the scale.',
    );
    expect(refusal(() => risingReading(reading('0-180-0', 181, { sideOfZero: 'after' }))).message).toBe(
      'Wheel reading is 181 deg; it must be from 0 to 180 deg on this scale: read it again, or change the scale.',
    );
    expect(refused(() => risingReading(reading('0-90-0-90', 91)))).toBe('out_of_range wheelReadingDeg');
    expect(refused(() => risingReading(reading('0-360', -1)))).toBe('out_of_range wheelReadingDeg');
    expect(refused(() => risingReading(reading('0-360', Number.NaN)))).toBe('missing wheelReadingDeg');
    expect(refused(() => shownOnScale('0-360', true, Number.NaN))).toBe('missing risingDeg');
  });

  test('the shown side and zero are those nearest to the place', () => {
    expect(shownOnScale('0-180-0', true, 180)).toMatchObject({ shownDeg: 180, sideOfZero: 'after' });
    expect(shownOnScale('0-180-0', true, 181)).toMatchObject({ shownDeg: 179, sideOfZero: 'before' });
    expect(shownOnScale('0-90-0-90', true, 90)).toMatchObject({ shownDeg: 90, sideOfZero: 'after', zero: 'first' });
    expect(shownOnScale('0-90-0-90', true, 91)).toMatchObject({ shownDeg: 89, sideOfZero: 'before', zero: 'second' });
    expect(shownOnScale('0-90-0-90', true, 180)).toMatchObject({ shownDeg: 0, sideOfZero: 'after', zero: 'second' });
    expect(shownOnScale('0-90-0-90', true, 270)).toMatchObject({ shownDeg: 90, sideOfZero: 'after', zero: 'second' });
    expect(shownOnScale('0-90-0-90', false, 271)).toEqual({
      scale: '0-90-0-90',
      growsForwards: false,
      shownDeg: 89,
      sideOfZero: 'before',
      zero: 'first',
    });
    expect(shownOnScale('two_rings', false, 10)).toEqual({ scale: 'two_rings', growsForwards: false, shownDeg: 350 });
  });
});

describe('a bare number', () => {
  test('may be an angle, half a duration or a duration and is asked about', () => {
    expect(possibleMeanings(88)).toEqual([
      { meaning: 'atdc', openAtdcDeg: 88 },
      { meaning: 'bbdc', openAtdcDeg: 92 },
      { meaning: 'half_duration', openAtdcDeg: 92 },
      { meaning: 'duration', openAtdcDeg: 136 },
    ]);
    expect(possibleMeanings(186)).toEqual([{ meaning: 'duration', openAtdcDeg: 87 }]);
    expect(possibleMeanings(180)).toHaveLength(1);
    expect(possibleMeanings(179.9)).toHaveLength(4);
    for (const bad of [0, 360, -3]) expect(refused(() => possibleMeanings(bad))).toBe('out_of_range typedDeg');
    expect(refused(() => possibleMeanings(Number.NaN))).toBe('missing typedDeg');
  });
});
