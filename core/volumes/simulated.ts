import { notNegative, positive, refuse } from '../checks.ts';
import { normalFrom } from '../uncertainty/generator.ts';
import { type MonteCarloResult, type MonteCarloSettings, monteCarlo } from '../uncertainty/monte-carlo.ts';
import type { Cc, Mm } from '../units.ts';
import { discVolume } from './burette.ts';

/**
 * Full-stroke ratio, without offset, with normal errors of bore, stroke and clearance volume.
 * @param input standard deviations 0 or more
 * @throws missing, non_positive, negative, out_of_range where a draw leaves no volume or bore: the uncertainty is too
 *   large for a ratio to mean anything
 */
export function simulatedRatio(
  input: { boreMm: Mm; strokeMm: Mm; clearanceVolumeCc: Cc; uBoreMm: Mm; uStrokeMm: Mm; uClearanceCc: Cc },
  settings: MonteCarloSettings,
): MonteCarloResult {
  const bore = positive('boreMm', input.boreMm);
  const stroke = positive('strokeMm', input.strokeMm);
  const clearance = positive('clearanceVolumeCc', input.clearanceVolumeCc);
  const uBore = notNegative('uBoreMm', input.uBoreMm);
  const uStroke = notNegative('uStrokeMm', input.uStrokeMm);
  const uClearance = notNegative('uClearanceCc', input.uClearanceCc);
  const normal = normalFrom(settings.generator);
  return monteCarlo(() => {
    const drawnBore = bore + uBore * normal();
    const drawnStroke = stroke + uStroke * normal();
    const drawnClearance = clearance + uClearance * normal();
    if (drawnClearance <= 0 || drawnBore <= 0 || drawnStroke <= 0) {
      const allowed = 'small against the clearance volume';
      refuse('out_of_range', 'uClearanceCc', uClearance, allowed, 'measure the volumes and sizes better first.');
    }
    return 1 + discVolume(drawnBore, drawnStroke) / drawnClearance;
  }, settings.trials);
}
