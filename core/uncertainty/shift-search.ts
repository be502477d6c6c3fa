/**
 * Which single shift among a session's readings explains them best?
 *
 * The readings follow a linear model. Each hypothesis adds one column to it: the readings that it says are shifted. All
 * are fitted by least squares and compared by how probable they make the readings, with the scatter itself known only
 * roughly: a prior that counts as a few degrees of freedom, so that a few readings can't claim too much.
 * @source Student's t as the marginal of a normal with a scaled inverse chi-squared prior on its variance; Gelman et
 *   al., Bayesian Data Analysis, section 3.2
 */
import { positive } from '../checks.ts';
import type { Deg } from '../units.ts';

export interface ShiftRow {
  /** Reading less whatever is known of it. */
  readonly valueDeg: Deg;
  /** Standard uncertainty that it should have, greater than 0. */
  readonly sigmaDeg: Deg;
  /** Its row of the model without any shift. */
  readonly design: readonly number[];
}

export interface ShiftHypothesis {
  readonly key: string;
  /** One number a row: 1 where the reading is shifted, 0 where it isn't. */
  readonly column: readonly number[];
  /** How many hypotheses of its kind are tried: the best of many fits by chance. */
  readonly among: number;
}

export interface ShiftFit {
  readonly key: string;
  /** Null where the model itself can take this shift up: then the readings say nothing about it. */
  readonly sizeDeg: Deg | null;
  /** Natural logarithm of the odds against no shift at all; 0 where nothing can be said. */
  readonly logOdds: number;
  /** The same without the penalty for having tried many: equal where two hypotheses shift the readings alike. */
  readonly rawLogOdds: number;
  /** Root mean square of what the fit leaves, per degree of freedom; null without any to spare. */
  readonly leftDeg: Deg | null;
}

/** Shares of a column's length below this are rounding: the model has it already. */
const dependent = 1e-9;

type Vector = Float64Array;

const dot = (a: Vector, b: Vector): number => a.reduce((sum, one, index) => sum + one * (b[index] ?? 0), 0);

/** Takes out of a vector what lies along orthonormal ones; twice, since once leaves rounding behind. */
function withoutThese(vector: Vector, basis: readonly Vector[]): Vector {
  const left = Float64Array.from(vector);
  for (let pass = 0; pass < 2; pass += 1) {
    for (const direction of basis) {
      const along = dot(left, direction);
      for (let index = 0; index < left.length; index += 1)
        left[index] = (left[index] ?? 0) - along * (direction[index] ?? 0);
    }
  }
  return left;
}

function orthonormal(columns: readonly Vector[]): Vector[] {
  const basis: Vector[] = [];
  for (const column of columns) {
    const left = withoutThese(column, basis);
    const length = Math.sqrt(dot(left, left));
    if (length <= dependent * Math.max(1, Math.sqrt(dot(column, column)))) continue;
    basis.push(left.map((one) => one / length));
  }
  return basis;
}

/**
 * Fits every hypothesis to the same readings.
 * @param rows each with a design row of the same length; columns may depend on each other
 * @param priorDegreesOfFreedom what the given sigmas are worth, greater than 0
 * @returns one fit a hypothesis, the most probable first, and what the model without a shift leaves
 * @throws missing, non_positive
 */
export function searchShift(
  rows: readonly ShiftRow[],
  hypotheses: readonly ShiftHypothesis[],
  priorDegreesOfFreedom: number,
): { readonly fits: readonly ShiftFit[]; readonly leftDeg: Deg | null } {
  const worth = positive('priorDegreesOfFreedom', priorDegreesOfFreedom);
  const weights = rows.map((row) => 1 / positive('sigmaDeg', row.sigmaDeg));
  const weighted = (of: (index: number) => number): Vector =>
    Float64Array.from(weights, (weight, index) => weight * of(index));
  const width = Math.max(0, ...rows.map(({ design }) => design.length));
  const basis = orthonormal(
    Array.from({ length: width }, (_, column) => weighted((index) => rows[index]?.design[column] ?? 0)),
  );
  const residual = withoutThese(
    weighted((index) => rows[index]?.valueDeg ?? 0),
    basis,
  );
  const squares = dot(residual, residual);
  const spare = rows.length - basis.length;
  const meanSigma = rows.reduce((sum, row) => sum + row.sigmaDeg, 0) / Math.max(1, rows.length);
  const left = (sum: number, freedom: number): Deg | null =>
    freedom <= 0 ? null : meanSigma * Math.sqrt(Math.max(0, sum) / freedom);
  const logProbability = (sum: number, freedom: number): number =>
    (-(freedom + worth) / 2) * Math.log1p(Math.max(0, sum) / worth);
  const fits = hypotheses.map(({ key, column, among }): ShiftFit => {
    const whole = weighted((index) => column[index] ?? 0);
    const own = withoutThese(whole, basis);
    const length = dot(own, own);
    if (spare <= 0 || length <= dependent * Math.max(1, dot(whole, whole))) {
      return { key, sizeDeg: null, logOdds: 0, rawLogOdds: 0, leftDeg: left(squares, spare) };
    }
    const sizeDeg = dot(residual, own) / length;
    const remaining = squares - sizeDeg ** 2 * length;
    const rawLogOdds = logProbability(remaining, spare - 1) - logProbability(squares, spare);
    const logOdds = rawLogOdds - Math.log(Math.max(1, among));
    return { key, sizeDeg, logOdds, rawLogOdds, leftDeg: left(remaining, spare - 1) };
  });
  return { fits: fits.toSorted((a, b) => b.logOdds - a.logOdds), leftDeg: left(squares, spare) };
}
