import { inverse, Matrix, solve } from 'ml-matrix';
import { type ModelBase, modelOf, modelParameterCount, movePixel, type RigidModel } from './rigid-model.ts';

/** One mark seen in two frames. */
export interface Match {
  readonly fromFrame: number;
  readonly toFrame: number;
  readonly fromX: number;
  readonly fromY: number;
  readonly toX: number;
  readonly toY: number;
  /** Unit vectors along the ring and across it at `to`, and pixels per radian and per rim radius there. */
  readonly alongX: number;
  readonly alongY: number;
  readonly radiusPx: number;
  /** Standard deviations expected, degrees and rim radii. */
  readonly sigmaDeg: number;
  readonly sigmaRadial: number;
}

export interface BundleResult {
  readonly model: RigidModel;
  readonly parameters: Float64Array;
  /** What was minimised. */
  readonly cost: number;
  readonly rotationsDeg: Float64Array;
  /** Shift of the whole wheel in the picture against the reference frame, x and y of each frame, pixels. */
  readonly shiftsPx: Float64Array;
  /** Covariance of the model parameters, the rotations marginalised. */
  readonly covariance: Float64Array;
  /** Standard deviation of each rotation from the joint fit, degrees, scaled by the fit's own scatter. */
  readonly rotationSigmaDeg: Float64Array;
  /** Robust scatter of the residuals along the ring, degrees. */
  readonly residualDeg: number;
  /** Robust weight of each match, 0..1. */
  readonly weights: Float64Array;
  /** Residual along the ring of each match, degrees. */
  readonly alongResidualDeg: Float64Array;
  readonly acrossResidual: Float64Array;
}

/** Prior standard deviations of the parameters: how far set-ups of the bench differ from the pose before the fit. */
const priorSigma = [0.15, 0.08, 0.03, 0.03, 0.012, 0.012, 3, 3] as const;
/** The principal point lies off the middle of the picture by about this share of its half width. */
const principalPrior = 0.006;

/**
 * A frame's wheel may sit a little elsewhere in the picture (a bench that gives, a sensor read out line by line, a
 * camera that sags). Most don't: scale of the soft-L1 prior that holds them at nought, pixels.
 */
const shiftPriorPx = 0.15;

const predicted = new Float64Array(2);

/** Fills residuals of one match, in standard deviations: along, across. */
function residual(
  model: RigidModel,
  fromDeg: number,
  toDeg: number,
  m: Match,
  fromShiftX: number,
  fromShiftY: number,
  toShiftX: number,
  toShiftY: number,
  out: Float64Array,
): void {
  movePixel(model, fromDeg, toDeg, m.fromX - fromShiftX, m.fromY - fromShiftY, predicted);
  const dx = m.toX - toShiftX - (predicted[0] as number);
  const dy = m.toY - toShiftY - (predicted[1] as number);
  out[0] = (((dx * m.alongX + dy * m.alongY) / m.radiusPx) * (180 / Math.PI)) / m.sigmaDeg;
  out[1] = (-dx * m.alongY + dy * m.alongX) / m.radiusPx / m.sigmaRadial;
}

/**
 * Fits model, rotations and small shifts to all matches by Levenberg-Marquardt with soft-L1 weights and priors; frame 0
 * stays at 0.
 * @param rotationsDeg start values, one per frame; frame 0 must be 0
 * @source Levenberg-Marquardt after Nocedal & Wright, "Numerical Optimization" (2006), section 10.3; soft-L1 as in Triggs et
 *   al., "Bundle adjustment: a modern synthesis" (2000)
 */
