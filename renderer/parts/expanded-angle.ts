/** An angle as it was read, with its expanded uncertainty U = 2 u, in degrees: neither with figures that mean nothing. */
export interface MeasuredAngleText {
  /** Hundredths at the most: no edge is placed finer. */
  readonly decimals: number;
  readonly expanded: string;
}

/** Two figures of U at the most, thousandths at the least: 0.008, 0.021, 0.87, 1.3. */
export function measuredAngle(sigmaDeg: number): MeasuredAngleText {
  const expandedDeg = 2 * sigmaDeg;
  const places = expandedDeg < 0.0995 ? 3 : expandedDeg < 0.995 ? 2 : 1;
  return { decimals: Math.min(2, places), expanded: expandedDeg.toFixed(places) };
}
