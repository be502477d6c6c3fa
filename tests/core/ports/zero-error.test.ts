import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crankFrom } from '../../../core/crank/geometry.ts';
import { eventsFromDepth } from '../../../core/ports/edge-height.ts';
import { zeroErrorDisagreements, zeroErrorFromPort } from '../../../core/ports/zero-error.ts';
import { exactly, valueWith } from '../../../core/uncertainty/value.ts';
import { wrapSigned, wrapTurn } from '../../../core/units.ts';
import { crankGeometries, finite } from '../../support/generators.ts';
import { refused } from '../../support/refusal.ts';

describe('zero error from a port', () => {
  test('is what the wheel shows at TDC, whatever the offset', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.2, 0.9), finite(-180, 179.9), (geometry, part, zero) => {
        const { openAtdcDeg, closeBtdcDeg } = eventsFromDepth(geometry, part * crankFrom(geometry).travelMm);
        const opens = exactly(wrapTurn(openAtdcDeg + zero));
        const closes = exactly(wrapTurn(360 - closeBtdcDeg + zero));
        const found = zeroErrorFromPort(opens, closes, geometry);
        expect(Math.abs(wrapSigned(found.value - zero))).toBeLessThan(1e-7);
      }),
    );
  });

  test('without geometry it is the plain middle, with half of each uncertainty', () => {
    const found = zeroErrorFromPort(
      valueWith(84, 0.3, 'placing', 'repeats'),
      valueWith(278, 0.4, 'placing', 'repeats'),
    );
    expect(found.value).toBe(1);
    expect(found.sigma).toBeCloseTo(0.25, 12);
    expect(found.contributions.map(({ from, effect }) => [from, effect])).toEqual([
      ['opening: placing', 0.15],
      ['closing: placing', 0.2],
    ]);
    expect(refused(() => zeroErrorFromPort(exactly(10), exactly(10), { strokeMm: 54, rodLengthMm: 110 }))).toBe(
      'out_of_range durationDeg',
    );
  });

  test('sources that differ by more than their uncertainty are named, the worst first', () => {
    const source = (name: string, value: number, sigma = 0.1) => ({
      name,
      zeroErrorDeg: valueWith(value, sigma, 'x', 'repeats'),
    });
    expect(zeroErrorDisagreements([source('stop', 0.1), source('exhaust', 0.2), source('transfer', 0.3)])).toEqual([]);
    const found = zeroErrorDisagreements([source('stop', 0), source('exhaust', 0.5), source('transfer', -0.6)]);
    expect(found.map(({ first, second }) => `${first}/${second}`)).toEqual([
      'exhaust/transfer',
      'stop/transfer',
      'stop/exhaust',
    ]);
    expect(found[0]).toMatchObject({
      differenceDeg: expect.closeTo(-1.1, 9),
      expandedDeg: expect.closeTo(0.2 * Math.SQRT2, 9),
    });
    expect(zeroErrorDisagreements([source('a', -179.9), source('b', 179.95)])).toEqual([]);
    expect(zeroErrorDisagreements([source('a', 0)])).toEqual([]);
  });
});
