import { gather } from './gather.ts';
import { fillRingPositions, ringColumns } from './ring-map.ts';
import type { GreyPicture } from './types.ts';

/** Circles of the ring that are read: numerals and ticks, from the inside outwards, in rim radii. */
export const ringRowCount = 24;
export const ringInner = 0.68;
export const ringOuter = 0.985;
export const rowStep = (ringOuter - ringInner) / (ringRowCount - 1);
export const ringRows: readonly number[] = Array.from({ length: ringRowCount }, (_, r) => ringInner + r * rowStep);

/** Circles of the face inside the scale (lettering, holes, scratches): they tell apart positions that the scale repeats. */
export const faceRowCount = 12;
export const faceRows: readonly number[] = Array.from(
  { length: faceRowCount },
  (_, r) => 0.2 + (r * 0.46) / (faceRowCount - 1),
);

/** A band of circles, straightened and freed of shading. */
export interface Strip {
  readonly rowCount: number;
  /** Row after row; zero mean and unit spread locally, 0 where not valid. */
  readonly values: Float32Array;
  /** 1 where the whole column lay inside the picture. */
  readonly valid: Uint8Array;
  /** Local standard deviation before normalising, grey levels. */
  readonly contrast: Float32Array;
  /** Local mean grey level. */
  readonly level: Float32Array;
  /** Are marks compared without their sign? Their likeness is lower then. */
  polarityFree: boolean;
}

export function emptyStrip(rowCount: number): Strip {
  return {
    rowCount,
    values: new Float32Array(rowCount * ringColumns),
    valid: new Uint8Array(ringColumns),
    contrast: new Float32Array(ringColumns),
    level: new Float32Array(ringColumns),
    polarityFree: false,
  };
}

/** Variance in grey levels² that is added before dividing: keeps flat areas from becoming noise of full height. */
const varianceFloor = 2;

/** How a band is freed of shading. */
export interface Normalising {
  /** Half width of the moving mean, columns. */
  readonly meanHalf: number;
  /** Half width of the moving spread, columns. */
  readonly spreadHalf: number;
}
export const ringNormalising: Normalising = { meanHalf: 23, spreadHalf: 45 };
export const faceNormalising: Normalising = { meanHalf: 30, spreadHalf: 80 };

const columnSum = new Float64Array(ringColumns);
const columnSquares = new Float64Array(ringColumns);
const prefix = new Float64Array(3 * ringColumns + 1);

/** Turns gathered grey levels (`outside` where not in the picture) into a strip, in place of its old contents. */
export function normalise(samples: Float32Array, strip: Strip, how: Normalising): void {
  const n = ringColumns;
  const { rowCount, values, valid, contrast, level } = strip;
  strip.polarityFree = false;
  valid.fill(1);
  columnSum.fill(0);
  columnSquares.fill(0);
  for (let r = 0; r < rowCount; r++)
    for (let x = 0, i = r * n; x < n; x++, i++) if ((samples[i] as number) < 0) valid[x] = 0;
  const { meanHalf, spreadHalf } = how;
  windowCounts(valid, meanHalf, meanCounts);
  windowCounts(valid, spreadHalf, spreadCounts);
  for (let r = 0; r < rowCount; r++) {
    const o = r * n;
    // A window slides round the row: one column comes in, one drops out.
    let sum = 0;
    for (let x = -meanHalf; x <= meanHalf; x++) {
      const i = x < 0 ? x + n : x;
      if (valid[i]) sum += samples[o + i] as number;
    }
    let energy = 0;
    let enter = meanHalf + 1;
    let leave = n - meanHalf;
    for (let x = 0; x < n; x++) {
      if (valid[x]) {
        const mean = sum / (meanCounts[x] as number);
        const v = (samples[o + x] as number) - mean;
        values[o + x] = v;
        columnSum[x] = (columnSum[x] as number) + mean;
        energy += v * v;
      } else values[o + x] = 0;
      if (valid[enter]) sum += samples[o + enter] as number;
      if (valid[leave]) sum -= samples[o + leave] as number;
      enter = enter + 1 === n ? 0 : enter + 1;
      leave = leave + 1 === n ? 0 : leave + 1;
    }
    rowEnergy[r] = energy;
  }
  capRows(strip);
  let squares = 0;
  for (let x = -spreadHalf; x <= spreadHalf; x++) squares += columnSquares[x < 0 ? x + n : x] as number;
  let enter = spreadHalf + 1;
  let leave = n - spreadHalf;
  for (let x = 0; x < n; x++) {
    if (valid[x]) {
      const variance = Math.max(0, squares / ((spreadCounts[x] as number) * rowCount));
      contrast[x] = Math.sqrt(variance);
      level[x] = (columnSum[x] as number) / rowCount;
      scale[x] = 1 / Math.sqrt(variance + varianceFloor);
    } else {
      contrast[x] = 0;
      level[x] = 0;
      scale[x] = 0;
    }
    squares += (columnSquares[enter] as number) - (columnSquares[leave] as number);
    enter = enter + 1 === n ? 0 : enter + 1;
    leave = leave + 1 === n ? 0 : leave + 1;
  }
  for (let r = 0; r < rowCount; r++)
    for (let x = 0, i = r * n; x < n; x++, i++) {
      // A lone glint must not outweigh the marks round it.
      values[i] = Math.max(-mostSpreads, Math.min(mostSpreads, (values[i] as number) * (scale[x] as number)));
    }
}

/** Largest value of a strip, local spreads. */
const mostSpreads = 4;
const scale = new Float64Array(ringColumns);
const meanCounts = new Float64Array(ringColumns);
const spreadCounts = new Float64Array(ringColumns);

