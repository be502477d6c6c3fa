import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { circleToEllipse } from './ellipse.ts';
import type { RimEllipse } from './types.ts';

/** Typical focal length of a bench camera in picture widths (about 60 degrees across), the centre of every prior on it. */
export const nominalFocalOfWidth = 0.87;

/** One of the two planes whose circle is seen as a given ellipse. */
export interface CirclePose {
  /** Unit normal of the plane in camera coordinates (x right, y down, z away from the camera), pointing towards the camera. */
  readonly normal: readonly [number, number, number];
  /** Where the circle's centre lies inside the unit disc of `circleToEllipse`. */
  readonly kx: number;
  readonly ky: number;
}

/**
 * Both plane poses of a circle that is seen as the ellipse `rim` by a pinhole camera.
 * @param focalPx focal length, pixels
 * @param px, py principal point, pixels
 * @source eigenvectors of the circle's cone: Chen, "Camera calibration with two arbitrary coplanar circles" (ECCV 2004); the
 *   centre is the pole of the plane's vanishing line
 */
export function circlePoses(rim: RimEllipse, focalPx: number, px: number, py: number): CirclePose[] {
  const e = circleToEllipse(rim);
  // Inverse of the symmetric 2x2 part: disc = M⁻¹ (p - c).
  const det = e.m00 * e.m11 - e.m01 * e.m01;
  const i00 = e.m11 / det;
  const i01 = -e.m01 / det;
  const i11 = e.m00 / det;
  // In camera coordinates the disc point is M⁻¹ (f X/Z + p - c); the cone is |disc|² - 1 = 0.
  const dx = px - e.cx;
  const dy = py - e.cy;
  const T = [
    [i00 * focalPx, i01 * focalPx, i00 * dx + i01 * dy],
    [i01 * focalPx, i11 * focalPx, i01 * dx + i11 * dy],
    [0, 0, 1],
  ];
  const S = [1, 1, -1];
  const cone = new Matrix(3, 3);
  for (let r = 0; r < 3; r++)
    for (let c = 0; c < 3; c++) {
      let sum = 0;
      for (let k = 0; k < 3; k++)
        sum += ((T[k] as number[])[r] as number) * (S[k] as number) * ((T[k] as number[])[c] as number);
      cone.set(r, c, sum);
    }
  const decomposition = new EigenvalueDecomposition(cone, { assumeSymmetric: true });
  const order = [0, 1, 2].sort(
    (a, b) => (decomposition.realEigenvalues[b] as number) - (decomposition.realEigenvalues[a] as number),
  );
  const lambda = order.map((i) => decomposition.realEigenvalues[i] as number) as [number, number, number];
  const vector = (i: number): [number, number, number] => {
    const column = order[i] as number;
    const V = decomposition.eigenvectorMatrix;
    return [V.get(0, column), V.get(1, column), V.get(2, column)];
  };
  const e1 = vector(0);
  const e3 = vector(2);
  const span = lambda[0] - lambda[2];
  const s1 = Math.sqrt(Math.max(0, (lambda[0] - lambda[1]) / span));
  const s3 = Math.sqrt(Math.max(0, (lambda[1] - lambda[2]) / span));
  return [1, -1].map((sign) => {
    let n: [number, number, number] = [
      s3 * e3[0] + sign * s1 * e1[0],
      s3 * e3[1] + sign * s1 * e1[1],
      s3 * e3[2] + sign * s1 * e1[2],
    ];
    if (n[2] > 0) n = [-n[0], -n[1], -n[2]];
    // Pole of the plane's vanishing line, worked out in disc coordinates, where the conic is diag(1, 1, -1):
    // line in picture l = K^-T n; in the disc l' = A^T l; pole = (l'x, l'y, -l'z).
    const lx = n[0] / focalPx;
    const ly = n[1] / focalPx;
    const lz = n[2] - (px * n[0] + py * n[1]) / focalPx;
    const qx = e.m00 * lx + e.m01 * ly;
    const qy = e.m01 * lx + e.m11 * ly;
    const qz = e.cx * lx + e.cy * ly + lz;
    return { normal: n, kx: -qx / qz, ky: -qy / qz };
  });
}
