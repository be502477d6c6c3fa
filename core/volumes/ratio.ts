import { countOf, notNegative, positive, present, presentOr, refuse } from '../checks.ts';
import { type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { crownDepthFor, depthInTravel } from '../ports/edge-height.ts';
import { coverageFactor } from '../uncertainty/value.ts';
import { borderSlack, type Cc, type Deg, type Mm } from '../units.ts';
import { discVolume } from './burette.ts';

/**
 * Swept volume by the travel of the piston; without offset the travel is the stroke.
 * @param rodLengthMm needed only where there is an offset
 * @param cylinders 1 where absent
 * @throws missing, non_positive, rod_too_short, out_of_range
 */
export function sweptVolume(input: {
  boreMm: Mm;
  strokeMm: Mm;
  rodLengthMm?: Mm | undefined;
  offsetMm?: Mm | undefined;
  cylinders?: number | undefined;
}): Cc {
  const bore = positive('boreMm', input.boreMm);
  const stroke = positive('strokeMm', input.strokeMm);
  const offset = presentOr('offsetMm', input.offsetMm, 0);
  const cylinders = countOf('cylinders', input.cylinders);
  const { rodLengthMm } = input;
  if (rodLengthMm === undefined) {
    if (offset !== 0) present('rodLengthMm', rodLengthMm);
    return cylinders * discVolume(bore, stroke);
  }
  return cylinders * discVolume(bore, crankFrom({ strokeMm: stroke, rodLengthMm, offsetMm: offset }).travelMm);
}

/**
 * Volume over the piston at TDC, from head, gasket, deck and dome.
 * @param input deck clearance is negative where the piston stands proud, dome volume negative for a dish; the gasket's
 *   bore is the bore where absent, everything else 0
 * @throws missing, non_positive, negative
 */
export function clearanceVolume(input: {
  headVolumeCc: Cc;
  boreMm: Mm;
  gasketBoreMm?: Mm | undefined;
  gasketThicknessMm?: Mm | undefined;
  deckClearanceMm?: Mm | undefined;
  domeVolumeCc?: Cc | undefined;
}): Cc {
  const head = positive('headVolumeCc', input.headVolumeCc);
  const bore = positive('boreMm', input.boreMm);
  const gasketBore = positive('gasketBoreMm', presentOr('gasketBoreMm', input.gasketBoreMm, bore));
  const gasket = notNegative('gasketThicknessMm', presentOr('gasketThicknessMm', input.gasketThicknessMm, 0));
  const deck = presentOr('deckClearanceMm', input.deckClearanceMm, 0);
  const dome = presentOr('domeVolumeCc', input.domeVolumeCc, 0);
  return positive('clearanceVolumeCc', head + discVolume(gasketBore, gasket) + discVolume(bore, deck) - dome);
}

export interface CompressionRatios {
  /** (swept + clearance)/clearance, by the travel. */
  readonly fullStrokeRatio: number;
  /** From the closing of the exhaust. */
  readonly trappedRatio: number;
  readonly trappedSweptVolumeCc: Cc;
}

/**
 * Full-stroke and trapped compression ratio. They differ by about two to one: always say which one it is.
 * @param exhaustClosingDepthMm exhaust roof below the crown's TDC position, strictly inside the travel
 * @throws missing, non_positive, rod_too_short, out_of_range
 * @source trapped ratio by Blair, Design and Simulation of Two-Stroke Engines, SAE R-161 (1996), chapter 1
 */
export function compressionRatios(input: {
  geometry: CrankGeometry;
  boreMm: Mm;
  clearanceVolumeCc: Cc;
  exhaustClosingDepthMm: Mm;
}): CompressionRatios {
  const crank = crankFrom(input.geometry);
  const bore = positive('boreMm', input.boreMm);
  const clearance = positive('clearanceVolumeCc', input.clearanceVolumeCc);
  const depth = depthInTravel(crank, 'exhaustClosingDepthMm', input.exhaustClosingDepthMm);
  const trapped = discVolume(bore, depth);
  return {
    fullStrokeRatio: 1 + discVolume(bore, crank.travelMm) / clearance,
    trappedRatio: 1 + trapped / clearance,
    trappedSweptVolumeCc: trapped,
  };
}

/**
 * Trapped ratio from the exhaust duration.
 * @param exhaustDurationDeg between 0 and 360, both excluded
 * @throws missing, non_positive, rod_too_short, out_of_range
 */
export function trappedRatioFromDuration(input: {
  geometry: CrankGeometry;
  boreMm: Mm;
  clearanceVolumeCc: Cc;
  exhaustDurationDeg: Deg;
}): { exhaustClosingDepthMm: Mm; trappedRatio: number } {
  const crank = crankFrom(input.geometry);
  const exhaustClosingDepthMm = crownDepthFor(crank, 'exhaustDurationDeg', input.exhaustDurationDeg);
  const trapped = discVolume(positive('boreMm', input.boreMm), exhaustClosingDepthMm);
  return {
    exhaustClosingDepthMm,
    trappedRatio: 1 + trapped / positive('clearanceVolumeCc', input.clearanceVolumeCc),
  };
}

/**
 * Crankcase ratio: case volume at TDC over that at BDC.
 * @param input either case volume; where both are given they must differ by the swept volume
 * @throws missing, non_positive, inconsistent
 */
export function crankcaseRatio(input: {
  sweptVolumeCc: Cc;
  caseVolumeBdcCc?: Cc | undefined;
  caseVolumeTdcCc?: Cc | undefined;
}): number {
  const swept = positive('sweptVolumeCc', input.sweptVolumeCc);
  const { caseVolumeBdcCc, caseVolumeTdcCc } = input;
  const bdc = caseVolumeBdcCc === undefined ? null : positive('caseVolumeBdcCc', caseVolumeBdcCc);
  if (caseVolumeTdcCc === undefined) return 1 + swept / (bdc ?? present('caseVolumeBdcCc', bdc));
  const tdc = positive('caseVolumeTdcCc', caseVolumeTdcCc);
  const left = tdc - swept;
  if (left <= borderSlack) {
    refuse('inconsistent', 'caseVolumeTdcCc', tdc, `greater than the swept ${swept} cm³`, 'measure it again.');
  }
  if (bdc !== null && Math.abs(left - bdc) > borderSlack) {
    const allowed = `${bdc + swept} cm³ with this volume at BDC`;
    refuse('inconsistent', 'caseVolumeTdcCc', tdc, allowed, 'the two contradict each other; give the better one only.');
  }
  return tdc / left;
}

/**
 * Clearance volume that gives a ratio. Give the trapped swept volume for a trapped target.
 * @param targetRatio greater than 1
 * @throws missing, non_positive, out_of_range
 */
export function clearanceForRatio(sweptVolumeCc: Cc, targetRatio: number): Cc {
  const swept = positive('sweptVolumeCc', sweptVolumeCc);
  const ratio = present('targetRatio', targetRatio);
  if (ratio <= 1 + borderSlack) {
    refuse('out_of_range', 'targetRatio', ratio, 'greater than 1', 'a ratio of 1 is no compression.');
  }
  return swept / (ratio - 1);
}

/**
 * Clearance volume and ratio after a change of the gap over the piston.
 * @param areaDiameterMm the bore for base gasket, deck or head cut; the gasket's bore for a head gasket
 * @throws missing, non_positive, collision where no volume is left
 */
export function ratioAfterGapChange(input: {
  boreMm: Mm;
  sweptVolumeCc: Cc;
  clearanceVolumeCc: Cc;
  gapChangeMm: Mm;
  areaDiameterMm?: Mm | undefined;
}): { clearanceVolumeCc: Cc; ratio: number } {
  const bore = positive('boreMm', input.boreMm);
  const swept = positive('sweptVolumeCc', input.sweptVolumeCc);
  const before = positive('clearanceVolumeCc', input.clearanceVolumeCc);
  const diameter = positive('areaDiameterMm', presentOr('areaDiameterMm', input.areaDiameterMm, bore));
  const change = present('gapChangeMm', input.gapChangeMm);
  const clearanceVolumeCc = before + discVolume(diameter, change);
  if (clearanceVolumeCc <= borderSlack) {
    refuse('collision', 'gapChangeMm', change, 'a change that leaves some volume', 'the parts would touch.');
  }
  return { clearanceVolumeCc, ratio: 1 + swept / clearanceVolumeCc };
}

/**
 * Full-stroke ratio, without offset, with its uncertainty.
 * @param input standard uncertainties 0 or more
 * @throws missing, non_positive, negative
 * @source derivatives of 1 + pi B^2 S/(4V): 2(r-1)/B, (r-1)/S, -(r-1)/V
 */
export function ratioWithUncertainty(input: {
  boreMm: Mm;
  strokeMm: Mm;
  clearanceVolumeCc: Cc;
  uBoreMm: Mm;
  uStrokeMm: Mm;
  uClearanceCc: Cc;
}): { ratio: number; standardUncertainty: number; expanded: number } {
  const bore = positive('boreMm', input.boreMm);
  const stroke = positive('strokeMm', input.strokeMm);
  const clearance = positive('clearanceVolumeCc', input.clearanceVolumeCc);
  const compressed = discVolume(bore, stroke) / clearance;
  const standardUncertainty = Math.hypot(
    (2 * compressed * notNegative('uBoreMm', input.uBoreMm)) / bore,
    (compressed * notNegative('uStrokeMm', input.uStrokeMm)) / stroke,
    (compressed * notNegative('uClearanceCc', input.uClearanceCc)) / clearance,
  );
  return { ratio: 1 + compressed, standardUncertainty, expanded: coverageFactor * standardUncertainty };
}
