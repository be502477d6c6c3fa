import { fitEllipse } from '../../core/wheel/ellipse.ts';
import type { GreyPicture, RimEllipse } from '../../core/wheel/types.ts';
import { Random } from './random.ts';
import { drawFace, faceColumns, faceRowCount, type SyntheticFace, smeared } from './synthetic-face.ts';

type Vector = readonly [number, number, number];

/** One fixed camera, wheel, light and surroundings; all lengths in mm, camera coordinates (x right, y down, z away). */
export interface SyntheticSetup {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly focalPx: number;
  readonly k1: number;
  readonly px: number;
  readonly py: number;
  readonly axis: Vector;
  readonly axisPoint: Vector;
  /** Face at rotation 0: centre, two axes in its plane, normal. */
  readonly centre: Vector;
  readonly right: Vector;
  readonly down: Vector;
  readonly normal: Vector;
  readonly radiusMm: number;
  readonly face: SyntheticFace;
  readonly background: Float32Array;
  readonly light: {
    readonly level: number;
    readonly slopeX: number;
    readonly slopeY: number;
    readonly spotX: number;
    readonly spotY: number;
    readonly spotWidth: number;
    readonly spot: number;
  };
  readonly pointerAt: number;
  readonly tiltDeg: number;
  readonly eccentricityMm: number;
  readonly runOutDeg: number;
}

/** How one frame is taken. */
export interface Shot {
  readonly rotationDeg: number;
  readonly blurDeg?: number;
  /** Share of the ring covered by something, 0..1, and where it begins, degrees. */
  readonly covered?: number;
  readonly coveredAtDeg?: number;
  readonly noise?: number;
  readonly exposure?: number;
  readonly defocusPx?: number;
  /** The whole camera moved by this, pixels. */
  readonly bumpX?: number;
  readonly bumpY?: number;
  readonly seed: number;
}

export interface SetupWishes {
  readonly tiltDeg?: number;
  readonly eccentricityMm?: number;
  readonly runOutDeg?: number;
  readonly mayRepeat?: boolean;
  readonly size?: readonly [number, number];
  readonly radiusPx?: number;
  /** Middle of the wheel in the picture, as shares of its width and height. */
  readonly middle?: readonly [number, number];
  /** The face, where it isn't to be a random one. */
  readonly face?: SyntheticFace;
}

function add(a: Vector, b: Vector, f = 1): Vector {
  return [a[0] + f * b[0], a[1] + f * b[1], a[2] + f * b[2]];
}
function dot(a: Vector, b: Vector): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
function cross(a: Vector, b: Vector): Vector {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}
function unit(a: Vector): Vector {
  const l = Math.sqrt(dot(a, a));
  return [a[0] / l, a[1] / l, a[2] / l];
}

/** Turns `v` about the unit vector `axis` by `deg`; about +z this is clockwise on screen. */
function turned(v: Vector, axis: Vector, deg: number): Vector {
  const t = (deg * Math.PI) / 180;
  const c = Math.cos(t);
  const s = Math.sin(t);
  return add(add([v[0] * c, v[1] * c, v[2] * c], cross(axis, v), s), axis, dot(axis, v) * (1 - c));
}

