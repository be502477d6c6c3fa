import { Fourier } from '../fourier.ts';
import { columnDeg, ringColumns } from '../ring-map.ts';
import { cellCount, cellDeg, ringBits } from './ring-code.ts';

/** The ring as its tracks show it: +1 over a cell whose bit is 1, -1 over the others, straight across the borders. */
const n = ringColumns;
/** Steps in which the wave is kept between columns. */
const finer = 8;
const wave = new Float64Array(n * finer);
for (let i = 0; i < wave.length; i++) {
  // A column sees its own width of the ring.
  const from = (i / finer - 0.5) * columnDeg;
  let sum = 0;
  for (let part = 0; part < 8; part++) {
    const deg = from + ((part + 0.5) / 8) * columnDeg;
    const cell = ((Math.floor(deg / cellDeg) % cellCount) + cellCount) % cellCount;
    sum += ringBits[cell] === 1 ? 1 : -1;
  }
  wave[i] = sum / 8;
}

/** Height of the wave at a place, columns clockwise from the zero mark, any real number. */
export function waveAt(column: number): number {
  const i = Math.round(column * finer) % wave.length;
  return wave[i < 0 ? i + wave.length : i] as number;
}

const fourier = new Fourier(n);
const waveRe = Float64Array.from({ length: n }, (_, x) => waveAt(x));
const waveIm = new Float64Array(n);
fourier.forward(waveRe, waveIm);

const re = new Float64Array(n);
const im = new Float64Array(n);

/** A place where the ring may lie. */
export interface RingPlace {
  /** Column of the zero mark. */
  readonly column: number;
  /** Do the cells run anticlockwise in the picture? */
  readonly isMirrored: boolean;
  /** Are all bits turned over? */
  readonly isInverted: boolean;
}

/** Places closer than this belong together, columns. */
const apart = Math.round(cellDeg / columnDeg);

/**
 * Places where the ring would explain the tracks best, best first: circular correlation with the wave, straight and mirrored.
 * @param values per column, 0 where nothing may be said
 */
export function likelyPlaces(values: Float64Array, count: number): RingPlace[] {
  re.set(values);
  im.fill(0);
  fourier.forward(re, im);
  for (let k = 0; k < n; k++) {
    const a = re[k] as number;
    const b = im[k] as number;
    const c = waveRe[k] as number;
    const d = waveIm[k] as number;
    // Straight: times the conjugate; mirrored: times the wave itself. Both are real, so one transform carries both.
    const straightRe = a * c + b * d;
    const straightIm = b * c - a * d;
    const mirroredRe = a * c - b * d;
    const mirroredIm = b * c + a * d;
    re[k] = straightRe - mirroredIm;
    im[k] = straightIm + mirroredRe;
  }
  fourier.inverse(re, im);
  const found: (RingPlace & { readonly strength: number })[] = [];
  for (const isMirrored of [false, true]) {
    const correlation = isMirrored ? im : re;
    for (let x = 0; x < n; x++) {
      const strength = Math.abs(correlation[x] as number);
      if (
        strength > Math.abs(correlation[x === 0 ? n - 1 : x - 1] as number) &&
        strength >= Math.abs(correlation[x + 1 === n ? 0 : x + 1] as number)
      )
        found.push({ column: x, isMirrored, isInverted: (correlation[x] as number) < 0, strength });
    }
  }
  found.sort((a, b) => b.strength - a.strength);
  const kept: RingPlace[] = [];
  for (const place of found) {
    const isNew = kept.every((k) => {
      const gap = Math.abs(k.column - place.column);
      return k.isMirrored !== place.isMirrored || Math.min(gap, n - gap) >= apart;
    });
    if (isNew) kept.push(place);
    if (kept.length === count) break;
  }
  return kept;
}
