import { notNegative, positive, presentOr, refuse, within } from '../checks.ts';
import { type Crank, type CrankGeometry, crankFrom, depthAtRad, depthSlopesAtRad } from '../crank/geometry.ts';
import { highest } from '../numerics/search.ts';
import {
  borderSlack,
  type Cc,
  ccFromMm3,
  type Deg,
  degFromRad,
  type MetrePerSecond,
  type Mm,
  type Mm2,
  mm3FromCc,
  type Rad,
  type Rpm,
  radFromDeg,
  radPerSecondFromRpm,
} from '../units.ts';

/**
 * Squish band around a central bowl.
 * @param bowlDiameterMm greater than 0, smaller than the bore
 * @throws missing, non_positive, inconsistent
 * @source 1 - (d/B)^2
 */
export function squishBand(
  boreMm: Mm,
  bowlDiameterMm: Mm,
): { squishAreaMm2: Mm2; squishAreaRatio: number; bandWidthMm: Mm } {
  const bore = positive('boreMm', boreMm);
  const bowl = positive('bowlDiameterMm', bowlDiameterMm);
  if (bowl >= bore - borderSlack) {
    refuse('inconsistent', 'bowlDiameterMm', bowl, `less than the bore, ${bore} mm`, 'otherwise there is no band.');
  }
  return {
    squishAreaMm2: (Math.PI / 4) * (bore - bowl) * (bore + bowl),
    squishAreaRatio: ((bore - bowl) * (bore + bowl)) / bore ** 2,
    bandWidthMm: (bore - bowl) / 2,
  };
}

export interface SquishChamber {
  readonly geometry: CrankGeometry;
  readonly boreMm: Mm;
  readonly bowlDiameterMm: Mm;
  /** Gap at the bore edge with the piston at TDC, greater than 0. */
  readonly squishMm: Mm;
  /** Whole volume over the piston at TDC. */
  readonly clearanceVolumeCc: Cc;
  readonly speedRpm: Rpm;
  /** Opening of the band towards the centre, 0 or more; 0 where absent. */
  readonly taperDeg?: Deg | undefined;
}

interface PreparedChamber {
  readonly crank: Crank;
  readonly turning: number;
  readonly bowlDiameterMm: Mm;
  readonly pistonAreaMm2: Mm2;
  readonly bandAreaMm2: Mm2;
  readonly clearanceMm3: number;
  readonly bandVolumeAtTdcMm3: number;
  /** Height of the band at the bowl's edge, at TDC. */
  readonly gapAtBowlMm: Mm;
}

/**
 * Volume of the squish band at TDC: a flat ring, and what its taper adds towards the centre.
 * @source ring of the gap at the bore plus 2 pi tan(taper) [Rb (Rb^2 - rb^2)/2 - (Rb^3 - rb^3)/3]
 */
export function bandVolume(boreMm: Mm, bowlDiameterMm: Mm, squishMm: Mm, taperDeg: Deg): Cc {
  const outer = boreMm / 2;
  const inner = bowlDiameterMm / 2;
  const flat = Math.PI * (outer ** 2 - inner ** 2) * squishMm;
  const wedge = (outer * (outer ** 2 - inner ** 2)) / 2 - (outer ** 3 - inner ** 3) / 3;
  return ccFromMm3(flat + 2 * Math.PI * Math.tan(radFromDeg(taperDeg)) * wedge);
}

function prepare(chamber: SquishChamber): PreparedChamber {
  const crank = crankFrom(chamber.geometry);
  const band = squishBand(chamber.boreMm, chamber.bowlDiameterMm);
  const squish = positive('squishMm', chamber.squishMm);
  const clearanceCc = positive('clearanceVolumeCc', chamber.clearanceVolumeCc);
  const taper = notNegative('taperDeg', presentOr('taperDeg', chamber.taperDeg, 0));
  within('taperDeg', taper, 0, 89, 'a band steeper than that is no band.');
  const bandCc = bandVolume(chamber.boreMm, chamber.bowlDiameterMm, squish, taper);
  if (bandCc >= clearanceCc - borderSlack) {
    const allowed = `more than the squish band's own ${bandCc} cm³`;
    refuse('inconsistent', 'clearanceVolumeCc', clearanceCc, allowed, 'check the volume, the gap and the bowl.');
  }
  return {
    crank,
    turning: radPerSecondFromRpm(positive('speedRpm', chamber.speedRpm)),
    bowlDiameterMm: chamber.bowlDiameterMm,
    pistonAreaMm2: (Math.PI / 4) * chamber.boreMm ** 2,
    bandAreaMm2: band.squishAreaMm2,
    clearanceMm3: mm3FromCc(clearanceCc),
    bandVolumeAtTdcMm3: mm3FromCc(bandCc),
    gapAtBowlMm: squish + band.bandWidthMm * Math.tan(radFromDeg(taper)),
  };
}

/** Squish velocity in m/s at an angle before TDC, in radians. */
function velocityAt(chamber: PreparedChamber, beforeTdc: Rad): MetrePerSecond {
  const depth = depthAtRad(chamber.crank, -beforeTdc);
  const towardsHead = -depthSlopesAtRad(chamber.crank, -beforeTdc).first * chamber.turning;
  const volume = chamber.clearanceMm3 + chamber.pistonAreaMm2 * depth;
  const bandNow = chamber.bandVolumeAtTdcMm3 + chamber.bandAreaMm2 * depth;
  const outflow = towardsHead * (chamber.bandAreaMm2 - (chamber.pistonAreaMm2 * bandNow) / volume);
  return outflow / (Math.PI * chamber.bowlDiameterMm * (chamber.gapAtBowlMm + depth)) / 1000;
}

/**
 * Ideal squish velocity at the bowl's edge, before TDC.
 *
 * Uniform density and pressure, no leak, no heat, radial flow: the real value is lower. Valid only once the exhaust has
 * closed.
 * @param angleBtdcDeg 0 to 90
 * @throws missing, non_positive, negative, rod_too_short, out_of_range, inconsistent
 * @source mass balance of the band; for a parallel band the bowl-in-piston form of Heywood, Internal Combustion Engine
 *   Fundamentals (1988), 8.4
 */
export function squishVelocityAt(chamber: SquishChamber, angleBtdcDeg: Deg): MetrePerSecond {
  const prepared = prepare(chamber);
  const angle = within('angleBtdcDeg', angleBtdcDeg, 0, 90, 'the formula holds in the closed period before TDC.');
  return velocityAt(prepared, radFromDeg(Math.max(0, angle)));
}

/**
 * Highest ideal squish velocity between 90 deg before TDC and TDC, and where it is reached.
 * @throws missing, non_positive, negative, rod_too_short, inconsistent
 */
export function squishVelocityMax(chamber: SquishChamber): {
  maxSquishVelocityMps: MetrePerSecond;
  angleBtdcDeg: Deg;
} {
  const prepared = prepare(chamber);
  // The narrower the gap, the closer to TDC and the sharper the peak: searching over the root of the angle keeps the
  // hill many cells wide for any gap.
  const peak = highest((root) => velocityAt(prepared, root * root), 0, Math.sqrt(Math.PI / 2));
  return { maxSquishVelocityMps: peak.value, angleBtdcDeg: degFromRad(peak.at ** 2) };
}
