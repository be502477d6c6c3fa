import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { blowdownAngleArea, crownAngleArea, skirtAngleArea } from '../../../core/area/angle-area.ts';
import { portTimeArea, projectedArea, skirtTimeArea, timeAreaFrom } from '../../../core/area/time-area.ts';
import { areaLawFromFloor, areaLawFromOutline, areaLawFromRoof, openAreaBy } from '../../../core/area/window.ts';
import { anglesAtDepth, type Crank, crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import { gaussRule, integral, integralFromRoot } from '../../../core/numerics/quadrature.ts';
import { eventsFromDepth } from '../../../core/ports/edge-height.ts';
import { crankGeometries, finite, windowShapes } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

/** Midpoint sum of the open area between two crank angles: a second road to the integral. */
function summed(area: (atdcDeg: number) => number, fromDeg: number, toDeg: number, steps = 100_000): number {
  const step = (toDeg - fromDeg) / steps;
  let sum = 0;
  for (let index = 0; index < steps; index++) sum += area(fromDeg + (index + 0.5) * step);
  return sum * step;
}

const rule = gaussRule(20);

/** Gauss-Legendre on intervals that shrink geometrically towards both ends, so that a root there does no harm. */
function graded(f: (t: number) => number, from: number, to: number): number {
  const cuts = Array.from({ length: 45 }, (_, level) => 0.5 * 0.45 ** level);
  const knots = [0, ...cuts.toReversed(), ...cuts.slice(1).map((cut) => 1 - cut), 1].map(
    (part) => from + (to - from) * part,
  );
  let sum = 0;
  for (const [index, start] of knots.slice(0, -1).entries()) {
    const half = ((knots[index + 1] as number) - start) / 2;
    for (const [place, node] of rule.nodes.entries())
      sum += half * (rule.weights[place] as number) * f(start + half * (1 + node));
  }
  return sum;
}

/** A second road without any sum over the angle: each strip of the window counts for as long as its height is open. */
function byStrips(crank: Crank, widthAt: (t: number) => number, knots: readonly number[], roofDepth: number): number {
  const end = crank.travelMm - roofDepth;
  const openFor = (t: number): number => {
    const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, roofDepth + t);
    return 360 - downAtdcDeg - upBtdcDeg;
  };
  return knots.slice(0, -1).reduce((sum, from, index) => {
    const to = Math.min(knots[index + 1] as number, end);
    return from >= end ? sum : sum + graded((t) => widthAt(t) * openFor(t), from, to);
  }, 0);
}

const relative = (a: number, b: number): number => Math.abs(a / b - 1);

