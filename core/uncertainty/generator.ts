/** Gives uniform numbers in [0, 1), one a call. */
export type Generator = () => number;

const twoTo32 = 2 ** 32;

/** Words of 32 bits from an integer seed, so that neighbouring seeds start far apart. */
function scrambled(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x9e3779b9) >>> 0;
    let mixed = state ^ (state >>> 16);
    mixed = Math.imul(mixed, 0x85ebca6b);
    mixed ^= mixed >>> 13;
    mixed = Math.imul(mixed, 0xc2b2ae35);
    return (mixed ^ (mixed >>> 16)) >>> 0;
  };
}

/**
 * Repeatable stream of uniform numbers with 53 bits each; the same seed gives the same stream on every machine.
 * @param seed any integer; only its lowest 32 bits count
 * @source Marsaglia, Xorshift RNGs, Journal of Statistical Software 8 (2003), the generator of period 2^128 - 1
 */
export function seededGenerator(seed: number): Generator {
  const start = scrambled(seed);
  let x = start();
  let y = start();
  let z = start();
  // The state must not be all zero; an odd word makes sure of it.
  let w = start() | 1;
  const word = (): number => {
    const mixed = x ^ (x << 11);
    x = y;
    y = z;
    z = w;
    w = w ^ (w >>> 19) ^ mixed ^ (mixed >>> 8);
    return w >>> 0;
  };
  return () => ((word() >>> 5) * 2 ** 26 + (word() >>> 6)) / (2 ** 21 * twoTo32);
}

/**
 * Standard normal numbers from uniform ones.
 * @source Box and Muller, Annals of Mathematical Statistics 29 (1958)
 */
export function normalFrom(generator: Generator): Generator {
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    // 1 - u lies in (0, 1], where the logarithm exists.
    const radius = Math.sqrt(-2 * Math.log(1 - generator()));
    const angle = 2 * Math.PI * generator();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}

/** Uniform numbers in [-halfWidth, halfWidth). */
export function rectangularFrom(generator: Generator, halfWidth: number): Generator {
  return () => halfWidth * (2 * generator() - 1);
}
