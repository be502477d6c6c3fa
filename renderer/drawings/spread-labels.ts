/**
 * Moves labels along a column so that none overlaps the next, keeping their order and moving each as little as the
 * pushing from both ends allows.
 * @param wanted positions in ascending order
 * @param gap smallest distance between two labels
 * @returns positions inside [from, to], at least `gap` apart wherever the column is long enough
 */
export function spreadLabels(wanted: readonly number[], gap: number, from: number, to: number): number[] {
  const placed = wanted.map((position) => Math.min(to, Math.max(from, position)));
  for (let index = 1; index < placed.length; index += 1) {
    placed[index] = Math.max(placed[index] ?? from, (placed[index - 1] ?? from) + gap);
  }
  const last = placed.length - 1;
  if (last >= 0 && (placed[last] ?? to) > to) {
    placed[last] = to;
    for (let index = last - 1; index >= 0; index -= 1) {
      placed[index] = Math.min(placed[index] ?? to, (placed[index + 1] ?? to) - gap);
    }
  }
  return placed;
}
