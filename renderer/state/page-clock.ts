/** Milliseconds since the epoch on the performance clock, which page and worker share. */
export function nowMsOfPage(): number {
  return performance.timeOrigin + performance.now();
}
