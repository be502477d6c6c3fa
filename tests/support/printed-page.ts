import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { temporaryFolder } from './temporary-folder.ts';

const dpi = 300;
export const pxPerMm = dpi / 25.4;

/** One page in black and white. */
export interface Raster {
  readonly widthPx: number;
  readonly heightPx: number;
  dark(x: number, y: number): boolean;
}

/** A page as a printer at 300 dots per inch sees it. */
export function rasterOf(pdf: Uint8Array, page = 1): Raster {
  const folder = temporaryFolder();
  writeFileSync(join(folder, 'page.pdf'), pdf);
  const only = ['-f', String(page), '-singlefile'];
  execFileSync('pdftoppm', ['-r', String(dpi), '-gray', ...only, 'page.pdf', 'page'], { cwd: folder });
  const bytes = readFileSync(join(folder, 'page.pgm'));
  const head = /^P5\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.subarray(0, 64).toString('latin1'));
  if (head === null) throw new Error('no grey picture came out');
  const [whole, width, height] = head;
  const widthPx = Number(width);
  const heightPx = Number(height);
  const start = whole.length;
  return { widthPx, heightPx, dark: (x, y) => (bytes[start + y * widthPx + x] as number) < 128 };
}

/** First and last dark pixel along a row or a column, as mm with the pixel's own width. */
export function darkStretch(
  raster: Raster,
  direction: 'across' | 'upright',
  atMm: number,
  fromMm: number,
  toMm: number,
): number {
  const at = Math.round(atMm * pxPerMm - 0.5);
  const from = Math.round(fromMm * pxPerMm);
  const to = Math.round(toMm * pxPerMm);
  const isDark = (i: number): boolean =>
    [-1, 0, 1].some((d) => (direction === 'across' ? raster.dark(i, at + d) : raster.dark(at + d, i)));
  let first = -1;
  let last = -1;
  for (let i = from; i < to; i++)
    if (isDark(i)) {
      if (first < 0) first = i;
      last = i;
    }
  return (last - first + 1) / pxPerMm;
}

/**
 * Lengths in mm of the two check bars of a printed sheet: the longest unbroken dark line across in the lower left
 * corner, and the longest upright one along the right edge.
 */
export function checkBarsMm(pdf: Uint8Array, page = 1): { across: number; upright: number } {
  const raster = rasterOf(pdf, page);
  const { widthPx, heightPx } = raster;
  const edgePx = Math.round(25 * pxPerMm);
  let across = 0;
  for (let y = heightPx - edgePx; y < heightPx; y++)
    across = Math.max(
      across,
      longestRun(Math.round(widthPx * 0.55), (x) => raster.dark(x, y)),
    );
  let upright = 0;
  for (let x = widthPx - Math.round(10 * pxPerMm); x < widthPx; x++)
    upright = Math.max(
      upright,
      longestRun(heightPx, (y) => raster.dark(x, y)),
    );
  return { across: across / pxPerMm, upright: upright / pxPerMm };
}

function longestRun(count: number, isDark: (index: number) => boolean): number {
  let longest = 0;
  let run = 0;
  for (let index = 0; index < count; index++) {
    run = isDark(index) ? run + 1 : 0;
    longest = Math.max(longest, run);
  }
  return longest;
}
