import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../../core/errors.ts';
import { searchShift } from '../../../core/uncertainty/shift-search.ts';

const row = (valueDeg: number, ...design: number[]) => ({ valueDeg, sigmaDeg: 0.25, design });
const column = (...numbers: number[]) => numbers;

describe('searching for a shift', () => {
  test('a step of one degree in six readings of one place: its size, its odds, and nothing left', () => {
    const rows = [0, 0, 0, 1, 1, 1].map((value) => row(value, 1));
    const { fits, leftDeg } = searchShift(
      rows,
      [
        { key: 'step', column: column(0, 0, 0, 1, 1, 1), among: 5 },
        { key: 'late', column: column(0, 0, 0, 0, 0, 1), among: 5 },
      ],
      3,
    );
    expect(fits.map(({ key }) => key)).toEqual(['step', 'late']);
    expect(fits[0]?.sizeDeg).toBeCloseTo(1, 12);
    expect(fits[0]?.leftDeg).toBeCloseTo(0, 6);
    // Squares without a shift: 6 × 0.5² / 0.25² = 24 with 5 spare; ln odds = 4 ln(1 + 24/3) − ln 5.
    expect(fits[0]?.logOdds).toBeCloseTo(4 * Math.log(9) - Math.log(5), 9);
    expect(leftDeg).toBeCloseTo(0.25 * Math.sqrt(24 / 5), 9);
    // The last reading alone, 0.6 above the mean of the others: 0.48 of 1.5 square degrees, 1.2 are left with 4 spare.
    expect(fits[1]?.sizeDeg).toBeCloseTo(0.6, 12);
    expect(fits[1]?.logOdds).toBeCloseTo(4 * Math.log(9) - 3.5 * Math.log(1 + 19.2 / 3) - Math.log(5), 9);
  });

  test('a shift that the model takes up itself has no size and no odds', () => {
    const rows = [row(0, 1, 1), row(0.3, 1, 1), row(2, 1, 0), row(2.2, 1, 0)];
    const { fits } = searchShift(rows, [{ key: 'second pair', column: column(0, 0, 1, 1), among: 1 }], 3);
    expect(fits).toEqual([
      { key: 'second pair', sizeDeg: null, logOdds: 0, rawLogOdds: 0, leftDeg: expect.closeTo(0.18, 1) },
    ]);
  });

  test('as many unknowns as readings leave nothing to say', () => {
    const { fits, leftDeg } = searchShift([row(0, 1, 0), row(5, 0, 1)], [{ key: 'a', column: [0, 1], among: 1 }], 3);
    expect(leftDeg).toBeNull();
    expect(fits).toEqual([{ key: 'a', sizeDeg: null, logOdds: 0, rawLogOdds: 0, leftDeg: null }]);
  });

  test('a column that says the same as another changes nothing', () => {
    const values = [0.1, -0.2, 0.9, 1.1];
    const hypotheses = [{ key: 'step', column: column(0, 0, 1, 1), among: 3 }];
    const once = searchShift(
      values.map((value) => row(value, 1)),
      hypotheses,
      3,
    );
    const twice = searchShift(
      values.map((value) => row(value, 1, 2)),
      hypotheses,
      3,
    );
    expect(twice.fits[0]?.logOdds).toBeCloseTo(once.fits[0]?.logOdds ?? Number.NaN, 9);
  });

  test('refuses a reading without an uncertainty and a prior that is worth nothing', () => {
    const refused = (act: () => unknown): string => {
      try {
        act();
      } catch (error) {
        if (error instanceof InputError) return `${error.code} ${error.field}`;
      }
      return 'not refused';
    };
    expect(refused(() => searchShift([{ valueDeg: 0, sigmaDeg: 0, design: [1] }], [], 3))).toBe(
      'non_positive sigmaDeg',
    );
    expect(refused(() => searchShift([row(0, 1)], [], 0))).toBe('non_positive priorDegreesOfFreedom');
  });

  test('law: a constant added to all readings changes neither size nor odds; a planted shift comes back whole', () => {
    const values = fc.array(fc.double({ min: -0.4, max: 0.4, noNaN: true }), { minLength: 6, maxLength: 20 });
    fc.assert(
      fc.property(
        values,
        fc.double({ min: -170, max: 170, noNaN: true }),
        fc.double({ min: -9, max: 9, noNaN: true }),
        (noise, added, planted) => {
          const at = Math.floor(noise.length / 2);
          const step = noise.map((_, index) => (index >= at ? 1 : 0));
          const search = (shift: number, constant: number) =>
            searchShift(
              noise.map((value, index) => row(value + constant + shift * (step[index] ?? 0), 1)),
              [{ key: 'step', column: step, among: 1 }],
              3,
            ).fits[0];
          const bare = search(0, 0);
          const moved = search(planted, added);
          expect(moved?.sizeDeg).toBeCloseTo((bare?.sizeDeg ?? Number.NaN) + planted, 8);
          expect(moved?.leftDeg).toBeCloseTo(bare?.leftDeg ?? Number.NaN, 6);
          expect(search(planted, 0)?.logOdds).toBeCloseTo(moved?.logOdds ?? Number.NaN, 6);
        },
      ),
      { seed: 5, numRuns: 200 },
    );
  });
});
