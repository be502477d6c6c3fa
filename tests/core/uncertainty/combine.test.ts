import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import { depthWithUncertainty, eventsFromDepth } from '../../../core/ports/edge-height.ts';
import { combine, correlatedSigma } from '../../../core/uncertainty/combine.ts';
import { propagate, type UncertainInput } from '../../../core/uncertainty/propagate.ts';
import { ratioWithUncertainty } from '../../../core/volumes/ratio.ts';
import { finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const input = (name: string, value: number, sigma: number, degreesOfFreedom: number | null = null): UncertainInput => ({
  name,
  value,
  sigma,
  degreesOfFreedom,
  route: 'instrument',
});

describe('combining', () => {
  test('signs of sensitivities do not matter and one input keeps its degrees of freedom', () => {
    fc.assert(
      fc.property(finite(0.1, 5), finite(0.01, 2), fc.integer({ min: 1, max: 50 }), (sensitivity, u, degrees) => {
        const plus = combine({ sensitivities: [sensitivity], uncertainties: [u], degreesOfFreedom: [degrees] });
        const minus = combine({ sensitivities: [-sensitivity], uncertainties: [u], degreesOfFreedom: [degrees] });
        expect(plus).toEqual(minus);
        expect(plus.combined).toBeCloseTo(sensitivity * u, 12);
        expect(plus.expanded).toBeCloseTo(2 * plus.combined, 12);
        expect(plus.effectiveDegreesOfFreedom).toBeCloseTo(degrees, 6);
      }),
    );
  });

  test('all exact inputs have no effective degrees of freedom', () => {
    expect(combine({ sensitivities: [3, 4], uncertainties: [1, 1], degreesOfFreedom: [null, null] })).toEqual({
      combined: 5,
      expanded: 10,
    });
    expect(combine({ sensitivities: [3, 4], uncertainties: [1, 1], coverage: 3 }).expanded).toBe(15);
  });

  test('full correlation adds plainly, opposite correlation cancels', () => {
    const both = { sensitivities: [1, -1], uncertainties: [0.3, 0.3] };
    expect(
      combine({
        ...both,
        correlations: [
          [1, 1],
          [1, 1],
        ],
      }),
    ).toEqual({ combined: 0, expanded: 0 });
    expect(
      combine({
        ...both,
        correlations: [
          [1, -1],
          [-1, 1],
        ],
        degreesOfFreedom: [5, 5],
      }),
    ).toEqual({
      combined: 0.6,
      expanded: 1.2,
    });
    expect(
      combine({
        ...both,
        correlations: [
          [1, 0],
          [0, 1],
        ],
      }).combined,
    ).toBeCloseTo(0.3 * Math.SQRT2, 15);
    expect(
      correlatedSigma(
        [3, 4],
        [
          [1, 0.5],
          [0.5, 1],
        ],
      ),
    ).toBeCloseTo(Math.sqrt(9 + 16 + 12), 14);
  });

  test('what cannot be combined is refused by name', () => {
    expect(refused(() => combine({ sensitivities: [], uncertainties: [] }))).toBe('insufficient_data sensitivities');
    expect(refused(() => combine({ sensitivities: [1], uncertainties: [1, 2] }))).toBe('inconsistent uncertainties');
    expect(refused(() => combine({ sensitivities: [1, 1], uncertainties: [1, -2] }))).toBe('negative uncertainties[2]');
    const one = { sensitivities: [1], uncertainties: [1] };
    expect(refused(() => combine({ ...one, degreesOfFreedom: [1, 2] }))).toBe('inconsistent degreesOfFreedom');
    expect(refused(() => combine({ ...one, degreesOfFreedom: [0] }))).toBe('non_positive degreesOfFreedom[1]');
    expect(refused(() => combine({ ...one, coverage: 0 }))).toBe('non_positive coverage');
    const two = [1, 1];
    expect(refused(() => correlatedSigma(two, [[1]]))).toBe('inconsistent correlations');
    expect(refused(() => correlatedSigma(two, [[1, 0], [0]]))).toBe('inconsistent correlations[2]');
    expect(
      refusal(() =>
        correlatedSigma(two, [
          [1, 2],
          [2, 1],
        ]),
      ).message,
    ).toContain('from -1 to 1');
    expect(
      refusal(() =>
        correlatedSigma(two, [
          [1, 0.2],
          [0.3, 1],
        ]),
      ).message,
    ).toContain('both halves');
    const impossible = [
      [1, -1, -1],
      [-1, 1, -1],
      [-1, -1, 1],
    ];
    expect(refusal(() => correlatedSigma([1, 1, 1], impossible)).message).toContain('a table that errors can have');
  });
});

describe('propagation', () => {
  const crank = { strokeMm: 54, rodLengthMm: 110, offsetMm: 0.6 };

  test('a straight formula is carried exactly, whatever the step', () => {
    fc.assert(
      fc.property(finite(-3, 3), finite(-3, 3), finite(0.01, 5), finite(0.01, 5), (a, b, ua, ub) => {
        const value = propagate(([x = 0, y = 0]) => a * x + b * y, [input('x', 1, ua), input('y', 2, ub)]);
        expect(value.sigma).toBeCloseTo(Math.hypot(a * ua, b * ub), 9);
        expect(value.value).toBeCloseTo(a + 2 * b, 9);
      }),
    );
  });

  test('agrees with derivatives written out by hand', () => {
    const sizes = { boreMm: 54, strokeMm: 54, clearanceVolumeCc: 9.6 };
    const known = ratioWithUncertainty({ ...sizes, uBoreMm: 0.005, uStrokeMm: 0.02, uClearanceCc: 0.06 });
    const carried = propagate(
      ([bore = 0, stroke = 0, volume = 0]) => 1 + (Math.PI * bore ** 2 * stroke) / 4000 / volume,
      [input('bore', 54, 0.005), input('stroke', 54, 0.02), input('volume', 9.6, 0.06)],
    );
    expect(carried.sigma).toBeCloseTo(known.standardUncertainty, 5);
    const depth = propagate(([angle = 0]) => depthAt(crankFrom(crank), angle), [input('angle', 84, 0.02)]);
    expect(depth.sigma).toBeCloseTo(depthWithUncertainty(crank, 84, 0.02).standardUncertaintyMm, 8);
  });

  test('keeps names, routes, signs and degrees of freedom, and exact inputs at nothing', () => {
    const value = propagate(
      ([x = 0, y = 0, z = 0]) => 2 * x - y + z,
      [input('x', 1, 0.1, 4), input('y', 1, 0.3), input('z', 5, 0)],
    );
    expect(value.contributions.map(({ from, route }) => [from, route])).toEqual([
      ['x', 'instrument'],
      ['y', 'instrument'],
      ['z', 'instrument'],
    ]);
    expect(value.contributions.map(({ effect }) => effect)).toEqual([
      expect.closeTo(0.2, 12),
      expect.closeTo(-0.3, 12),
      0,
    ]);
    expect(value.degreesOfFreedom).toBeCloseTo(value.sigma ** 4 / (0.2 ** 4 / 4), 9);
  });

  test('a wheel reading is carried across 360', () => {
    const value = propagate(([x = 0]) => ((x % 360) + 360) % 360, [input('x', 0, 0.2)], { period: 360 });
    expect(value.sigma).toBeCloseTo(0.2, 9);
  });

  test('at a border the side that is possible is taken', () => {
    const open = (depth: number) => eventsFromDepth(crank, depth).openAtdcDeg;
    const atTop = propagate(([x = 0]) => open(x), [input('depth', 0.05, 0.06)]);
    expect(atTop.sigma).toBeCloseTo(open(0.11) - open(0.05), 9);
    const atBottom = propagate(([x = 0]) => open(x), [input('depth', 53.97, 0.06)]);
    expect(atBottom.sigma).toBeCloseTo(open(53.97) - open(53.91), 9);
    expect(refused(() => propagate(([x = 0]) => open(x), [input('depth', 27, 60)]))).toBe('out_of_range depth');
  });

  test('a fault of the formula itself is not hidden', () => {
    expect(() =>
      propagate(
        ([x = 0]) => {
          if (x > 1) throw new TypeError('broken');
          return x;
        },
        [input('x', 1, 0.1)],
      ),
    ).toThrow(TypeError);
  });

  test('correlated inputs follow the correlated law', () => {
    const inputs = [input('a', 1, 0.1, 5), input('b', 2, 0.1, 5)];
    const difference = ([a = 0, b = 0]: readonly number[]) => b - a;
    const shared = propagate(difference, inputs, {
      correlations: [
        [1, 1],
        [1, 1],
      ],
    });
    expect(shared.sigma).toBeCloseTo(0, 12);
    expect(shared.degreesOfFreedom).toBeNull();
    expect(propagate(difference, inputs).sigma).toBeCloseTo(0.1 * Math.SQRT2, 9);
    expect(refused(() => propagate(difference, inputs, { correlations: [[1]] }))).toBe('inconsistent correlations');
    expect(refused(() => propagate(difference, [input('a', 1, -1)]))).toBe('negative a uncertainty');
    expect(refused(() => propagate(difference, [input('a', Number.NaN, 1)]))).toBe('missing a');
  });
});