/** A random set-up of the kind a bench brings. */
export function syntheticSetup(seed: number, wishes: SetupWishes = {}): SyntheticSetup {
  const random = new Random(seed);
  const [widthPx, heightPx] =
    wishes.size ??
    random.pick([
      [640, 480],
      [800, 600],
      [960, 540],
    ] as const);
  const focalPx = widthPx * random.between(0.72, 1.05);
  const radiusMm = 100;
  const radiusPx = wishes.radiusPx ?? random.between(172, Math.min(260, heightPx * 0.46));
  const depth = (focalPx * radiusMm) / radiusPx;
  const tiltDeg = wishes.tiltDeg ?? random.between(2, 35);
  const tiltAt = random.between(0, 2 * Math.PI);
  const randomX = random.between(-0.5, 0.5) * Math.max(0, widthPx - 2.1 * radiusPx);
  const randomY = random.between(-0.5, 0.5) * Math.max(0, heightPx - 2.1 * radiusPx);
  const shiftX = wishes.middle === undefined ? randomX : (wishes.middle[0] - 0.5) * widthPx;
  const shiftY = wishes.middle === undefined ? randomY : (wishes.middle[1] - 0.5) * heightPx;
  const axisPoint: Vector = [(shiftX * depth) / focalPx, (shiftY * depth) / focalPx, depth];
  const sight = unit(axisPoint);
  const side = unit(cross(sight, [Math.cos(tiltAt), Math.sin(tiltAt), 0.01]));
  const axis = turned(sight, side, tiltDeg);
  const runOutDeg = wishes.runOutDeg ?? random.between(0, 0.7);
  const across = unit(cross(axis, [0.3, 1, 0.2]));
  const outAxis = turned(across, axis, random.between(0, 360));
  const normal = turned([-axis[0], -axis[1], -axis[2]], outAxis, runOutDeg);
  const right = unit(cross([0, 1, 0], [-normal[0], -normal[1], -normal[2]]));
  const down = cross([-normal[0], -normal[1], -normal[2]], right);
  const eccentricityMm = wishes.eccentricityMm ?? random.between(0, 0.8);
  const eccentricAt = random.between(0, 2 * Math.PI);
  const centre = add(
    add(axisPoint, right, eccentricityMm * Math.cos(eccentricAt)),
    down,
    eccentricityMm * Math.sin(eccentricAt),
  );
  return {
    widthPx,
    heightPx,
    focalPx,
    k1: random.between(-0.1, 0.02),
    px: (widthPx - 1) / 2 + random.between(-4, 4),
    py: (heightPx - 1) / 2 + random.between(-4, 4),
    axis,
    axisPoint,
    centre,
    right,
    down,
    normal,
    radiusMm,
    face: wishes.face ?? drawFace(random, wishes.mayRepeat === undefined ? {} : { mayRepeat: wishes.mayRepeat }),
    background: surroundings(random, widthPx, heightPx),
    light: {
      level: random.between(140, 235),
      slopeX: random.between(-0.3, 0.3),
      slopeY: random.between(-0.3, 0.3),
      spotX: random.between(0.2, 0.8) * widthPx,
      spotY: random.between(0.2, 0.8) * heightPx,
      spotWidth: random.between(0.08, 0.25) * widthPx,
      spot: random.chance(0.4) ? random.between(0.1, 0.35) : 0,
    },
    pointerAt: random.between(0, 360),
    tiltDeg,
    eccentricityMm,
    runOutDeg,
  };
}

/** Boxes, bars and grain that stand still. */
function surroundings(random: Random, w: number, h: number): Float32Array {
  const out = new Float32Array(w * h).fill(random.between(0.15, 0.6));
  for (let i = 0; i < 60; i++) {
    const x0 = Math.floor(random.between(-20, w));
    const y0 = Math.floor(random.between(-20, h));
    const bw = random.between(4, 120);
    const bh = random.between(4, 90);
    const v = random.between(0.05, 0.8);
    for (let y = Math.max(0, y0); y < Math.min(h, y0 + bh); y++)
      for (let x = Math.max(0, x0); x < Math.min(w, x0 + bw); x++) out[y * w + x] = v;
  }
  for (let i = 0; i < out.length; i++) out[i] = (out[i] as number) * (1 + 0.06 * (random.next() - 0.5));
  return out;
}

const subs = [
  [-0.25, -0.25],
  [0.25, -0.25],
  [-0.25, 0.25],
  [0.25, 0.25],
] as const;

/** Takes a frame. */
export function photograph(s: SyntheticSetup, shot: Shot): GreyPicture {
  const random = new Random(shot.seed);
  const { widthPx: w, heightPx: h } = s;
  const texture = smeared(s.face, shot.blurDeg ?? 0);
  const theta = shot.rotationDeg;
  const centre = add(s.axisPoint, turned(add(s.centre, s.axisPoint, -1), s.axis, theta));
  const normal = turned(s.normal, s.axis, theta);
  const right = turned(s.right, s.axis, theta);
  const down = turned(s.down, s.axis, theta);
  const bumpX = shot.bumpX ?? 0;
  const bumpY = shot.bumpY ?? 0;
  const cn = dot(centre, normal);
  const scene = new Float32Array(w * h);
  const rim = rimOf(s, 0);
  const reach = Math.max(...rim.fullAxesPx) / 2 + 12;
  const covered = (shot.covered ?? 0) * 360;
  const coveredAt = shot.coveredAtDeg ?? 0;
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      const bx = Math.min(w - 1, Math.max(0, Math.round(x - bumpX)));
      const by = Math.min(h - 1, Math.max(0, Math.round(y - bumpY)));
      let value = s.background[by * w + bx] as number;
      const rx = x - bumpX - rim.centrePx[0];
      const ry = y - bumpY - rim.centrePx[1];
      if (Math.hypot(rx, ry) < reach) {
        let sum = 0;
        for (const [ox, oy] of subs) {
          // Undistort, meet the plane, look the face up.
          const dx = (x - bumpX + ox - s.px) / s.focalPx;
          const dy = (y - bumpY + oy - s.py) / s.focalPx;
          let u = dx;
          let v = dy;
          for (let i = 0; i < 4; i++) {
            const f = 1 / (1 + s.k1 * (u * u + v * v));
            u = dx * f;
            v = dy * f;
          }
          const t = cn / (u * normal[0] + v * normal[1] + normal[2]);
          const p: Vector = [u * t - centre[0], v * t - centre[1], t - centre[2]];
          const fx = dot(p, right) / s.radiusMm;
          const fy = dot(p, down) / s.radiusMm;
          const rho = Math.hypot(fx, fy);
          sum += rho < 1 ? lookUp(texture, fx, fy, rho) : value;
        }
        value = sum / subs.length;
      }
      const angle = ((Math.atan2(ry, rx) * 180) / Math.PI + 360) % 360;
      const radius = Math.hypot(rx, ry) / reach;
      const gap = Math.abs(((angle - s.pointerAt + 540) % 360) - 180);
      if (radius > 0.72 && gap * radius < 0.7) value = 0.75;
      if (covered > 0 && radius > 0.15) {
        const past = (angle - coveredAt + 720) % 360;
        if (past < covered + 3 * Math.sin(radius * 17)) value = 0.42 + 0.08 * Math.sin(x * 0.11) * Math.cos(y * 0.07);
      }
      const light = 1 + s.light.slopeX * (x / w - 0.5) + s.light.slopeY * (y / h - 0.5);
      const spot =
        s.light.spot * Math.exp(-((x - s.light.spotX) ** 2 + (y - s.light.spotY) ** 2) / (2 * s.light.spotWidth ** 2));
      scene[y * w + x] = value * light + spot;
    }
  const soft = defocus(scene, w, h, shot.defocusPx ?? 0.5);
  const noise = shot.noise ?? 1.5;
  const level = s.light.level * (shot.exposure ?? 1);
  const data = new Uint8Array(w * h);
  for (let i = 0; i < data.length; i++) {
    const v = (soft[i] as number) * level + noise * random.normal();
    data[i] = v < 0 ? 0 : v > 255 ? 255 : v + 0.5;
  }
  return { widthPx: w, heightPx: h, stride: w, data };
}

