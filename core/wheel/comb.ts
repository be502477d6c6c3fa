import { circleToEllipse } from './ellipse.ts';
import { Fourier } from './fourier.ts';
import { gather } from './gather.ts';
import { circlePoses, nominalFocalOfWidth } from './pose.ts';
import { fillRingMatrix, fillRingPositions, ringColumns } from './ring-map.ts';
import type { GreyPicture, RimEllipse } from './types.ts';

/** Spectral lines of a degree wheel: numerals and long ticks (36..144 a turn), 2-degree ticks (180), 1-degree ticks (360). */
const lineNumbers = [36, 72, 108, 144, 180, 360] as const;
const lineCos = lineNumbers.map((m) =>
  Float64Array.from({ length: ringColumns }, (_, x) => Math.cos((2 * Math.PI * m * x) / ringColumns)),
);
const lineSin = lineNumbers.map((m) =>
  Float64Array.from({ length: ringColumns }, (_, x) => Math.sin((2 * Math.PI * m * x) / ringColumns)),
);

/** Half width of the moving mean that takes shading out, columns (4 degrees). */
const highPassHalf = 23;

/** How evenly the ticks stand on three thin circles; 1 would be a pure wave. */
export interface CombLines {
  /** Lines 36, 72 and 108. */
  readonly coarse: number;
  /** Lines 72, 144, 180 and 360. */
  readonly middle: number;
  /** Lines 180 and 360. */
  readonly fine: number;
  readonly line180: number;
  readonly line360: number;
}

const fourier = new Fourier(ringColumns);

/** Measures tick combs; keeps its buffers. */
export class TickComb {
  private readonly xs = new Float32Array(ringColumns * 3);
  private readonly ys = new Float32Array(ringColumns * 3);
  private readonly samples = new Float32Array(ringColumns * 3);
  private readonly mean = new Float64Array(ringColumns);
  private readonly valid = new Uint8Array(ringColumns);
  private readonly clean = new Float64Array(ringColumns);
  private readonly rows = new Float64Array(3);
  private readonly h = new Float64Array(9);
  private readonly spectrumRe = new Float64Array(ringColumns);
  private readonly spectrumIm = new Float64Array(ringColumns);
  private norm = 1;

  /** Lines of the circle of relative radius `rho` under the map of `rim` and centre k. */
  measure(picture: GreyPicture, rim: RimEllipse, kx: number, ky: number, rho: number): CombLines {
    fillRingMatrix(circleToEllipse(rim), kx, ky, this.h);
    return this.measureMatrix(picture, this.h, rho);
  }

  /** Fills `clean` with the circle freed of shading; false where too little of it is in the picture. */
  private prepare(picture: GreyPicture, h: Float64Array, rho: number): boolean {
    const { xs, ys, samples, mean, valid, clean, rows } = this;
    rows[0] = rho - 0.008;
    rows[1] = rho;
    rows[2] = rho + 0.008;
    fillRingPositions(h, rows, xs, ys);
    gather(picture, xs, ys, ringColumns * 3, samples);
    let count = 0;
    for (let x = 0; x < ringColumns; x++) {
      const a = samples[x] as number;
      const b = samples[x + ringColumns] as number;
      const c = samples[x + 2 * ringColumns] as number;
      const ok = a >= 0 && b >= 0 && c >= 0 ? 1 : 0;
      valid[x] = ok;
      mean[x] = ok ? (a + b + c) / 3 : 0;
      count += ok;
    }
    if (count < ringColumns * 0.4) return false;
    let sum = 0;
    let n = 0;
    for (let x = -highPassHalf; x <= highPassHalf; x++) {
      const i = (x + ringColumns) % ringColumns;
      sum += mean[i] as number;
      n += valid[i] as number;
    }
    let energy = 0;
    for (let x = 0; x < ringColumns; x++) {
      const v = valid[x] ? (mean[x] as number) - sum / Math.max(1, n) : 0;
      clean[x] = v;
      energy += v * v;
      const add = (x + highPassHalf + 1) % ringColumns;
      const drop = (x - highPassHalf + ringColumns) % ringColumns;
      sum += (mean[add] as number) - (mean[drop] as number);
      n += (valid[add] as number) - (valid[drop] as number);
    }
    // Local normalisation in blocks: half a wheel in the dark must count as much as half a wheel in the light.
    const block = 64;
    const floor = (energy / count) * 0.02 + 0.25;
    let total = 0;
    for (let start = 0; start < ringColumns; start += block) {
      let e = 0;
      for (let x = start; x < start + block; x++) e += (clean[x] as number) ** 2;
      const f = 1 / Math.sqrt(e / block + floor);
      for (let x = start; x < start + block; x++) {
        const v = Math.max(-3, Math.min(3, (clean[x] as number) * f));
        clean[x] = v;
        total += v * v;
      }
    }
    this.norm = Math.SQRT2 / Math.sqrt(Math.max(total, 1e-9) * count);
    return true;
  }

