/**
 * Geometry of the whole set-up: one camera, one rigid wheel, one crank axis. Eccentricity and face run-out need no
 * parameters of their own: the wheel is rigid and turns about the axis, so any plane and any axis describe them.
 * Camera coordinates: x right, y down, z away from the camera; a turn about +z is clockwise on screen.
 */
export interface RigidModel {
  readonly focalPx: number;
  /** Radial distortion on normalised coordinates: distorted = ideal (1 + k1 r²). */
  readonly k1: number;
  readonly px: number;
  readonly py: number;
  /** Unit normal of the face at rotation 0, towards the camera. */
  readonly normal: readonly [number, number, number];
  /** Unit direction of the crank axis, away from the camera. */
  readonly axis: readonly [number, number, number];
  /** Where axis and face cross, with z = 1: the scale can't be known and doesn't matter. */
  readonly crossing: readonly [number, number, number];
}

/**
 * What a fit can change: ln f, k1, normal slopes (2), axis slopes against the normal (2), crossing in pixels (2), principal
 * point in pixels (2).
 */
export const modelParameterCount = 10;

/** Frame of reference of the parameters: the pose before the fit. */
export interface ModelBase {
  readonly focalPx: number;
  readonly px: number;
  readonly py: number;
  readonly normal: readonly [number, number, number];
  readonly crossingPx: readonly [number, number];
}

type Vector = readonly [number, number, number];

export function cross(a: Vector, b: Vector): [number, number, number] {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

export function unit(a: Vector): [number, number, number] {
  const l = Math.hypot(a[0], a[1], a[2]);
  return [a[0] / l, a[1] / l, a[2] / l];
}

export function dot(a: Vector, b: Vector): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** Model of the parameters `p` on top of `base`. */
export function modelOf(base: ModelBase, p: ArrayLike<number>): RigidModel {
  const focalPx = base.focalPx * Math.exp(p[0] as number);
  const k1 = p[1] as number;
  const n0 = base.normal;
  const e1 = unit(cross(Math.abs(n0[0]) < 0.7 ? [1, 0, 0] : [0, 1, 0], n0));
  const e2 = cross(n0, e1);
  const normal = unit([
    n0[0] + (p[2] as number) * e1[0] + (p[3] as number) * e2[0],
    n0[1] + (p[2] as number) * e1[1] + (p[3] as number) * e2[1],
    n0[2] + (p[2] as number) * e1[2] + (p[3] as number) * e2[2],
  ]);
  const axis = unit([
    -normal[0] + (p[4] as number) * e1[0] + (p[5] as number) * e2[0],
    -normal[1] + (p[4] as number) * e1[1] + (p[5] as number) * e2[1],
    -normal[2] + (p[4] as number) * e1[2] + (p[5] as number) * e2[2],
  ]);
  const camera = { focalPx, k1, px: base.px + (p[8] as number), py: base.py + (p[9] as number) };
  undistortRay(camera, base.crossingPx[0] + (p[6] as number), base.crossingPx[1] + (p[7] as number), ray);
  return { ...camera, normal, axis, crossing: [ray[0] as number, ray[1] as number, 1] };
}

const ray = new Float64Array(2);

interface Lens {
  readonly focalPx: number;
  readonly k1: number;
  readonly px: number;
  readonly py: number;
}

/** Normalised ideal coordinates of a pixel. */
export function undistortRay(m: Lens, x: number, y: number, out: Float64Array): void {
  const dx = (x - m.px) / m.focalPx;
  const dy = (y - m.py) / m.focalPx;
  let u = dx;
  let v = dy;
  // Fixed-point iteration: converges by a factor of about 3 k1 r² a step, some 0.1 at the picture's corner.
  for (let i = 0; i < 6; i++) {
    const f = 1 / (1 + m.k1 * (u * u + v * v));
    u = dx * f;
    v = dy * f;
  }
  out[0] = u;
  out[1] = v;
}

/** Rodrigues' rotation about `axis` by `deg`; fills 9 numbers, row after row. */
export function rotationMatrix(axis: Vector, deg: number, out: Float64Array): void {
  const t = (deg * Math.PI) / 180;
  const c = Math.cos(t);
  const s = Math.sin(t);
  const v = 1 - c;
  const [x, y, z] = axis;
  out[0] = c + x * x * v;
  out[1] = x * y * v - z * s;
  out[2] = x * z * v + y * s;
  out[3] = y * x * v + z * s;
  out[4] = c + y * y * v;
  out[5] = y * z * v - x * s;
  out[6] = z * x * v - y * s;
  out[7] = z * y * v + x * s;
  out[8] = c + z * z * v;
}

const matrix = new Float64Array(9);
const scratch = new Float64Array(2);

/** Point of the face (camera coordinates at rotation `atDeg`) seen at a pixel. */
export function pixelToFace(m: RigidModel, atDeg: number, x: number, y: number, out: Float64Array): void {
  undistortRay(m, x, y, scratch);
  rotationMatrix(m.axis, atDeg, matrix);
  const n = m.normal;
  const nx = (matrix[0] as number) * n[0] + (matrix[1] as number) * n[1] + (matrix[2] as number) * n[2];
  const ny = (matrix[3] as number) * n[0] + (matrix[4] as number) * n[1] + (matrix[5] as number) * n[2];
  const nz = (matrix[6] as number) * n[0] + (matrix[7] as number) * n[1] + (matrix[8] as number) * n[2];
  const c = m.crossing;
  const u = scratch[0] as number;
  const v = scratch[1] as number;
  const z = (nx * c[0] + ny * c[1] + nz * c[2]) / (nx * u + ny * v + nz);
  out[0] = u * z;
  out[1] = v * z;
  out[2] = z;
}

/** Pixel of a point in camera coordinates. */
export function project(m: Lens, x: number, y: number, z: number, out: Float64Array): void {
  const u = x / z;
  const v = y / z;
  const f = m.focalPx * (1 + m.k1 * (u * u + v * v));
  out[0] = m.px + u * f;
  out[1] = m.py + v * f;
}

const face = new Float64Array(3);
const turn = new Float64Array(9);

/** Where the mark seen at pixel (x, y) at rotation `fromDeg` is seen at rotation `toDeg`. */
export function movePixel(
  m: RigidModel,
  fromDeg: number,
  toDeg: number,
  x: number,
  y: number,
  out: Float64Array,
): void {
  pixelToFace(m, fromDeg, x, y, face);
  rotationMatrix(m.axis, toDeg - fromDeg, turn);
  const c = m.crossing;
  const dx = (face[0] as number) - c[0];
  const dy = (face[1] as number) - c[1];
  const dz = (face[2] as number) - c[2];
  project(
    m,
    c[0] + (turn[0] as number) * dx + (turn[1] as number) * dy + (turn[2] as number) * dz,
    c[1] + (turn[3] as number) * dx + (turn[4] as number) * dy + (turn[5] as number) * dz,
    c[2] + (turn[6] as number) * dx + (turn[7] as number) * dy + (turn[8] as number) * dz,
    out,
  );
}

/** Face run-out: angle between the face's normal and the crank axis, degrees. */
export function runOutDegOf(m: RigidModel): number {
  return (Math.acos(Math.min(1, Math.abs(dot(m.normal, m.axis)))) * 180) / Math.PI;
}

/** Angle between the crank axis and the line of sight to the wheel, degrees. */
export function tiltDegOf(m: RigidModel): number {
  return (Math.acos(Math.min(1, Math.abs(dot(m.axis, unit(m.crossing))))) * 180) / Math.PI;
}
