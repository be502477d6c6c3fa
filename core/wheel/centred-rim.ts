import { circleToEllipse, fitEllipse } from './ellipse.ts';
import { discToPicture, ringMap } from './ring-map.ts';
import type { GreyPicture, RimEllipse } from './types.ts';

/** Below this the ticks don't stand evenly enough for a degree wheel. */
export const leastCoherence = 0.2;

/** Outline of a circle and where the true centre lies inside its unit disc. */
export interface CentredRim {
  readonly rim: RimEllipse;
  readonly kx: number;
  readonly ky: number;
}

/**
 * Another circle of the wheel's plane about the same centre, `scale` times as large. Its ellipse lies elsewhere in the
 * picture, so the common centre has another place in its disc.
 */
export function concentric(of: CentredRim, scale: number): CentredRim {
  const h = ringMap(of.rim, of.kx, of.ky).toPicture;
  const xs: number[] = [];
  const ys: number[] = [];
  for (let i = 0; i < 72; i++) {
    const t = (2 * Math.PI * i) / 72;
    const [x, y] = discToPicture(h, scale * Math.cos(t), scale * Math.sin(t));
    xs.push(x);
    ys.push(y);
  }
  const rim = fitEllipse(xs, ys, new Float64Array(72).fill(1), 72);
  if (rim === null) return of;
  const e = circleToEllipse(rim);
  const [cx, cy] = discToPicture(h, 0, 0);
  const det = e.m00 * e.m11 - e.m01 * e.m01;
  const dx = cx - e.cx;
  const dy = cy - e.cy;
  return { rim, kx: (e.m11 * dx - e.m01 * dy) / det, ky: (-e.m01 * dx + e.m00 * dy) / det };
}

/** Share of the rim inside the picture. */
export function inPictureFraction(rim: RimEllipse, picture: GreyPicture): number {
  const e = circleToEllipse(rim);
  let inside = 0;
  for (let i = 0; i < 360; i++) {
    const c = 0.96 * Math.cos((i * Math.PI) / 180);
    const s = 0.96 * Math.sin((i * Math.PI) / 180);
    const x = e.cx + e.m00 * c + e.m01 * s;
    const y = e.cy + e.m01 * c + e.m11 * s;
    if (x >= 0 && y >= 0 && x < picture.widthPx - 1 && y < picture.heightPx - 1) inside++;
  }
  return inside / 360;
}