  /**
   * How much more the spectrum holds where ticks of 1 or 2 degrees put it than elsewhere, whichever centre was taken: a
   * wrong centre only widens the lines. Some 1 without ticks.
   */
  tickness(picture: GreyPicture, rim: RimEllipse, kx: number, ky: number, rho: number): number {
    fillRingMatrix(circleToEllipse(rim), kx, ky, this.h);
    if (!this.prepare(picture, this.h, rho)) return 0;
    const { spectrumRe: re, spectrumIm: im } = this;
    re.set(this.clean);
    im.fill(0);
    fourier.forward(re, im);
    const density = (from: number, to: number): number => {
      let sum = 0;
      for (let m = from; m < to; m++) sum += (re[m] as number) ** 2 + (im[m] as number) ** 2;
      return sum / (to - from);
    };
    const elsewhere = (density(80, 130) + density(230, 290) + density(440, 520)) / 3 + 1e-9;
    return Math.max(density(330, 392), density(160, 202)) / elsewhere;
  }

  measureMatrix(picture: GreyPicture, h: Float64Array, rho: number): CombLines {
    if (!this.prepare(picture, h, rho)) return none;
    const { clean, norm } = this;
    const amplitude = [0, 0, 0, 0, 0, 0];
    for (let l = 0; l < 6; l++) {
      const cos = lineCos[l] as Float64Array;
      const sin = lineSin[l] as Float64Array;
      let re = 0;
      let im = 0;
      for (let x = 0; x < ringColumns; x++) {
        const v = clean[x] as number;
        re += v * (cos[x] as number);
        im += v * (sin[x] as number);
      }
      amplitude[l] = Math.hypot(re, im) * norm;
    }
    const [l36, l72, l108, l144, l180, l360] = amplitude as [number, number, number, number, number, number];
    return {
      coarse: l36 + l72 + l108,
      middle: l72 + l144 + l180 + l360,
      fine: l180 + l360,
      line180: l180,
      line360: l360,
    };
  }
}

const none: CombLines = { coarse: 0, middle: 0, fine: 0, line180: 0, line360: 0 };

/** Result of `centreFromTicks`. */
export interface CombFit {
  readonly kx: number;
  readonly ky: number;
  /** Relative radius of the circle on which the ticks stand clearest. */
  readonly rho: number;
  readonly coherence: number;
  readonly lines: CombLines;
}

type Score = (lines: CombLines) => number;
const coarse: Score = (l) => l.coarse;
const middle: Score = (l) => l.middle;
const fine: Score = (l) => l.fine;

/**
 * Finds the true centre inside the rim's ellipse as the one that makes the ticks stand evenly round the ring.
 * @param rhos relative radii to try
 * @param enough coherence at which no further circle is tried
 */
export function centreFromTicks(
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  rhos: readonly number[],
  enough = 2,
): CombFit {
  const px = (picture.widthPx - 1) / 2;
  const py = (picture.heightPx - 1) / 2;
  const starts: Centre[] = [[0, 0]];
  for (const factor of [0.7, 0.82, 0.94, 1.06, 1.2, 1.4, 1.7])
    for (const pose of circlePoses(rim, nominalFocalOfWidth * picture.widthPx * factor, px, py))
      if (Math.hypot(pose.kx, pose.ky) < 0.3) starts.push([pose.kx, pose.ky]);
  let best: CombFit = { kx: 0, ky: 0, rho: 0.95, coherence: -1, lines: none };
  for (const rho of rhos) {
    best = clearer(best, climbAll(comb, picture, rim, rho, starts));
    if (best.coherence > enough) break;
  }
  return best.coherence > clearOnOneCircle ? best : clearer(best, centreByNeighbours(comb, picture, rim, rhos, starts));
}

