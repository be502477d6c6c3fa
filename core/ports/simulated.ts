import { between, notNegative, wheelReading } from '../checks.ts';
import { type CrankGeometry, crankFrom, depthAt } from '../crank/geometry.ts';
import { rectangularFrom } from '../uncertainty/generator.ts';
import { type MonteCarloResult, type MonteCarloSettings, monteCarlo } from '../uncertainty/monte-carlo.ts';
import { type Deg, wrapTurn } from '../units.ts';

/**
 * Duration from two wheel readings with rectangular errors.
 * @param openReadingDeg, closeReadingDeg in [0, 360)
 * @param halfWidthOpenDeg, halfWidthCloseDeg 0 or more
 * @returns the mean is the duration, in [0, 360)
 * @throws missing, out_of_range, negative
 */
export function simulatedDuration(
  input: { openReadingDeg: Deg; closeReadingDeg: Deg; halfWidthOpenDeg: Deg; halfWidthCloseDeg: Deg },
  settings: MonteCarloSettings,
): MonteCarloResult {
  const open = wheelReading('openReadingDeg', input.openReadingDeg);
  const close = wheelReading('closeReadingDeg', input.closeReadingDeg);
  const openError = rectangularFrom(settings.generator, notNegative('halfWidthOpenDeg', input.halfWidthOpenDeg));
  const closeError = rectangularFrom(settings.generator, notNegative('halfWidthCloseDeg', input.halfWidthCloseDeg));
  // The errors are added to the unwrapped duration, so that none is torn apart at 360.
  const duration = wrapTurn(close - open);
  return monteCarlo(() => duration + closeError() - openError(), settings.trials);
}

/**
 * Depth of a port edge from its opening angle with a rectangular error.
 * @param openAtdcDeg between 0 and 180, both excluded
 * @param halfWidthDeg 0 or more
 * @throws missing, non_positive, rod_too_short, out_of_range, negative
 */
export function simulatedEdgeDepth(
  geometry: CrankGeometry,
  openAtdcDeg: Deg,
  halfWidthDeg: Deg,
  settings: MonteCarloSettings,
): MonteCarloResult {
  const crank = crankFrom(geometry);
  const open = between('openAtdcDeg', openAtdcDeg, 0, 180, 'an edge is met between the dead centres.');
  const error = rectangularFrom(settings.generator, notNegative('halfWidthDeg', halfWidthDeg));
  return monteCarlo(() => depthAt(crank, open + error()), settings.trials);
}
