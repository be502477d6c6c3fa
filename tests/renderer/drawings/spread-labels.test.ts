import fc from 'fast-check';
import { expect, it } from 'vitest';
import { spreadLabels } from '../../../renderer/drawings/spread-labels.ts';

it('labels that have room stay where they are', () => {
  expect(spreadLabels([10, 30, 50], 8, 0, 100)).toEqual([10, 30, 50]);
});

it('labels keep their order, their distance and the column, as long as they fit into it', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: -20, max: 140, noNaN: true }), { maxLength: 12 }), (positions) => {
      const wanted = [...positions].sort((a, b) => a - b);
      const placed = spreadLabels(wanted, 8, 0, 100);
      expect(placed).toHaveLength(wanted.length);
      for (const [index, place] of placed.entries()) {
        expect(place).toBeGreaterThanOrEqual(-1e-9);
        expect(place).toBeLessThanOrEqual(100 + 1e-9);
        if (index > 0) expect(place - (placed[index - 1] ?? 0)).toBeGreaterThanOrEqual(8 - 1e-9);
      }
    }),
  );
});