const clearer = (one: CombFit, other: CombFit): CombFit => (other.coherence > one.coherence ? other : one);

/** Less than this on a circle whose ticks are plain to see is a false summit. */
const clearOnOneCircle = 0.6;
/** Circles without ticks reach 3 now and then, faint laser marks 4, ordinary scales 10 to 1000. */
export const plainTickness = 30;
/** Where the long ticks and the numerals stand, from the circle that the short ticks cross too. */
const neighbourSteps: readonly number[] = [-0.03, 0.03, -0.06, 0.06];
const neighboursUsed = 4;

/**
 * Ticks that are all alike on their circle give no coarse lines to climb by, and seen large and steeply every start lies
 * off the one narrow summit. Circles beside it, which only the long ticks or the numerals cross, lead to the same centre.
 */
function centreByNeighbours(
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  rhos: readonly number[],
  starts: readonly Centre[],
): CombFit {
  let best: CombFit = { kx: 0, ky: 0, rho: 0.95, coherence: -1, lines: none };
  const isPlain = (rho: number): boolean =>
    starts.some(([kx, ky]) => comb.tickness(picture, rim, kx, ky, rho) > plainTickness);
  const plain = rhos.filter(isPlain);
  const neighbours = new Set(plain.flatMap((rho) => neighbourSteps.map((step) => Number((rho + step).toFixed(3)))));
  for (const rho of plain) neighbours.delete(rho);
  const centres = [...neighbours]
    .map((rho) => climbAll(comb, picture, rim, rho, starts))
    .sort((a, b) => b.coherence - a.coherence)
    .slice(0, neighboursUsed)
    .map(({ kx, ky }): Centre => [kx, ky]);
  for (const rho of plain)
    for (const [kx, ky] of centres) best = clearer(best, climbFine(comb, picture, rim, rho, kx, ky));
  return best;
}

type Centre = readonly [kx: number, ky: number];

/** The best centre for the ticks of one circle, from the most promising starts. */
function climbAll(
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  rho: number,
  starts: readonly Centre[],
): CombFit {
  const ranked = starts
    .map(([kx, ky]) => ({ kx, ky, score: comb.measure(picture, rim, kx, ky, rho).coarse }))
    .sort((a, b) => b.score - a.score);
  return ranked
    .slice(0, 4)
    .map(({ kx, ky }) =>
      climbFine(comb, picture, rim, rho, ...climb(comb, picture, rim, kx, ky, rho, coarse, 0.012, 0.006)),
    )
    .reduce(clearer);
}

function climbFine(
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  rho: number,
  kx0: number,
  ky0: number,
): CombFit {
  const near = climb(comb, picture, rim, kx0, ky0, rho, middle, 0.006, 0.0015);
  const [kx, ky] = climb(comb, picture, rim, ...near, rho, fine, 0.0015, 0.0003);
  const lines = comb.measure(picture, rim, kx, ky, rho);
  return { kx, ky, rho, coherence: lines.fine, lines };
}

function climb(
  comb: TickComb,
  picture: GreyPicture,
  rim: RimEllipse,
  kx0: number,
  ky0: number,
  rho: number,
  score: Score,
  from: number,
  to: number,
): [number, number] {
  let kx = kx0;
  let ky = ky0;
  let best = score(comb.measure(picture, rim, kx, ky, rho));
  for (let step = from; step >= to * 0.99; step /= 2) {
    for (let moved = true, guard = 0; moved && guard < 12; guard++) {
      moved = false;
      let bx = kx;
      let by = ky;
      for (let d = 0; d < 8; d++) {
        const tx = kx + step * Math.cos((d * Math.PI) / 4);
        const ty = ky + step * Math.sin((d * Math.PI) / 4);
        const value = score(comb.measure(picture, rim, tx, ty, rho));
        if (value > best) {
          best = value;
          bx = tx;
          by = ty;
          moved = true;
        }
      }
      kx = bx;
      ky = by;
    }
  }
  return [kx, ky];
}
