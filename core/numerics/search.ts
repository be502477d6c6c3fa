/** Inverse of the golden ratio: each step keeps one of the two inner points. */
const goldenPart = (Math.sqrt(5) - 1) / 2;

/**
 * Highest value of a smooth function in an interval, ends included.
 *
 * A grid finds the hill, golden-section search climbs it until the interval is as narrow as rounding allows. The grid
 * must be finer than the hills; both callers' functions have one hill many cells wide.
 * @param cells number of grid cells
 * @returns the place to about 1e-8 of the interval and the value to rounding
 */
export function highest(
  f: (x: number) => number,
  lower: number,
  upper: number,
  cells = 180,
): { at: number; value: number } {
  const nodeAt = (index: number) => lower + ((upper - lower) * index) / cells;
  let best = 0;
  let bestValue = f(lower);
  for (let index = 1; index <= cells; index++) {
    const value = f(nodeAt(index));
    if (value > bestValue) {
      best = index;
      bestValue = value;
    }
  }
  let left = nodeAt(Math.max(0, best - 1));
  let right = nodeAt(Math.min(cells, best + 1));
  let inner = right - goldenPart * (right - left);
  let outer = left + goldenPart * (right - left);
  let innerValue = f(inner);
  let outerValue = f(outer);
  // Near its top a function is flat to rounding within the square root of machine precision, so narrower is noise.
  const narrowest = 1e-9 * (upper - lower);
  while (right - left > narrowest) {
    if (innerValue > outerValue) {
      right = outer;
      outer = inner;
      outerValue = innerValue;
      inner = right - goldenPart * (right - left);
      innerValue = f(inner);
    } else {
      left = inner;
      inner = outer;
      innerValue = outerValue;
      outer = left + goldenPart * (right - left);
      outerValue = f(outer);
    }
  }
  const middle = (left + right) / 2;
  // The top may be an end of the interval, which the section only approaches.
  const candidates = [middle, nodeAt(best)].map((at) => ({ at, value: f(at) }));
  return candidates.reduce((a, b) => (b.value > a.value ? b : a));
}