function lookUp(texture: Float32Array, fx: number, fy: number, rho: number): number {
  const a = (Math.atan2(fy, fx) / (2 * Math.PI)) * faceColumns - 0.5 + faceColumns;
  const r = Math.min(faceRowCount - 1.001, Math.max(0, rho * faceRowCount - 0.5));
  const ai = Math.floor(a);
  const ri = Math.floor(r);
  const fa = a - ai;
  const fr = r - ri;
  const x0 = ai % faceColumns;
  const x1 = (ai + 1) % faceColumns;
  const o = ri * faceColumns;
  const p = o + faceColumns;
  const top = (texture[o + x0] as number) * (1 - fa) + (texture[o + x1] as number) * fa;
  const bottom = (texture[p + x0] as number) * (1 - fa) + (texture[p + x1] as number) * fa;
  return top * (1 - fr) + bottom * fr;
}

/** Separable Gaussian. */
function defocus(from: Float32Array, w: number, h: number, sigma: number): Float32Array {
  const half = Math.ceil(2.5 * sigma);
  const kernel = Array.from({ length: 2 * half + 1 }, (_, i) => Math.exp(-((i - half) ** 2) / (2 * sigma * sigma)));
  const total = kernel.reduce((a, b) => a + b, 0);
  const middle = new Float32Array(w * h);
  const out = new Float32Array(w * h);
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      let sum = 0;
      for (let d = -half; d <= half; d++)
        sum += (kernel[d + half] as number) * (from[y * w + Math.min(w - 1, Math.max(0, x + d))] as number);
      middle[y * w + x] = sum / total;
    }
  for (let y = 0; y < h; y++)
    for (let x = 0; x < w; x++) {
      let sum = 0;
      for (let d = -half; d <= half; d++)
        sum += (kernel[d + half] as number) * (middle[Math.min(h - 1, Math.max(0, y + d)) * w + x] as number);
      out[y * w + x] = sum / total;
    }
  return out;
}

/** Pixel of a face point: turns clockwise on the face by `atDeg` from its zero, at a relative radius. */
export function pixelOfFace(s: SyntheticSetup, rotationDeg: number, atDeg: number, rho: number): [number, number] {
  const centre = add(s.axisPoint, turned(add(s.centre, s.axisPoint, -1), s.axis, rotationDeg));
  const t = (atDeg * Math.PI) / 180;
  const right = turned(s.right, s.axis, rotationDeg);
  const down = turned(s.down, s.axis, rotationDeg);
  const p = add(add(centre, right, rho * s.radiusMm * Math.cos(t)), down, rho * s.radiusMm * Math.sin(t));
  const u = p[0] / p[2];
  const v = p[1] / p[2];
  const f = s.focalPx * (1 + s.k1 * (u * u + v * v));
  return [s.px + u * f, s.py + v * f];
}

/** True outline of the rim at a rotation. */
export function rimOf(s: SyntheticSetup, rotationDeg: number): RimEllipse {
  const points = Array.from({ length: 72 }, (_, i) => pixelOfFace(s, rotationDeg, 5 * i, 1));
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return fitEllipse(xs, ys, new Float64Array(72).fill(1), 72) as RimEllipse;
}
