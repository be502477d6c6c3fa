import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  areaLawFromFloor,
  areaLawFromOutline,
  areaLawFromRoof,
  openAreaBy,
  portOpenArea,
  type WindowShape,
} from '../../../core/area/window.ts';
import { finite, windowShapes } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

/** Width of the window at a depth below its roof, drawn straight from the shape. */
function widthAt(shape: WindowShape, t: number): number {
  const { widthMm, heightMm, radiusTopMm: top = 0, radiusBottomMm: bottom = 0, roofDropMm: drop = 0 } = shape;
  if (drop > 0) return t < drop ? (widthMm * t) / drop : widthMm;
  const cut = (radius: number, from: number) =>
    from < radius ? radius - Math.sqrt(Math.max(0, radius ** 2 - (radius - from) ** 2)) : 0;
  return widthMm - 2 * cut(top, t) - 2 * cut(bottom, heightMm - t);
}

describe('open area', () => {
  test('grows with every millimetre and never beyond the whole window', () => {
    fc.assert(
      fc.property(windowShapes, finite(0, 1), finite(0, 0.5), (shape, part, more) => {
        const here = portOpenArea(shape, part * shape.heightMm);
        const further = portOpenArea(shape, (part + more) * shape.heightMm);
        expect(here.areaMm2).toBeGreaterThanOrEqual(0);
        expect(further.areaMm2).toBeGreaterThanOrEqual(here.areaMm2 - 1e-9);
        expect(further.areaMm2).toBeLessThanOrEqual(here.fullAreaMm2 + 1e-9);
        expect(here.fullAreaMm2).toBeLessThanOrEqual(shape.widthMm * shape.heightMm + 1e-9);
      }),
    );
  });

  test('is the sum of strips as wide as the window', () => {
    fc.assert(
      fc.property(windowShapes, finite(0.05, 1), (shape, part) => {
        const depth = part * shape.heightMm;
        const strips = 4000;
        let sum = 0;
        for (let strip = 0; strip < strips; strip++) sum += widthAt(shape, (depth * (strip + 0.5)) / strips);
        const { areaMm2, fullAreaMm2 } = portOpenArea(shape, depth);
        expect(Math.abs(areaMm2 - (sum * depth) / strips)).toBeLessThan(1e-4 * fullAreaMm2);
      }),
      { numRuns: 60 },
    );
  });

  test('a round window is a circle, half open at its middle', () => {
    const round = { widthMm: 20, heightMm: 20, radiusTopMm: 10, radiusBottomMm: 10 };
    expect(portOpenArea(round, 10).areaMm2).toBeCloseTo(50 * Math.PI, 9);
    expect(portOpenArea(round, 20).areaMm2).toBeCloseTo(100 * Math.PI, 9);
    expect(portOpenArea(round, 3).areaMm2).toBeCloseTo(100 * Math.acos(0.7) - 7 * Math.sqrt(51), 9);
  });

  test('laws join without a step', () => {
    fc.assert(
      fc.property(windowShapes, (shape) => {
        const law = areaLawFromRoof(shape);
        for (const { fromMm, toMm } of law.pieces) {
          expect(toMm).toBeGreaterThan(fromMm);
          for (const joint of [fromMm, toMm]) {
            const [below, above] = [-1e-7, 1e-7].map((by) => openAreaBy(law, joint + by)) as [number, number];
            expect(Math.abs(above - below)).toBeLessThan(1e-3);
          }
        }
        expect(law.pieces[0]?.fromMm).toBe(0);
        expect(law.pieces.at(-1)?.toMm).toBeCloseTo(law.heightMm, 9);
        expect(openAreaBy(law, 0)).toBe(0);
        expect(openAreaBy(law, -1)).toBe(0);
        expect(openAreaBy(law, law.heightMm)).toBe(law.fullAreaMm2);
        expect(law.areaAt(law.heightMm)).toBeCloseTo(law.fullAreaMm2, 6);
      }),
    );
  });

  test('from its floor a window is the same one upside down', () => {
    fc.assert(
      fc.property(windowShapes, finite(0, 1), (shape, part) => {
        if ((shape.roofDropMm ?? 0) > 0) return;
        const down = areaLawFromRoof(shape);
        const up = areaLawFromFloor(shape);
        const t = part * shape.heightMm;
        expect(openAreaBy(up, t)).toBeCloseTo(down.fullAreaMm2 - openAreaBy(down, shape.heightMm - t), 6);
      }),
    );
  });

  test('pieces say where the area starts or ends like a root', () => {
    const law = areaLawFromRoof({ widthMm: 38, heightMm: 26, radiusTopMm: 8, radiusBottomMm: 6 });
    expect(law.pieces).toEqual([
      { fromMm: 0, toMm: 8, root: 'start' },
      { fromMm: 8, toMm: 20, root: 'none' },
      { fromMm: 20, toMm: 26, root: 'end' },
    ]);
    expect(areaLawFromRoof({ widthMm: 38, heightMm: 26 }).pieces).toEqual([{ fromMm: 0, toMm: 26, root: 'none' }]);
    expect(areaLawFromRoof({ widthMm: 20, heightMm: 12, roofDropMm: 12 }).pieces).toEqual([
      { fromMm: 0, toMm: 12, root: 'none' },
    ]);
    expect(areaLawFromRoof({ widthMm: 20, heightMm: 12, roofDropMm: 2 }).pieces).toEqual([
      { fromMm: 0, toMm: 2, root: 'none' },
      { fromMm: 2, toMm: 12, root: 'none' },
    ]);
  });

  test('sizes that do not fit together are refused by name', () => {
    const sizes = { widthMm: 20, heightMm: 10 };
    const law = (rest: Partial<WindowShape>) => () => areaLawFromRoof({ ...sizes, ...rest });
    for (const field of ['widthMm', 'heightMm', 'radiusTopMm', 'radiusBottomMm', 'roofDropMm']) {
      expect(refused(law({ [field]: Number.NaN }))).toBe(`missing ${field}`);
    }
    expect(refused(law({ widthMm: 0 }))).toBe('non_positive widthMm');
    expect(refused(law({ heightMm: 0 }))).toBe('non_positive heightMm');
    expect(refused(law({ radiusTopMm: -1 }))).toBe('negative radiusTopMm');
    expect(refused(law({ radiusBottomMm: -1 }))).toBe('negative radiusBottomMm');
    expect(refused(law({ roofDropMm: -1 }))).toBe('negative roofDropMm');
    expect(refused(law({ widthMm: 6, radiusTopMm: 3.1 }))).toBe('inconsistent radiusTopMm');
    expect(refused(law({ widthMm: 6, radiusBottomMm: 3.1 }))).toBe('inconsistent radiusBottomMm');
    expect(refused(law({ radiusTopMm: 5, radiusBottomMm: 5.1 }))).toBe('inconsistent radiusTopMm');
    expect(refused(law({ roofDropMm: 10.1 }))).toBe('inconsistent roofDropMm');
    expect(refused(law({ roofDropMm: 1, radiusTopMm: 1 }))).toBe('inconsistent roofDropMm');
    expect(refused(law({ roofDropMm: 1, radiusBottomMm: 1 }))).toBe('inconsistent roofDropMm');
    expect(refused(() => areaLawFromFloor({ ...sizes, roofDropMm: 1 }))).toBe('inconsistent roofDropMm');
    expect(refused(() => portOpenArea(sizes, -1))).toBe('negative uncoveredMm');
    const slack = { widthMm: 6, heightMm: 6, radiusTopMm: 3 + 4e-10, radiusBottomMm: 3 + 4e-10 };
    expect(areaLawFromRoof(slack).fullAreaMm2).toBeCloseTo(9 * Math.PI, 6);
    const messages = [
      law({ widthMm: 6, radiusTopMm: 4 }),
      law({ widthMm: 6, radiusBottomMm: 4 }),
      law({ radiusTopMm: 6, radiusBottomMm: 6 }),
      law({ roofDropMm: 11 }),
      law({ roofDropMm: 1, radiusTopMm: 1 }),
      () => areaLawFromFloor({ ...sizes, roofDropMm: 1 }),
    ].map((call) => refusal(call).message);
    expect(messages).toMatchSnapshot();
  });
});

