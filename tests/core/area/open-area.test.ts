import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { openingCourse, portOpening } from '../../../core/area/open-area.ts';
import { portTimeArea, skirtTimeArea } from '../../../core/area/time-area.ts';
import { crankFrom } from '../../../core/crank/geometry.ts';
import { refused } from '../../support/refusal.ts';

const geometry = { strokeMm: 54.5, rodLengthMm: 110, offsetMm: 0.6 };
const crank = crankFrom(geometry);
const window = { widthMm: 36, heightMm: 24, radiusTopMm: 7, radiusBottomMm: 6 };

describe('the opening of a port over a turn', () => {
  test('law: never less than nothing, never more than all windows; shut outside its edges', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('crown' as const, 'skirt' as const),
        fc.double({ min: 5, max: 50, noNaN: true }),
        fc.double({ min: 0, max: 360, noNaN: true }),
        fc.integer({ min: 1, max: 4 }),
        (control, edgeDepthMm, crankDeg, windowCount) => {
          const opening = portOpening(crank, { control, edgeDepthMm, window, windowCount });
          const area = opening.areaAt(crankDeg);
          expect(area).toBeGreaterThanOrEqual(0);
          expect(area).toBeLessThanOrEqual(opening.fullAreaMm2 + 1e-9);
          const isInside =
            control === 'crown'
              ? crankDeg > opening.opensDeg && crankDeg < opening.closesDeg
              : crankDeg < opening.closesDeg || crankDeg > opening.opensDeg;
          if (!isInside) expect(area).toBeCloseTo(0, 6);
          expect(opening.areaAt(crankDeg + 360)).toBeCloseTo(area, 6);
        },
      ),
      { seed: 3, numRuns: 200 },
    );
  });

  test.each([
    ['crown' as const, 27],
    ['skirt' as const, 16],
  ])('its sum over a turn is the angle-area that is integrated elsewhere: %s', (control, edgeDepthMm) => {
    const opening = portOpening(crank, { control, edgeDepthMm, window, windowCount: 2 });
    const stepDeg = 0.01;
    let sum = 0;
    for (let step = 0; step < 36_000; step += 1) sum += opening.areaAt((step + 0.5) * stepDeg) * stepDeg;
    const common = { geometry, window, boreMm: 53.6, speedRpm: 11_000, count: 2 };
    const integrated =
      control === 'crown'
        ? portTimeArea({ ...common, roofDepthMm: edgeDepthMm })
        : skirtTimeArea({ ...common, skirtDepthMm: edgeDepthMm });
    expect(sum / integrated.angleAreaDegMm2).toBeCloseTo(1, 5);
  });

  test('the course starts and ends at TDC and has the edges among its points', () => {
    const opening = portOpening(crank, { control: 'crown', edgeDepthMm: 27, window });
    const course = openingCourse(opening, 1);
    expect(course[0]).toEqual({ crankDeg: 0, areaMm2: 0 });
    expect(course.at(-1)?.crankDeg).toBe(360);
    expect(course.map(({ crankDeg }) => crankDeg)).toContain(opening.opensDeg);
    expect(course.map(({ crankDeg }) => crankDeg)).toContain(opening.closesDeg);
    expect(course).toHaveLength(363);
  });

  test('an edge outside the travel is refused', () => {
    expect(refused(() => portOpening(crank, { control: 'crown', edgeDepthMm: 60, window }))).toBe(
      'out_of_range edgeDepthMm',
    );
  });
});