/** Valid columns in the window round each column; at least 1. */
function windowCounts(valid: Uint8Array, half: number, out: Float64Array): void {
  const n = ringColumns;
  let sum = 0;
  for (let x = -half; x <= half; x++) sum += valid[x < 0 ? x + n : x] as number;
  for (let x = 0; x < n; x++) {
    out[x] = Math.max(1, sum);
    sum += (valid[(x + half + 1) % n] as number) - (valid[(x - half + n) % n] as number);
  }
}

const rowEnergy = new Float64Array(64);
/** A row may carry this many times the energy of the fourth-strongest in five. */
const mostRowEnergy = 2;

/** Keeps a row that runs along an edge (rim, printed circle) from drowning the marks, and sums up the columns. */
function capRows(strip: Strip): void {
  const n = ringColumns;
  const { rowCount, values } = strip;
  const usual = rowEnergy.slice(0, rowCount).sort()[Math.floor(rowCount * 0.8)] as number;
  for (let r = 0; r < rowCount; r++) {
    const o = r * n;
    const f = Math.min(1, Math.sqrt((mostRowEnergy * usual) / Math.max(1e-9, rowEnergy[r] as number)));
    for (let x = 0; x < n; x++) {
      const v = (values[o + x] as number) * f;
      values[o + x] = v;
      columnSquares[x] = (columnSquares[x] as number) + v * v;
    }
  }
}

/** Running sum over three turns, so that a window round any column of the middle turn is a difference. */
function fillPrefix(into: Float64Array, value: (x: number) => number): void {
  let sum = 0;
  const n = ringColumns;
  for (let x = 0; x < n; x++) {
    sum += value(x);
    into[x + 1] = sum;
  }
  for (let x = 0; x < 2 * n; x++) into[n + x + 1] = (into[x + 1] as number) + sum;
}

/**
 * Variant without polarity, for engraved or laser-marked metal whose marks turn from dark to bright with the light:
 * what counts is that there is a mark, not its sign. Works on a normalised strip, in place.
 */
export function dropPolarity(strip: Strip): void {
  strip.polarityFree = true;
  const n = ringColumns;
  const { rowCount, values, valid } = strip;
  const half = 23;
  for (let r = 0; r < rowCount; r++) {
    const row = values.subarray(r * n, (r + 1) * n);
    let previous = row[n - 1] as number;
    const first = row[0] as number;
    for (let x = 0; x < n; x++) {
      const here = row[x] as number;
      const next = x + 1 < n ? (row[x + 1] as number) : first;
      scratch[x] = Math.abs(0.25 * previous + 0.5 * here + 0.25 * next);
      previous = here;
    }
    for (let x = 0; x < n; x++)
      row[x] =
        0.25 * (scratch[(x + n - 1) % n] as number) +
        0.5 * (scratch[x] as number) +
        0.25 * (scratch[(x + 1) % n] as number);
    fillPrefix(prefix, (x) => row[x] as number);
    for (let x = 0; x < n; x++)
      scratch[x] = valid[x]
        ? (row[x] as number) -
          ((prefix[x + n + half + 1] as number) - (prefix[x + n - half] as number)) / (2 * half + 1)
        : 0;
    for (let x = 0; x < n; x++) row[x] = (scratch[x] as number) * 2;
  }
}
const scratch = new Float64Array(ringColumns);

/** Gathers and normalises the ring and the face inside it for one fixed map. */
export class StripReader {
  private readonly ringXs = new Float32Array(ringRowCount * ringColumns);
  private readonly ringYs = new Float32Array(ringRowCount * ringColumns);
  private readonly faceXs = new Float32Array(faceRowCount * ringColumns);
  private readonly faceYs = new Float32Array(faceRowCount * ringColumns);
  private readonly samples = new Float32Array(ringRowCount * ringColumns);

  constructor(toPicture: Float64Array) {
    fillRingPositions(toPicture, ringRows, this.ringXs, this.ringYs);
    fillRingPositions(toPicture, faceRows, this.faceXs, this.faceYs);
  }

  ring(picture: GreyPicture, strip: Strip): void {
    gather(picture, this.ringXs, this.ringYs, ringRowCount * ringColumns, this.samples);
    normalise(this.samples, strip, ringNormalising);
  }

  face(picture: GreyPicture, strip: Strip): void {
    gather(picture, this.faceXs, this.faceYs, faceRowCount * ringColumns, this.samples);
    normalise(this.samples, strip, faceNormalising);
  }
}

/** Box blur along the ring by a width in degrees (fraction of columns kept), as motion during the exposure does it. */
export function blurAlong(values: Float32Array, rowCount: number, widthDeg: number, out: Float32Array): void {
  const n = ringColumns;
  const width = (widthDeg / 360) * n;
  if (width <= 1) {
    out.set(values.subarray(0, rowCount * n));
    return;
  }
  const half = width / 2;
  const whole = Math.floor(half - 0.5);
  const edge = half - 0.5 - whole;
  for (let r = 0; r < rowCount; r++) {
    const o = r * n;
    fillPrefix(prefix, (x) => values[o + x] as number);
    for (let x = 0; x < n; x++) {
      const inner = (prefix[x + n + whole + 1] as number) - (prefix[x + n - whole] as number);
      const left = values[o + ((x - whole - 1 + 2 * n) % n)] as number;
      const right = values[o + ((x + whole + 1) % n)] as number;
      out[o + x] = (inner + edge * (left + right)) / width;
    }
  }
}
