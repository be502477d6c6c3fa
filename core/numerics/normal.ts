/**
 * Complementary error function to about 1e-15 relative for x >= 0.
 * Below 2 by the everywhere convergent series of erf, above by its continued fraction: the two meet where both are at
 * full accuracy.
 * @source Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 7.1.6 and 7.1.14
 */
function complementaryError(x: number): number {
  if (x < 2) {
    let term = x;
    let sum = x;
    for (let n = 1; term > 1e-17 * sum; n++) {
      term *= (2 * x * x) / (2 * n + 1);
      sum += term;
    }
    return 1 - (2 / Math.sqrt(Math.PI)) * Math.exp(-x * x) * sum;
  }
  // From the tail inwards; 60 levels are past double precision from x = 2 on.
  let tail = 0;
  for (let n = 60; n >= 1; n--) tail = n / 2 / (x + tail);
  return Math.exp(-x * x) / (Math.sqrt(Math.PI) * (x + tail));
}

/** Upper tail 1 - Phi(z) of the standard normal law, accurate in both tails; z may be infinite. */
export function normalAbove(z: number): number {
  return z >= 0 ? complementaryError(z / Math.SQRT2) / 2 : 1 - complementaryError(-z / Math.SQRT2) / 2;
}

/** Probability of the standard normal law between two points; computed in the nearer tail so that nothing cancels. */
export function normalBetween(lower: number, upper: number): number {
  return lower > 0 ? normalAbove(lower) - normalAbove(upper) : normalAbove(-upper) - normalAbove(-lower);
}