describe('angle-area', () => {
  test('agrees with a sum over the turn, for every crank and window', () => {
    fc.assert(
      fc.property(crankGeometries, windowShapes, finite(0.2, 0.95), (geometry, shape, part) => {
        const crank = crankFrom(geometry);
        const roof = part * crank.travelMm;
        const law = areaLawFromRoof(shape);
        const sum = summed((angle) => openAreaBy(law, depthAt(crank, angle) - roof), 0, 360, 40_000);
        expect(relative(crownAngleArea(crank, law, roof), sum)).toBeLessThan(2e-5);
      }),
      { numRuns: 40 },
    );
  });

  test('is right to 1e-9: a sum over the turn creeps up on it as its step shrinks', () => {
    // Square corners make the area a straight function of the depth, whose sum converges fast and can be extrapolated.
    const crank = crankFrom({ strokeMm: 54, rodLengthMm: 110, offsetMm: 0.7 });
    const law = areaLawFromRoof({ widthMm: 38, heightMm: 40 });
    const { openAtdcDeg, durationDeg } = eventsFromDepth({ strokeMm: 54, rodLengthMm: 110, offsetMm: 0.7 }, 26);
    const area = (angle: number) => openAreaBy(law, depthAt(crank, angle) - 26);
    const coarse = summed(area, openAtdcDeg, openAtdcDeg + durationDeg, 20_000);
    const fine = summed(area, openAtdcDeg, openAtdcDeg + durationDeg, 40_000);
    expect(relative(crownAngleArea(crank, law, 26), fine + (fine - coarse) / 3)).toBeLessThan(1e-9);
  });

  test('is right to 1e-9 for every rounded window: its strips, each open for its own duration, give the same', () => {
    const [width, height, top, bottom] = [38, 26, 8, 6];
    const cut = (radius: number, from: number) =>
      from < radius ? radius - Math.sqrt(Math.max(0, from * (2 * radius - from))) : 0;
    const widthAt = (t: number): number => width - 2 * cut(top, t) - 2 * cut(bottom, height - t);
    const law = areaLawFromRoof({ widthMm: width, heightMm: height, radiusTopMm: top, radiusBottomMm: bottom });
    for (const offsetMm of [0, -0.9, 2]) {
      const crank = crankFrom({ strokeMm: 54, rodLengthMm: 110, offsetMm });
      // A floor that just reaches, or just misses, the crown at BDC is the hardest.
      const atFloor = crank.travelMm - height;
      for (const roof of [5, 25.75, ...[-1e-3, -1e-6, 0, 1e-6, 1e-3].map((by) => atFloor + by), 30, 40, 53.9]) {
        const strips = byStrips(crank, widthAt, [0, top, height - bottom, height], roof);
        expect(relative(crownAngleArea(crank, law, roof), strips)).toBeLessThan(1e-9);
      }
    }
  });

  test('a traced outline of a plain window has the angle-area of the window', () => {
    const crank = crankFrom({ strokeMm: 54, rodLengthMm: 110 });
    const traced = areaLawFromOutline({
      points: [
        { fromEdgeMm: 0, widthMm: 20 },
        { fromEdgeMm: 5, widthMm: 20 },
        { fromEdgeMm: 12, widthMm: 20 },
      ],
    });
    const drawn = areaLawFromRoof({ widthMm: 20, heightMm: 12 });
    expect(relative(crownAngleArea(crank, traced, 40), crownAngleArea(crank, drawn, 40))).toBeLessThan(1e-12);
  });

  test('grows as the roof rises and is bounded by the whole window open all the time', () => {
    fc.assert(
      fc.property(crankGeometries, windowShapes, finite(0.3, 0.9), (geometry, shape, part) => {
        const crank = crankFrom(geometry);
        const law = areaLawFromRoof(shape);
        const here = crownAngleArea(crank, law, part * crank.travelMm);
        const higher = crownAngleArea(crank, law, (part - 0.05) * crank.travelMm);
        expect(higher).toBeGreaterThan(here);
        const { durationDeg } = eventsFromDepth(geometry, part * crank.travelMm);
        expect(here).toBeLessThanOrEqual(law.fullAreaMm2 * durationDeg * (1 + 1e-9));
      }),
      { numRuns: 50 },
    );
  });

  test('the blowdown window is the downstroke part and adds up', () => {
    fc.assert(
      fc.property(crankGeometries, windowShapes, (geometry, shape) => {
        const crank = crankFrom(geometry);
        const law = areaLawFromRoof(shape);
        const [roof, until] = [0.45 * crank.travelMm, 0.75 * crank.travelMm];
        const { downAtdcDeg: from } = anglesAtDepth(crank, roof);
        const { downAtdcDeg: to } = anglesAtDepth(crank, until);
        const sum = summed((angle) => openAreaBy(law, depthAt(crank, angle) - roof), from, to, 20_000);
        expect(relative(blowdownAngleArea(crank, law, roof, until), sum)).toBeLessThan(1e-5);
      }),
      { numRuns: 40 },
    );
  });

  test('the skirt opens the window from its floor up', () => {
    fc.assert(
      fc.property(crankGeometries, windowShapes, finite(0.05, 0.6), (geometry, shape, part) => {
        if ((shape.roofDropMm ?? 0) > 0) return;
        const crank = crankFrom(geometry);
        const law = areaLawFromFloor(shape);
        const edge = part * crank.travelMm;
        const sum = summed((angle) => openAreaBy(law, edge - depthAt(crank, angle)), -180, 180, 40_000);
        expect(relative(skirtAngleArea(crank, law, edge), sum)).toBeLessThan(2e-5);
      }),
      { numRuns: 40 },
    );
  });
});

