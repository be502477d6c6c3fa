import type { GreyPicture } from './types.ts';

/** Value of samples that lie outside the picture; grey levels are never negative. */
export const outside = -1;

/**
 * Reads grey levels at picture positions, bilinear; `outside` where a position is not inside the picture.
 * Only the pixels asked for are touched.
 */
export function gather(
  picture: GreyPicture,
  xs: Float32Array,
  ys: Float32Array,
  count: number,
  out: Float32Array,
): void {
  const { data, stride } = picture;
  const maxX = picture.widthPx - 1;
  const maxY = picture.heightPx - 1;
  for (let i = 0; i < count; i++) {
    const x = xs[i] as number;
    const y = ys[i] as number;
    if (!(x >= 0 && y >= 0 && x < maxX && y < maxY)) {
      out[i] = outside;
      continue;
    }
    const xi = x | 0;
    const yi = y | 0;
    const fx = x - xi;
    const fy = y - yi;
    const o = yi * stride + xi;
    const top = (data[o] as number) + fx * ((data[o + 1] as number) - (data[o] as number));
    const p = o + stride;
    const bottom = (data[p] as number) + fx * ((data[p + 1] as number) - (data[p] as number));
    out[i] = top + fy * (bottom - top);
  }
}
