import { describe, expect, test } from 'vitest';
import { fitBundle, type Match } from '../../../core/wheel/bundle.ts';
import { concentric } from '../../../core/wheel/centred-rim.ts';
import { circleToEllipse, ellipseOfConic, fitEllipse } from '../../../core/wheel/ellipse.ts';
import { circlePoses } from '../../../core/wheel/pose.ts';
import { modelOf, movePixel, pixelToFace, project, runOutDegOf } from '../../../core/wheel/rigid-model.ts';
import { discToPicture, inverse3, ringMap } from '../../../core/wheel/ring-map.ts';
import type { RimEllipse } from '../../../core/wheel/types.ts';
import { Random } from '../../support/random.ts';
import { rimOf, syntheticSetup } from '../../support/synthetic-wheel.ts';

const rim: RimEllipse = { centrePx: [640.3, 355.8], fullAxesPx: [520, 470], angleDeg: 33 };

function onEllipse(e: RimEllipse, t: number): [number, number] {
  const m = circleToEllipse(e);
  return [m.cx + m.m00 * Math.cos(t) + m.m01 * Math.sin(t), m.cy + m.m01 * Math.cos(t) + m.m11 * Math.sin(t)];
}

describe('ellipses', () => {
  test('a fit through points of an ellipse gives that ellipse back', () => {
    const points = Array.from({ length: 50 }, (_, i) => onEllipse(rim, 0.1 * i));
    const fit = fitEllipse(
      points.map((p) => p[0]),
      points.map((p) => p[1]),
      new Float64Array(50).fill(1),
      50,
    );
    expect(fit?.centrePx[0]).toBeCloseTo(640.3, 6);
    expect(fit?.centrePx[1]).toBeCloseTo(355.8, 6);
    expect(fit?.fullAxesPx[0]).toBeCloseTo(520, 5);
    expect(fit?.fullAxesPx[1]).toBeCloseTo(470, 5);
    expect(fit?.angleDeg).toBeCloseTo(33, 5);
  });

  test('a hyperbola is no ellipse', () => {
    expect(ellipseOfConic([1, 0, -1, 0, 0, -1])).toBeNull();
  });
});

describe('the ring map', () => {
  test('carries the unit circle on to the rim whatever the centre', () => {
    const map = ringMap(rim, 0.09, -0.05);
    const e = circleToEllipse(rim);
    const det = e.m00 * e.m11 - e.m01 * e.m01;
    for (let t = 0; t < 6; t += 0.5) {
      const [x, y] = discToPicture(map.toPicture, Math.cos(t), Math.sin(t));
      const u = (e.m11 * (x - e.cx) - e.m01 * (y - e.cy)) / det;
      const v = (-e.m01 * (x - e.cx) + e.m00 * (y - e.cy)) / det;
      expect(Math.hypot(u, v)).toBeCloseTo(1, 9);
    }
  });

  test('carries a smaller concentric circle to the same picture points, described from either circle', () => {
    const inner = concentric({ rim, kx: 0.09, ky: -0.05 }, 0.8);
    const outer = ringMap(rim, 0.09, -0.05);
    const map = ringMap(inner.rim, inner.kx, inner.ky);
    const back = inverse3(outer.toPicture);
    for (let t = 0; t < 6; t += 0.7) {
      const [x, y] = discToPicture(map.toPicture, Math.cos(t), Math.sin(t));
      const [u, v] = discToPicture(back, x, y);
      expect(Math.hypot(u, v)).toBeCloseTo(0.8, 6);
    }
  });
});

describe('the pose of a circle', () => {
  test('one of the two poses of the rim points along the true normal', () => {
    for (const seed of [3, 4, 5]) {
      const s = syntheticSetup(seed, { tiltDeg: 25, runOutDeg: 0, eccentricityMm: 0 });
      const poses = circlePoses(rimOf({ ...s, k1: 0 }, 0), s.focalPx, s.px, s.py);
      const best = Math.max(
        ...poses.map((p) => p.normal[0] * s.normal[0] + p.normal[1] * s.normal[1] + p.normal[2] * s.normal[2]),
      );
      expect(best).toBeGreaterThan(0.99999);
    }
  });
});

