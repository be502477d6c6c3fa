/** Blades of the common feeler sets, offered while a gap is typed. Trade habit, not a standard: sets differ. */

const by = (from: number, to: number, step: number): number[] =>
  Array.from({ length: Math.round((to - from) / step) + 1 }, (_, index) => Number((from + index * step).toFixed(4)));

/** Millimetre blades. */
export const feelerSeriesMm: readonly number[] = [0.02, 0.03, 0.04, ...by(0.05, 0.5, 0.05), ...by(0.6, 1, 0.1)];

/** Inch blades. */
export const feelerSeriesInch: readonly number[] = [
  0.0015,
  0.002,
  0.0025,
  ...by(0.003, 0.01, 0.001),
  0.012,
  ...by(0.014, 0.035, 0.001),
];
