import type { GreyPicture } from './types.ts';

/** Half width of the window that sets the local scale, in picture widths. */
const windowOfWidth = 0.02;
/** Keeps noise in flat areas small, grey levels. */
const floorLevels = 5;
const middle = 128;
/** Grey levels of one local standard deviation. */
const gain = 40;

/**
 * The picture with light evened out: each pixel against the mean of its surroundings in units of their spread, so that
 * a rim half in the dark shows edges all round.
 */
export function evenLight(picture: GreyPicture): GreyPicture {
  const { widthPx: w, heightPx: h, stride, data } = picture;
  const half = Math.max(8, Math.round(w * windowOfWidth));
  // Running sums down the columns, then along the rows.
  const columnSum = new Float64Array(w);
  const columnSquares = new Float64Array(w);
  const out = new Uint8Array(w * h);
  const add = (y: number, sign: number): void => {
    const o = y * stride;
    for (let x = 0; x < w; x++) {
      const v = data[o + x] as number;
      columnSum[x] = (columnSum[x] as number) + sign * v;
      columnSquares[x] = (columnSquares[x] as number) + sign * v * v;
    }
  };
  for (let y = 0; y < Math.min(h, half); y++) add(y, 1);
  for (let y = 0; y < h; y++) {
    if (y + half < h) add(y + half, 1);
    if (y - half - 1 >= 0) add(y - half - 1, -1);
    const rows = Math.min(h - 1, y + half) - Math.max(0, y - half) + 1;
    let sum = 0;
    let squares = 0;
    for (let x = 0; x < Math.min(w, half); x++) {
      sum += columnSum[x] as number;
      squares += columnSquares[x] as number;
    }
    for (let x = 0; x < w; x++) {
      if (x + half < w) {
        sum += columnSum[x + half] as number;
        squares += columnSquares[x + half] as number;
      }
      if (x - half - 1 >= 0) {
        sum -= columnSum[x - half - 1] as number;
        squares -= columnSquares[x - half - 1] as number;
      }
      const n = rows * (Math.min(w - 1, x + half) - Math.max(0, x - half) + 1);
      const mean = sum / n;
      const spread = Math.sqrt(Math.max(0, squares / n - mean * mean)) + floorLevels;
      const v = middle + (gain * ((data[y * stride + x] as number) - mean)) / spread;
      out[y * w + x] = Math.max(0, Math.min(255, v));
    }
  }
  return { widthPx: w, heightPx: h, stride: w, data: out };
}