const base = {
  focalPx: 1100,
  px: 639.5,
  py: 359.5,
  normal: [0.25, -0.3, -0.92] as const,
  crossingPx: [610, 380] as const,
};
const unitNormal = Math.hypot(...base.normal);
const tilted = { ...base, normal: [0.25 / unitNormal, -0.3 / unitNormal, -0.92 / unitNormal] as const };
/** ln f, k1, normal, axis, crossing, principal point. */
const truth = [0.05, -0.06, 0.004, -0.006, 0.008, 0.005, 1.2, -0.8, 0, 0];

describe('the rigid model', () => {
  const model = modelOf(tilted, truth);

  test('turning there and back leaves a mark where it was', () => {
    const there = new Float64Array(2);
    const back = new Float64Array(2);
    const random = new Random(5);
    for (let i = 0; i < 50; i++) {
      const [x, y] = onEllipse(rim, random.between(0, 6.3));
      const from = random.between(0, 360);
      const to = random.between(0, 360);
      movePixel(model, from, to, x, y, there);
      movePixel(model, to, from, there[0] as number, there[1] as number, back);
      expect(back[0]).toBeCloseTo(x, 3);
      expect(back[1]).toBeCloseTo(y, 3);
    }
  });

  test('two turns one after the other are their sum', () => {
    const one = new Float64Array(2);
    const two = new Float64Array(2);
    const sum = new Float64Array(2);
    movePixel(model, 0, 70, 850, 300, one);
    movePixel(model, 70, 215, one[0] as number, one[1] as number, two);
    movePixel(model, 0, 215, 850, 300, sum);
    expect(two[0]).toBeCloseTo(sum[0] as number, 3);
    expect(two[1]).toBeCloseTo(sum[1] as number, 3);
  });

  test('a pixel met on the face projects back on to itself', () => {
    const face = new Float64Array(3);
    const pixel = new Float64Array(2);
    pixelToFace(model, 120, 700, 500, face);
    project(model, face[0] as number, face[1] as number, face[2] as number, pixel);
    expect(pixel[0]).toBeCloseTo(700, 3);
    expect(pixel[1]).toBeCloseTo(500, 3);
  });

  test('a small positive rotation is clockwise on screen', () => {
    const out = new Float64Array(2);
    movePixel(model, 0, 2, 610 + 250, 380, out);
    expect(out[1]).toBeGreaterThan(382);
  });

  test('the joint fit finds run-out and rotations from marks alone', () => {
    const rotations = [0, 51, 98, 160, 214, 277, 333];
    const matches: Match[] = [];
    const random = new Random(9);
    const to = new Float64Array(2);
    const next = new Float64Array(2);
    for (let f = 1; f < rotations.length; f++)
      for (let k = 0; k < 36; k++) {
        const t = (2 * Math.PI * k) / 36;
        const [x, y] = [610 + 240 * Math.cos(t), 380 + 215 * Math.sin(t)];
        movePixel(model, 0, rotations[f] as number, x, y, to);
        movePixel(model, 0, (rotations[f] as number) + 0.01, x, y, next);
        const l = Math.hypot((next[0] as number) - (to[0] as number), (next[1] as number) - (to[1] as number));
        matches.push({
          fromFrame: 0,
          toFrame: f,
          fromX: x,
          fromY: y,
          toX: (to[0] as number) + 0.02 * random.normal(),
          toY: (to[1] as number) + 0.02 * random.normal(),
          alongX: ((next[0] as number) - (to[0] as number)) / l,
          alongY: ((next[1] as number) - (to[1] as number)) / l,
          radiusPx: 240,
          sigmaDeg: 0.02,
          sigmaRadial: 0.003,
        });
      }
    const start = rotations.map((r, i) => (i === 0 ? 0 : r + random.between(-0.3, 0.3)));
    const fit = fitBundle(tilted, matches, start);
    for (const [i, r] of rotations.entries()) expect(Math.abs((fit.rotationsDeg[i] as number) - r)).toBeLessThan(0.005);
    expect(runOutDegOf(fit.model)).toBeCloseTo(runOutDegOf(model), 1);
    expect(fit.residualDeg).toBeLessThan(0.01);
  });
});
