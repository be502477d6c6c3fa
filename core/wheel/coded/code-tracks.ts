import { ringColumns } from '../ring-map.ts';
import { faceRadii } from './wheel-face.ts';

/** Circles gathered to read the coded ring, in wheel radii, with some room for a rim that was marked a little off. */
const firstRow = 0.652;
const rowStep = 0.0095;
export const codeRows: readonly number[] = Array.from({ length: 21 }, (_, r) => firstRow + r * rowStep);

/** Sizes of the ring tried, relative to what the outer ends of the ticks say. */
const scales = [1, 0.988, 1.012, 0.976, 1.024] as const;
const outerTrack = (faceRadii.codeOuter + faceRadii.codeMiddle) / 2;
const innerTrack = (faceRadii.codeMiddle + faceRadii.codeInner) / 2;
/** Half the width of a track that is read; the rest may be blurred into its neighbour. */
const trackHalf = 0.019;

/** Half width of the window in which tracks are judged, columns: 8 degrees, as long as the longest run of equal cells. */
const windowHalf = 45;
/** Tracks that differ by less than this can't be told from noise, grey levels. */
const leastContrast = 4;
/** Where one track is dark the other one is light: their mean may vary by no more than this share of their difference. */
const mostMeanChange = 0.4;
const mostSpreads = 1.5;

/** The two tracks of the ring, told against each other. */
export interface CodeTracks {
  /** Per column: positive where the outer track is the darker one, about +-1; 0 where not trusted. */
  readonly value: Float64Array;
  /** 1 where both tracks are seen and one of them is dark and the other light. */
  readonly trusted: Uint8Array;
  /** Share of all columns that are trusted. */
  readonly trustedFraction: number;
}

const n = ringColumns;

/** Keeps the buffers; one for each thread of work. */
export class TrackReader implements CodeTracks {
  readonly value = new Float64Array(n);
  readonly trusted = new Uint8Array(n);
  trustedFraction = 0;
  private readonly difference = new Float64Array(n);
  private readonly mean = new Float64Array(n);
  private readonly valid = new Uint8Array(n);
  private readonly bestDifference = new Float64Array(n);
  private readonly bestMean = new Float64Array(n);

  /** @param samples `codeRows.length` rows of grey levels, below 0 where outside the picture */
  read(samples: Float32Array): CodeTracks {
    this.valid.fill(1);
    for (let r = 0; r < codeRows.length; r++)
      for (let x = 0, i = r * n; x < n; x++, i++) if ((samples[i] as number) < 0) this.valid[x] = 0;
    let strongest = -1;
    for (const scale of scales) {
      const contrast = this.measure(samples, scale);
      // The expected size stands unless another one shows the tracks clearly better.
      if (contrast > strongest * 1.03) {
        strongest = contrast;
        this.bestDifference.set(this.difference);
        this.bestMean.set(this.mean);
      }
    }
    this.judge();
    return this;
  }

  private measure(samples: Float32Array, scale: number): number {
    const { difference, mean, valid } = this;
    difference.fill(0);
    mean.fill(0);
    for (const [centre, sign] of [
      [outerTrack, -1],
      [innerTrack, 1],
    ] as const) {
      const from = Math.ceil((centre * scale - trackHalf - firstRow) / rowStep);
      const to = Math.floor((centre * scale + trackHalf - firstRow) / rowStep);
      const weight = 1 / (to - from + 1);
      for (let r = from; r <= to; r++)
        for (let x = 0, i = r * n; x < n; x++, i++) {
          const v = weight * (samples[i] as number);
          difference[x] = (difference[x] as number) + sign * v;
          mean[x] = (mean[x] as number) + 0.5 * v;
        }
    }
    let sum = 0;
    for (let x = 0; x < n; x++) if (valid[x]) sum += Math.abs(difference[x] as number);
    return sum;
  }

  private judge(): void {
    const { value, trusted, valid, bestDifference: d, bestMean: m } = this;
    let count = 0;
    let spread = 0;
    let level = 0;
    let square = 0;
    const take = (column: number, sign: 1 | -1): void => {
      const x = column < 0 ? column + n : column >= n ? column - n : column;
      if (!valid[x]) return;
      const mean = m[x] as number;
      count += sign;
      spread += sign * Math.abs(d[x] as number);
      level += sign * mean;
      square += sign * mean * mean;
    };
    for (let x = -windowHalf; x <= windowHalf; x++) take(x, 1);
    let sum = 0;
    for (let x = 0; x < n; x++) {
      const contrast = count > windowHalf / 2 ? spread / count : 0;
      const variance = count > 0 ? Math.max(0, square / count - (level / count) ** 2) : 0;
      const ok = valid[x] && contrast >= leastContrast && Math.sqrt(variance) <= mostMeanChange * contrast;
      trusted[x] = ok ? 1 : 0;
      value[x] = ok ? Math.max(-mostSpreads, Math.min(mostSpreads, (d[x] as number) / contrast)) : 0;
      sum += trusted[x] as number;
      take(x + windowHalf + 1, 1);
      take(x - windowHalf, -1);
    }
    this.trustedFraction = sum / n;
  }
}
