import { sweptByTravel } from '../area/time-area.ts';
import { areaLawFromFloor, areaLawFromRoof, openAreaBy, type WindowShape } from '../area/window.ts';
import { countOf, positive } from '../checks.ts';
import { type Crank, type CrankGeometry, crankFrom, depthAtRad } from '../crank/geometry.ts';
import { crownEventsAt, depthInTravel, skirtEventsAt } from '../ports/edge-height.ts';
import { type Deg, type Mm, type Rpm, radFromDeg } from '../units.ts';
import type { Advice } from './rule.ts';

export const halfWayTimeAreaSource =
  'G. Jennings, on port timing in Cycle magazine, after an SAE paper on racing engines; read in a second-hand summary';

export interface HalfWayTimeArea {
  /** Area open half-way between opening and the dead centre, all windows. */
  readonly meanAreaCm2: number;
  readonly openTimeS: number;
  readonly timeAreaPerVolume: number;
}

export interface HalfWayInput {
  readonly geometry: CrankGeometry;
  readonly window: WindowShape;
  readonly boreMm: Mm;
  readonly speedRpm: Rpm;
  readonly count?: number | undefined;
}

function halfWay(input: HalfWayInput, crank: Crank, areaMm2: number, durationDeg: Deg): HalfWayTimeArea {
  const bore = positive('boreMm', input.boreMm);
  const openTimeS = durationDeg / (6 * positive('speedRpm', input.speedRpm));
  const meanAreaCm2 = (countOf('count', input.count) * areaMm2) / 100;
  return { meanAreaCm2, openTimeS, timeAreaPerVolume: (meanAreaCm2 * openTimeS) / sweptByTravel(crank, bore) };
}

/**
 * Time-area per volume in the old definition: area at the angle half-way between opening and BDC, times the whole open
 * time, over the swept volume. This is not the integral; never compare across the two.
 * @param input as for the integral; roof strictly inside the travel
 * @returns s cm^2/cm^3
 * @throws missing, non_positive, negative, rod_too_short, out_of_range, inconsistent
 */
export function halfWayTimeArea(input: HalfWayInput & { readonly roofDepthMm: Mm }): HalfWayTimeArea {
  const crank = crankFrom(input.geometry);
  const law = areaLawFromRoof(input.window);
  const roof = depthInTravel(crank, 'roofDepthMm', input.roofDepthMm);
  const { openAtdcDeg, durationDeg } = crownEventsAt(crank, roof);
  const halfWayAngle = (radFromDeg(openAtdcDeg) + crank.bdcAngle - crank.tdcAngle) / 2;
  return halfWay(input, crank, openAreaBy(law, depthAtRad(crank, halfWayAngle) - roof), durationDeg);
}

/** The same for a skirt-controlled intake: half-way between TDC and closing. @throws as `halfWayTimeArea` */
export function halfWaySkirtTimeArea(input: HalfWayInput & { readonly skirtDepthMm: Mm }): HalfWayTimeArea {
  const crank = crankFrom(input.geometry);
  const law = areaLawFromFloor(input.window);
  const edge = depthInTravel(crank, 'skirtDepthMm', input.skirtDepthMm);
  const { openBtdcDeg, durationDeg } = skirtEventsAt(crank, edge);
  const depth = depthAtRad(crank, -radFromDeg(openBtdcDeg) / 2);
  return halfWay(input, crank, openAreaBy(law, edge - depth), durationDeg);
}

export type TargetPort = 'exhaust' | 'transfer' | 'skirt_intake';

/** Published ranges in s cm^2/cm^3, in the old definition; lower ends suit low-speed engines, upper ends high-speed. */
export const halfWayTargets: Readonly<Record<TargetPort, { lower: number; upper: number }>> = {
  exhaust: { lower: 0.00014, upper: 0.00015 },
  transfer: { lower: 0.00008, upper: 0.0001 },
  skirt_intake: { lower: 0.00014, upper: 0.00016 },
};

/** Published range beside a number computed in the same definition. */
export function halfWayAdvice(port: TargetPort): Advice {
  const { lower, upper } = halfWayTargets[port];
  return {
    ruleId: `half_way_time_area_${port}`,
    title: `Time-area per volume, ${port.replace('_', ' ')}, half-way definition`,
    lower,
    upper,
    unit: 's*cm2/cm3',
    source: halfWayTimeAreaSource,
    isWithinValidity: true,
    statement: `Published range ${lower} to ${upper} s cm²/cm³ for racing engines, in the half-way definition only.`,
  };
}
