import fc from 'fast-check';
import { expect, test } from 'vitest';
import { bestPlacing, type PlacedFigure } from '../../../core/mockup/barrel-moves.ts';
import { refusal } from '../../support/refusal.ts';

const read = (cylinder: number, barrelId: string, value: number): PlacedFigure => ({ cylinder, barrelId, value });

test('a tall barrel goes on the low cylinder', () => {
  // Cylinder 2 sits 0.10 higher, barrel B is 0.08 taller: on the same cylinder they add up.
  const moves = bestPlacing([read(0, 'A', 1), read(1, 'A', 1.1), read(1, 'B', 1.18)]);
  expect(moves?.best.barrelIds).toEqual(['B', 'A']);
  expect(moves?.best.values).toEqual([expect.closeTo(1.08, 9), expect.closeTo(1.1, 9)]);
  expect(moves?.best.spread).toBeCloseTo(0.02, 9);
  expect(moves?.best.readCount).toBe(1);
  expect(moves?.asItStands?.spread).toBeCloseTo(0.18, 9);
});

test('each barrel read on its own cylinder only tells nothing about a swap', () => {
  expect(bestPlacing([read(0, 'A', 1), read(1, 'B', 1.2)])).toBeNull();
  expect(bestPlacing([read(0, 'A', 1)])).toBeNull();
  expect(bestPlacing([])).toBeNull();
});

test('of more barrels than cylinders the best are taken', () => {
  const moves = bestPlacing([read(0, 'A', 1), read(1, 'A', 1), read(0, 'B', 1.3), read(0, 'C', 1.01)]);
  expect(new Set(moves?.best.barrelIds)).toEqual(new Set(['A', 'C']));
});

test('more than eight barrels are refused', () => {
  const many = Array.from({ length: 9 }, (_, index) => read(0, String(index), 1));
  expect(refusal(() => bestPlacing([...many, read(1, '0', 1)])).code).toBe('out_of_range');
});

test('law: with every place read the placing is no worse than any other, and no value is made up', () => {
  const size = fc.integer({ min: 2, max: 4 });
  fc.assert(
    fc.property(
      size.chain((n) =>
        fc.tuple(fc.constant(n), fc.array(fc.integer({ min: 0, max: 100 }), { minLength: n * n, maxLength: n * n })),
      ),
      ([n, values]) => {
        const at = (cylinder: number, barrel: number) => (values[cylinder * n + barrel] as number) / 100;
        const figures: PlacedFigure[] = [];
        for (let c = 0; c < n; c++) for (let b = 0; b < n; b++) figures.push(read(c, String(b), at(c, b)));
        const best = bestPlacing(figures)?.best;
        expect(best?.readCount).toBe(n);
        expect(new Set(best?.barrelIds).size).toBe(n);
        for (const [cylinder, value] of (best?.values ?? []).entries()) {
          expect(value).toBeCloseTo(at(cylinder, Number(best?.barrelIds[cylinder])), 12);
        }
        for (let shift = 0; shift < n; shift++) {
          const other = Array.from({ length: n }, (_, cylinder) => at(cylinder, (cylinder + shift) % n));
          expect(best?.spread ?? Number.NaN).toBeLessThanOrEqual(Math.max(...other) - Math.min(...other) + 1e-9);
        }
      },
    ),
    { seed: 11, numRuns: 100 },
  );
});

test('law: parts that add up are found from a linked table, and the swap they promise is kept', () => {
  const part = fc.integer({ min: -50, max: 50 });
  fc.assert(
    fc.property(fc.tuple(part, part, part), fc.tuple(part, part, part), (cylinders, barrels) => {
      const at = (c: number, b: number) => ((cylinders[c] as number) + (barrels[b] as number)) / 100;
      // A chain of five readings links three cylinders and three barrels.
      const chain = [
        [0, 0],
        [1, 0],
        [1, 1],
        [2, 1],
        [2, 2],
      ] as const;
      const best = bestPlacing(chain.map(([c, b]) => read(c, String(b), at(c, b))))?.best;
      for (const [c, value] of (best?.values ?? []).entries()) {
        expect(value).toBeCloseTo(at(c, Number(best?.barrelIds[c])), 6);
      }
      expect(best).toBeDefined();
    }),
    { seed: 12, numRuns: 100 },
  );
});