export function fitBundle(
  base: ModelBase,
  matches: readonly Match[],
  rotationsDeg: ArrayLike<number>,
  start?: ArrayLike<number>,
): BundleResult {
  const frames = rotationsDeg.length;
  const P = modelParameterCount;
  const shiftAt = P + frames - 1;
  const free = shiftAt + 2 * frames;
  let p = new Float64Array(free);
  if (start !== undefined) for (let i = 0; i < P; i++) p[i] = start[i] as number;
  for (let f = 1; f < frames; f++) p[P + f - 1] = rotationsDeg[f] as number;
  const rotation = (v: Float64Array, f: number): number => (f === 0 ? 0 : (v[P + f - 1] as number));
  const shift = (v: Float64Array, f: number, axis: number): number => v[shiftAt + 2 * f + axis] as number;
  const prior = Float64Array.from({ length: free }, (_, i) =>
    i < P ? 1 / (priorSigma[i] ?? principalPrior * base.px) ** 2 : i < shiftAt ? 0 : 1 / shiftPriorPx ** 2,
  );
  const priorWeight = (v: Float64Array, i: number): number =>
    (prior[i] as number) * (i >= shiftAt ? 1 / Math.sqrt(1 + ((v[i] as number) / shiftPriorPx) ** 2) : 1);
  const r = new Float64Array(2);
  const at = (model: RigidModel, v: Float64Array, m: Match, out: Float64Array): void =>
    residual(
      model,
      rotation(v, m.fromFrame),
      rotation(v, m.toFrame),
      m,
      shift(v, m.fromFrame, 0),
      shift(v, m.fromFrame, 1),
      shift(v, m.toFrame, 0),
      shift(v, m.toFrame, 1),
      out,
    );

  const cost = (v: Float64Array): number => {
    const model = modelOf(base, v);
    let sum = 0;
    for (const m of matches) {
      at(model, v, m, r);
      const s = (r[0] as number) ** 2 + (r[1] as number) ** 2;
      sum += 2 * (Math.sqrt(1 + s) - 1);
    }
    for (let i = 0; i < P; i++) sum += (prior[i] as number) * (v[i] as number) ** 2;
    for (let i = shiftAt; i < free; i++) sum += 2 * (Math.sqrt(1 + ((v[i] as number) / shiftPriorPx) ** 2) - 1);
    return sum;
  };

  const steps = [1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-5, 1e-3, 1e-3, 1e-3, 1e-3];
  const width = P + 6;
  const jacobian = new Float64Array(2 * width);
  const index = new Int32Array(width);
  for (let i = 0; i < P; i++) index[i] = i;
  const rr = new Float64Array(2);
  const assemble = (v: Float64Array): { H: Matrix; g: Float64Array } => {
    const h = new Float64Array(free * free);
    const g = new Float64Array(free);
    const model = modelOf(base, v);
    const shifted = steps.map((step, i) => {
      const w = Float64Array.from(v);
      w[i] = (w[i] as number) + step;
      return modelOf(base, w);
    });
    for (const m of matches) {
      const from = rotation(v, m.fromFrame);
      const to = rotation(v, m.toFrame);
      const fx = shift(v, m.fromFrame, 0);
      const fy = shift(v, m.fromFrame, 1);
      const tx = shift(v, m.toFrame, 0);
      const ty = shift(v, m.toFrame, 1);
      residual(model, from, to, m, fx, fy, tx, ty, r);
      const differ = (k: number, by: number): void => {
        jacobian[2 * k] = ((rr[0] as number) - (r[0] as number)) / by;
        jacobian[2 * k + 1] = ((rr[1] as number) - (r[1] as number)) / by;
      };
      for (let i = 0; i < P; i++) {
        residual(shifted[i] as RigidModel, from, to, m, fx, fy, tx, ty, rr);
        differ(i, steps[i] as number);
      }
      residual(model, from + 1e-3, to, m, fx, fy, tx, ty, rr);
      differ(P, 1e-3);
      residual(model, from, to + 1e-3, m, fx, fy, tx, ty, rr);
      differ(P + 1, 1e-3);
      residual(model, from, to, m, fx + 1e-3, fy, tx, ty, rr);
      differ(P + 2, 1e-3);
      residual(model, from, to, m, fx, fy + 1e-3, tx, ty, rr);
      differ(P + 3, 1e-3);
      residual(model, from, to, m, fx, fy, tx + 1e-3, ty, rr);
      differ(P + 4, 1e-3);
      residual(model, from, to, m, fx, fy, tx, ty + 1e-3, rr);
      differ(P + 5, 1e-3);
      const a0 = m.fromFrame - 1;
      const b0 = m.toFrame - 1;
      index[P] = a0 < 0 ? -1 : P + a0;
      index[P + 1] = b0 < 0 ? -1 : P + b0;
      index[P + 2] = shiftAt + 2 * m.fromFrame;
      index[P + 3] = shiftAt + 2 * m.fromFrame + 1;
      index[P + 4] = shiftAt + 2 * m.toFrame;
      index[P + 5] = shiftAt + 2 * m.toFrame + 1;
      const w = 1 / Math.sqrt(1 + (r[0] as number) ** 2 + (r[1] as number) ** 2);
      for (let a = 0; a < width; a++) {
        const ia = index[a] as number;
        if (ia < 0) continue;
        const ja0 = (jacobian[2 * a] as number) * w;
        const ja1 = (jacobian[2 * a + 1] as number) * w;
        g[ia] = (g[ia] as number) + ja0 * (r[0] as number) + ja1 * (r[1] as number);
        for (let b = 0; b < width; b++) {
          const ib = index[b] as number;
          if (ib < 0) continue;
          h[ia * free + ib] =
            (h[ia * free + ib] as number) + ja0 * (jacobian[2 * b] as number) + ja1 * (jacobian[2 * b + 1] as number);
        }
      }
    }
    const H = new Matrix(free, free);
    for (let a = 0; a < free; a++) for (let b = 0; b < free; b++) H.set(a, b, h[a * free + b] as number);
    for (let i = 0; i < free; i++) {
      const weight = priorWeight(v, i);
      g[i] = (g[i] as number) + weight * (v[i] as number);
      H.set(i, i, H.get(i, i) + weight);
    }
    return { H, g };
  };

  let lambda = 1e-3;
  let best = cost(p);
  for (let it = 0; it < 40; it++) {
    const { H, g } = assemble(p);
    let improved = false;
    let gain = 0;
    for (let attempt = 0; attempt < 8 && !improved; attempt++) {
      const A = H.clone();
      for (let i = 0; i < free; i++) A.set(i, i, A.get(i, i) * (1 + lambda) + 1e-12);
      let step: Matrix;
      try {
        step = solve(A, Matrix.columnVector(Array.from(g, (x) => -x)));
      } catch {
        lambda *= 10;
        continue;
      }
      const q = Float64Array.from(p, (x, i) => x + step.get(i, 0));
      const c = cost(q);
      if (c < best) {
        gain = best - c;
        best = c;
        p = q;
        lambda = Math.max(1e-9, lambda / 5);
        improved = true;
      } else lambda *= 6;
    }
    if (!improved || gain < 1e-7 * best + 1e-9) break;
  }

  const model = modelOf(base, p);
  const weights = new Float64Array(matches.length);
  const along = new Float64Array(matches.length);
  const across = new Float64Array(matches.length);
  const size = new Float64Array(matches.length);
  matches.forEach((m, i) => {
    at(model, p, m, r);
    weights[i] = 1 / Math.sqrt(1 + (r[0] as number) ** 2 + (r[1] as number) ** 2);
    along[i] = (r[0] as number) * m.sigmaDeg;
    across[i] = (r[1] as number) * m.sigmaRadial;
    size[i] = Math.abs(r[0] as number);
  });
  const residualDeg = 1.4826 * medianOf(along.map(Math.abs));
  // The priors are real standard deviations; the matches are scaled to the scatter they show, once too bold and once too timid.
  const scatter = Math.max(0.05, 1.4826 * medianOf(size));
  const { H } = assemble(p);
  for (let i = 0; i < free; i++) H.set(i, i, H.get(i, i) - priorWeight(p, i));
  H.mul(1 / (scatter * scatter));
  for (let i = 0; i < free; i++) H.set(i, i, H.get(i, i) + priorWeight(p, i) + (i >= P && i < shiftAt ? 1e-9 : 0));
  const C = inverse(H);
  const covariance = new Float64Array(modelParameterCount * modelParameterCount);
  for (let a = 0; a < P; a++) for (let b = 0; b < P; b++) covariance[a * P + b] = C.get(a, b);
  const rotationSigmaDeg = new Float64Array(frames);
  for (let f = 1; f < frames; f++) rotationSigmaDeg[f] = Math.sqrt(Math.max(0, C.get(P + f - 1, P + f - 1)));
  return {
    model,
    parameters: p.slice(0, modelParameterCount),
    cost: best,
    rotationsDeg: Float64Array.from({ length: frames }, (_, f) => rotation(p, f)),
    shiftsPx: Float64Array.from({ length: 2 * frames }, (_, i) => shift(p, i >> 1, i & 1)),
    covariance,
    rotationSigmaDeg,
    residualDeg,
    weights,
    alongResidualDeg: along,
    acrossResidual: across,
  };
}

export function medianOf(values: ArrayLike<number>): number {
  const sorted = Float64Array.from(values).sort();
  const n = sorted.length;
  if (n === 0) return Number.NaN;
  return n % 2 === 1 ? (sorted[n >> 1] as number) : ((sorted[n / 2 - 1] as number) + (sorted[n / 2] as number)) / 2;
}