describe('time-area', () => {
  const input = {
    geometry: { strokeMm: 54, rodLengthMm: 110 },
    window: { widthMm: 38, heightMm: 26, radiusTopMm: 8, radiusBottomMm: 6 },
    roofDepthMm: 25.75,
    boreMm: 54,
    speedRpm: 12_000,
  };

  test('is angle-area over the turning speed, and per swept volume', () => {
    const one = portTimeArea(input);
    expect(one.timeAreaSMm2).toBeCloseTo(one.angleAreaDegMm2 / 72_000, 12);
    expect(one.specificTimeAreaSPerM).toBeCloseTo(one.timeAreaSMm2 / ((Math.PI * 54 ** 2 * 54) / 4000), 12);
    expect(portTimeArea({ ...input, count: 3 }).angleAreaDegMm2).toBeCloseTo(3 * one.angleAreaDegMm2, 6);
    expect(portTimeArea({ ...input, speedRpm: 6000 }).timeAreaSMm2).toBeCloseTo(2 * one.timeAreaSMm2, 12);
    expect(timeAreaFrom(72_000, 12_000, 2)).toEqual({
      angleAreaDegMm2: 72_000,
      timeAreaSMm2: 1,
      specificTimeAreaSPerM: 0.5,
    });
  });

  test('refuses by name what cannot be', () => {
    const port = (rest: object) => () => portTimeArea({ ...input, ...rest });
    expect(refused(port({ boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(port({ speedRpm: 0 }))).toBe('non_positive speedRpm');
    expect(refused(port({ count: 0 }))).toBe('non_positive count');
    expect(refused(port({ roofDepthMm: 54 }))).toBe('out_of_range roofDepthMm');
    expect(refused(port({ untilDepthMm: 54 }))).toBe('out_of_range untilDepthMm');
    expect(refused(port({ untilDepthMm: 25.75 }))).toBe('inconsistent untilDepthMm');
    expect(refusal(port({ untilDepthMm: 20 })).message).toBe(
      'Until depth is 20 mm; it must be deeper than the exhaust roof at 25.75 mm: the transfer must open after the exhaust.',
    );
    const skirt = (rest: object) => () => skirtTimeArea({ ...input, skirtDepthMm: 14, ...rest });
    expect(refused(skirt({ boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(skirt({ speedRpm: 0 }))).toBe('non_positive speedRpm');
    expect(refused(skirt({ count: 0 }))).toBe('non_positive count');
    expect(refused(skirt({ skirtDepthMm: 0 }))).toBe('out_of_range skirtDepthMm');
    expect(skirt({ count: 2 })().angleAreaDegMm2).toBeCloseTo(2 * skirt({})().angleAreaDegMm2, 6);
  });

  test('a slanting jet sees less', () => {
    expect(projectedArea(200, 60, 0)).toBeCloseTo(100, 12);
    expect(projectedArea(200, 0, -60)).toBeCloseTo(100, 12);
    expect(refused(() => projectedArea(0, 0, 0))).toBe('non_positive areaMm2');
    expect(refused(() => projectedArea(1, 90, 0))).toBe('out_of_range azimuthDeg');
    expect(refused(() => projectedArea(1, 0, -90))).toBe('out_of_range elevationDeg');
  });
});

describe('quadrature', () => {
  test.each([1, 2, 5, 10, 18])(
    'a rule of %d points is exact for polynomials up to twice its points less one',
    (points) => {
      const { nodes, weights } = gaussRule(points);
      for (let degree = 0; degree < 2 * points; degree++) {
        let sum = 0;
        for (const [index, node] of nodes.entries()) sum += (weights[index] as number) * node ** degree;
        expect(Math.abs(sum - (degree % 2 === 0 ? 2 / (degree + 1) : 0))).toBeLessThan(1e-13);
      }
      const [first = 0] = nodes;
      let beyond = 0;
      for (const [index, node] of nodes.entries()) beyond += (weights[index] as number) * node ** (2 * points);
      expect(Math.abs(first)).toBeLessThanOrEqual(1);
      expect(Math.abs(beyond - 2 / (2 * points + 1))).toBeGreaterThan(1e-14);
    },
  );

  test.each([
    ['a smooth function', (x: number) => Math.exp(x), 0, 1, Math.E - 1],
    ['an oscillation', (x: number) => Math.cos(40 * x), 0, 3, Math.sin(120) / 40],
    ['a spike', (x: number) => 1 / (1e-4 + x * x), -1, 1, 200 * Math.atan(100)],
    [
      'a power 3/2 just outside the interval',
      (x: number) => (x + 1e-6) ** 1.5,
      0,
      1,
      ((1 + 1e-6) ** 2.5 - 1e-15) / 2.5,
    ],
    ['backwards', (x: number) => x * x, 2, 0, -8 / 3],
  ])('%s is integrated to better than 1e-10 of its size', (_, f, lower, upper, expected) => {
    expect(Math.abs(integral(f, lower, upper, Math.abs(expected)) - expected)).toBeLessThan(1e-10 * Math.abs(expected));
  });

  test('roots at either end are smoothed away', () => {
    for (const power of [0.5, 1.5, 2.5]) {
      expect(integralFromRoot((x) => (x - 2) ** power, 2, 5, 10)).toBeCloseTo(3 ** (power + 1) / (power + 1), 9);
      expect(integralFromRoot((x) => (5 - x) ** power, 5, 2, 10)).toBeCloseTo(3 ** (power + 1) / (power + 1), 9);
    }
  });

  test('a function with a jump ends in finite time', () => {
    expect(integral((x) => (x < 1 / 3 ? 0 : 1), 0, 1, 1)).toBeCloseTo(2 / 3, 9);
  });

  test('no more evaluations than two rules take where the function is smooth', () => {
    let calls = 0;
    integral(
      (x) => {
        calls += 1;
        return x ** 3;
      },
      0,
      1,
      1,
    );
    expect(calls).toBe(28);
  });
});
