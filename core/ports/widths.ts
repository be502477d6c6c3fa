import { positive, refuse } from '../checks.ts';
import { borderSlack, type Deg, degFromRad, type Mm } from '../units.ts';

/**
 * Developed width (a rubbing laid flat) from a projected chord (calipers).
 * @param boreMm greater than 0
 * @param chordMm greater than 0, up to the bore
 * @throws missing, non_positive, out_of_range
 * @source a = B asin(w/B)
 */
export function chordToArc(boreMm: Mm, chordMm: Mm): { arcMm: Mm; subtendedAngleDeg: Deg } {
  const bore = positive('boreMm', boreMm);
  const half = halfAngle(bore, 'chordMm', positive('chordMm', chordMm));
  return { arcMm: bore * half, subtendedAngleDeg: degFromRad(2 * half) };
}

function halfAngle(bore: Mm, field: string, chord: Mm): number {
  if (chord > bore + borderSlack) {
    refuse('out_of_range', field, chord, `up to the bore of ${bore} mm`, 'a chord wider than the bore was an arc.');
  }
  return Math.asin(Math.min(1, chord / bore));
}

/**
 * Projected chord (calipers) from a developed width (a rubbing laid flat).
 * @param boreMm greater than 0
 * @param arcMm greater than 0, less than the circumference
 * @throws missing, non_positive, out_of_range
 * @source w = B sin(a/B)
 */
export function arcToChord(boreMm: Mm, arcMm: Mm): { chordMm: Mm; subtendedAngleDeg: Deg } {
  const bore = positive('boreMm', boreMm);
  const arc = positive('arcMm', arcMm);
  if (arc >= Math.PI * bore - borderSlack) {
    refuse('out_of_range', 'arcMm', arc, `less than the circumference of ${Math.PI * bore} mm`, 'measure it again.');
  }
  return { chordMm: bore * Math.sin(arc / bore), subtendedAngleDeg: degFromRad((2 * arc) / bore) };
}

/**
 * Open widths of a port with one bridge in its middle.
 * @param overallChordMm over both windows, up to the bore
 * @param bridgeChordMm greater than 0, narrower than the port
 * @throws missing, non_positive, out_of_range, inconsistent
 */
export function bridgedPortWidths(
  boreMm: Mm,
  overallChordMm: Mm,
  bridgeChordMm: Mm,
): { openChordTotalMm: Mm; openArcTotalMm: Mm; oneWindowArcMm: Mm } {
  const bore = positive('boreMm', boreMm);
  const overall = positive('overallChordMm', overallChordMm);
  const bridge = positive('bridgeChordMm', bridgeChordMm);
  const half = halfAngle(bore, 'overallChordMm', overall);
  if (bridge >= overall - borderSlack) {
    refuse('inconsistent', 'bridgeChordMm', bridge, `narrower than the port, ${overall} mm`, 'it would fill the port.');
  }
  const openArcTotalMm = bore * (half - Math.asin(bridge / bore));
  return { openChordTotalMm: overall - bridge, openArcTotalMm, oneWindowArcMm: openArcTotalMm / 2 };
}
