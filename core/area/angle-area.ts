import { anglesAtDepthRad, type Crank, depthAtRad } from '../crank/geometry.ts';
import { integral, integralFromRoot } from '../numerics/quadrature.ts';
import { degFromRad, type Mm, type Rad } from '../units.ts';
import { type AreaLaw, openAreaBy } from './window.ts';

type Stroke = 'down' | 'up';

/** Which way the window is uncovered as the piston's depth grows. */
type Uncovers = 'going_down' | 'going_up';

/** Crank angle of a depth on one stroke, in radians after TDC; negative on the upstroke. */
function angleOn(stroke: Stroke, crank: Crank, depthMm: Mm): Rad {
  const { down, up } = anglesAtDepthRad(crank, Math.min(Math.max(depthMm, 0), crank.travelMm));
  return stroke === 'down' ? down : -up;
}

/**
 * Integral of the open area over the crank angle on one stroke, from the window's first edge until it is uncovered by
 * `untilMm`, in rad mm^2. The integral is split where the area changes its law.
 */
function strokeIntegral(
  stroke: Stroke,
  crank: Crank,
  law: AreaLaw,
  edgeDepthMm: Mm,
  uncovers: Uncovers,
  untilMm: Mm,
): number {
  const sign = uncovers === 'going_down' ? 1 : -1;
  const angleAt = (uncoveredMm: Mm): Rad => angleOn(stroke, crank, edgeDepthMm + sign * uncoveredMm);
  const last = angleAt(untilMm);
  const scale = openAreaBy(law, untilMm) * Math.abs(last - angleAt(0));
  let sum = law.fullAreaMm2 * (untilMm > law.heightMm ? Math.abs(last - angleAt(law.heightMm)) : 0);
  for (const { fromMm, toMm, root } of law.pieces) {
    if (fromMm >= untilMm) break;
    const end = Math.min(toMm, untilMm);
    // Rounding may put a node a hair outside the piece, where its law would be another.
    const area = (angle: Rad): number =>
      law.areaAt(Math.min(Math.max(sign * (depthAtRad(crank, angle) - edgeDepthMm), fromMm), end));
    const from = angleAt(fromMm);
    const to = angleAt(end);
    if (root === 'start') sum += Math.abs(integralFromRoot(area, from, to, scale));
    else if (root === 'end' && end === toMm) sum += Math.abs(integralFromRoot(area, to, from, scale));
    else sum += Math.abs(integral(area, from, to, scale));
  }
  return sum;
}

function bothStrokes(crank: Crank, law: AreaLaw, edgeDepthMm: Mm, uncovers: Uncovers, untilMm: Mm): number {
  const down = strokeIntegral('down', crank, law, edgeDepthMm, uncovers, untilMm);
  // Without offset the strokes mirror each other.
  const up = crank.offsetMm === 0 ? down : strokeIntegral('up', crank, law, edgeDepthMm, uncovers, untilMm);
  return degFromRad(down + up);
}

/**
 * Angle-area of a crown-controlled window from opening to closing, deg mm^2, to 1e-9 relative.
 * @param roofDepthMm below the crown's TDC position, strictly inside the travel
 */
export function crownAngleArea(crank: Crank, law: AreaLaw, roofDepthMm: Mm): number {
  return bothStrokes(crank, law, roofDepthMm, 'going_down', crank.travelMm - roofDepthMm);
}

/**
 * Angle-area of an exhaust window from its opening to the opening of the earliest transfer, downstroke only.
 * @param untilDepthMm depth of the transfer's roof, between the exhaust's roof and the travel
 */
export function blowdownAngleArea(crank: Crank, law: AreaLaw, roofDepthMm: Mm, untilDepthMm: Mm): number {
  return degFromRad(strokeIntegral('down', crank, law, roofDepthMm, 'going_down', untilDepthMm - roofDepthMm));
}

/**
 * Angle-area of a skirt-controlled window, uncovered from its floor up.
 * @param law of the window from its floor
 * @param skirtDepthMm floor below the skirt's TDC position, strictly inside the travel
 */
export function skirtAngleArea(crank: Crank, law: AreaLaw, skirtDepthMm: Mm): number {
  return bothStrokes(crank, law, skirtDepthMm, 'going_up', skirtDepthMm);
}
