/** A fixed stream of numbers in [0, 1): the search must give the same answer every time. */
export function fixedNumbers(seed: number): () => number {
  let s = seed >>> 0;
  return () => {
    s = (Math.imul(s, 1664525) + 1013904223) >>> 0;
    return s / 4294967296;
  };
}
