/** Nodes and weights of a Gauss-Legendre rule on [-1, 1]. */
export interface GaussRule {
  readonly nodes: Float64Array;
  readonly weights: Float64Array;
}

/**
 * Gauss-Legendre rule of n points: exact for polynomials up to degree 2n - 1. The nodes are the roots of the Legendre
 * polynomial, found by Newton's method from their well-known approximation.
 * @source Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 25.4.29
 */
export function gaussRule(points: number): GaussRule {
  const nodes = new Float64Array(points);
  const weights = new Float64Array(points);
  for (let index = 0; index < points; index++) {
    let x = Math.cos((Math.PI * (index + 0.75)) / (points + 0.5));
    let slope = 0;
    // Newton doubles the digits each time; from this start five steps reach double precision, eight leave a margin.
    for (let step = 0; step < 8; step++) {
      let value = 1;
      let before = 0;
      for (let degree = 1; degree <= points; degree++) {
        const next = ((2 * degree - 1) * x * value - (degree - 1) * before) / degree;
        before = value;
        value = next;
      }
      slope = (points * (before - x * value)) / (1 - x * x);
      x -= value / slope;
    }
    nodes[index] = x;
    weights[index] = 2 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}

const coarse = gaussRule(10);
const fine = gaussRule(18);

/** Two rules must agree to this part of the whole before an interval counts as done. */
export const quadratureTolerance = 1e-11;

/** Halvings after which an interval is as narrow as rounding allows. */
const mostHalvings = 40;

function apply(rule: GaussRule, f: (x: number) => number, lower: number, upper: number): number {
  const half = (upper - lower) / 2;
  const middle = (upper + lower) / 2;
  let sum = 0;
  for (let index = 0; index < rule.nodes.length; index++) {
    sum += (rule.weights[index] as number) * f(middle + half * (rule.nodes[index] as number));
  }
  return sum * half;
}

function refine(f: (x: number) => number, lower: number, upper: number, scale: number, halvings: number): number {
  const estimate = apply(fine, f, lower, upper);
  // The coarse rule's error bounds the fine rule's from above by orders of magnitude.
  if (Math.abs(estimate - apply(coarse, f, lower, upper)) <= quadratureTolerance * scale || halvings >= mostHalvings) {
    return estimate;
  }
  const middle = (lower + upper) / 2;
  return refine(f, lower, middle, scale, halvings + 1) + refine(f, middle, upper, scale, halvings + 1);
}

/**
 * Integral of a function that is smooth inside an interval, to better than 1e-9 of `scale`.
 *
 * No step is chosen by the caller: two Gauss-Legendre rules are compared and the interval is halved until they agree.
 * @param scale size of the whole result that this interval is a part of, greater than 0
 */
export function integral(f: (x: number) => number, lower: number, upper: number, scale: number): number {
  return refine(f, lower, upper, scale, 0);
}

/**
 * As `integral`, for a function that starts (or ends) like a power n/2 of the distance from that end: the substitution
 * x = end +- s^2 makes it smooth again.
 */
export function integralFromRoot(f: (x: number) => number, rootEnd: number, otherEnd: number, scale: number): number {
  const sign = otherEnd >= rootEnd ? 1 : -1;
  const length = Math.sqrt(Math.abs(otherEnd - rootEnd));
  return integral((s) => 2 * s * f(rootEnd + sign * s * s), 0, length, scale);
}
