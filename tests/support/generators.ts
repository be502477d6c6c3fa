import fc from 'fast-check';
import type { WindowShape } from '../../core/area/window.ts';
import type { CrankGeometry } from '../../core/crank/geometry.ts';

const finite = (min: number, max: number): fc.Arbitrary<number> =>
  fc.double({ min, max, noNaN: true, noDefaultInfinity: true });

export { finite };

/** Cranks from a small model engine to a large single, offset either way. */
export const crankGeometries: fc.Arbitrary<CrankGeometry> = fc
  .record({ strokeMm: finite(20, 100), rodInStrokes: finite(1.5, 2.6), offsetMm: finite(-4, 4) })
  .map(({ strokeMm, rodInStrokes, offsetMm }) => ({ strokeMm, rodLengthMm: strokeMm * rodInStrokes, offsetMm }));

export const straightCranks: fc.Arbitrary<CrankGeometry> = crankGeometries.map(({ strokeMm, rodLengthMm }) => ({
  strokeMm,
  rodLengthMm,
}));

/** Windows with rounded corners or a sloping roof, any size that fits together. */
export const windowShapes: fc.Arbitrary<WindowShape> = fc
  .record({
    widthMm: finite(2, 60),
    heightMm: finite(2, 40),
    top: finite(0, 1),
    split: finite(0, 1),
    drop: finite(0, 1),
    isSloped: fc.boolean(),
  })
  .map(({ widthMm, heightMm, top, split, drop, isSloped }) => {
    if (isSloped) return { widthMm, heightMm, roofDropMm: drop * heightMm };
    const largest = Math.min(widthMm / 2, heightMm * split);
    const rest = Math.min(widthMm / 2, heightMm * (1 - split));
    return { widthMm, heightMm, radiusTopMm: top * largest, radiusBottomMm: drop * rest };
  });

export const angles: fc.Arbitrary<number> = finite(0, 359.999_999);
