import { positive, refuse } from '../checks.ts';
import { borderSlack, type MetrePerSecond2, type Mm, mmPerInch } from '../units.ts';

/** Ring thickness in inches against the piston acceleration in ft/s^2 at which such rings begin to flutter. */
const table = [
  [0.039, 138_000],
  [0.047, 106_000],
  [0.063, 80_000],
  [0.094, 53_000],
  [0.125, 40_000],
] as const;

const metrePerFoot = 0.3048;

export const ringFlutterSource =
  "G. Jennings, Two-Stroke Tuner's Handbook (1973), for rings of normal section; today's rings differ and the ring maker's word wins";

/** Range of thickness that the table covers. */
export const ringFlutterRangeMm = { lower: table[0][0] * mmPerInch, upper: table[4][0] * mmPerInch };

/**
 * Piston acceleration at which a ring of normal section begins to flutter, by a published table.
 * @param ringThicknessMm 0.99 to 3.18 mm; the table is not extended
 * @throws missing, non_positive, out_of_range
 * @source linear in the thickness between the lines of the table
 */
export function ringFlutterLimit(ringThicknessMm: Mm): MetrePerSecond2 {
  const thickness = positive('ringThicknessMm', ringThicknessMm);
  const { lower, upper } = ringFlutterRangeMm;
  if (thickness < lower - borderSlack || thickness > upper + borderSlack) {
    const allowed = `from ${lower.toFixed(3)} to ${upper.toFixed(3)} mm, the lines of the table`;
    refuse('out_of_range', 'ringThicknessMm', thickness, allowed, "outside it ask the ring's maker.");
  }
  const thicknessInch = thickness / mmPerInch;
  const after = Math.max(
    1,
    table.findIndex(([inch]) => inch >= thicknessInch - borderSlack),
  );
  const [fromInch, fromLimit] = table[after - 1] as readonly [number, number];
  const [toInch, toLimit] = table[after] as readonly [number, number];
  const part = (thicknessInch - fromInch) / (toInch - fromInch);
  return (fromLimit + (toLimit - fromLimit) * part) * metrePerFoot;
}