describe('a traced outline', () => {
  test('of a trapezium has the area of the trapezium', () => {
    const law = areaLawFromOutline({
      points: [
        { fromEdgeMm: 0, widthMm: 10 },
        { fromEdgeMm: 4, widthMm: 18 },
        { fromEdgeMm: 10, widthMm: 18 },
      ],
    });
    expect(law.fullAreaMm2).toBe(56 + 108);
    expect(openAreaBy(law, 2)).toBeCloseTo(24, 12);
    expect(openAreaBy(law, 4)).toBe(56);
    expect(openAreaBy(law, 5)).toBeCloseTo(74, 12);
    expect(openAreaBy(law, 0)).toBe(0);
    expect(law.areaAt(0)).toBe(0);
    const lateSlope = areaLawFromOutline({
      points: [
        { fromEdgeMm: 0, widthMm: 10 },
        { fromEdgeMm: 4, widthMm: 10 },
        { fromEdgeMm: 8, widthMm: 2 },
      ],
    });
    expect(openAreaBy(lateSlope, 6)).toBeCloseTo(40 + 16, 12);
    expect(law.heightMm).toBe(10);
    expect(law.pieces).toEqual([
      { fromMm: 0, toMm: 4, root: 'none' },
      { fromMm: 4, toMm: 10, root: 'none' },
    ]);
  });

  test('drawn finely enough is the window it was traced from', () => {
    const shape = { widthMm: 30, heightMm: 20, radiusTopMm: 6, radiusBottomMm: 4 };
    const points = Array.from({ length: 2001 }, (_, index) => ({
      fromEdgeMm: index / 100,
      widthMm: widthAt(shape, index / 100),
    }));
    const traced = areaLawFromOutline({ points });
    const drawn = areaLawFromRoof(shape);
    for (const t of [0.5, 3, 10, 18, 20])
      expect(Math.abs(openAreaBy(traced, t) - openAreaBy(drawn, t))).toBeLessThan(0.02);
  });

  test('needs two points in order and some width', () => {
    const traced =
      (...points: [number, number][]) =>
      () =>
        areaLawFromOutline({ points: points.map(([fromEdgeMm, widthMm]) => ({ fromEdgeMm, widthMm })) });
    expect(refused(traced([0, 1]))).toBe('insufficient_data points');
    expect(refused(traced([1, 1], [2, 1]))).toBe('inconsistent fromEdgeMm');
    expect(refused(traced([0, 1], [0, 1]))).toBe('inconsistent fromEdgeMm');
    expect(refused(traced([0, 1], [-1, 1]))).toBe('negative fromEdgeMm');
    expect(refused(traced([0, 1], [1, -1]))).toBe('negative widthMm');
    expect(refused(traced([0, 0], [1, 0]))).toBe('non_positive fullAreaMm2');
    expect(refusal(traced([0, 1])).message).toBe(
      'Points is 1; it must be at least 2 points: trace the window from edge to edge.',
    );
    expect(refusal(traced([1, 1], [2, 1])).message).toContain('0 mm at the first point: sort point 1 into its place.');
    expect(refusal(traced([0, 1], [3, 1], [2, 1])).message).toContain(
      'greater than 3 mm: sort point 3 into its place.',
    );
  });
});
