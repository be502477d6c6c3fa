import { pistonRock, squishPairs, squishPlane, squishStatistics, toleranceLimits } from '../squish/readings.ts';
import { rodInertiaStretch, thermalGrowth } from '../squish/running.ts';
import { squishBand, squishVelocityAt, squishVelocityMax } from '../squish/velocity.ts';
import {
  boreInput,
  crankInputs,
  derived,
  number,
  numberList,
  optionalNumber,
  quantity,
  speedInput,
} from './describe.ts';

const length = (title: string) => ({ title, dimension: 'length' }) as const;
const slope = (title: string) => ({ title, dimension: 'slope' }) as const;
const angle = (title: string) => ({ title, dimension: 'angle' }) as const;
const same = (title: string) => ({ title, dimension: 'any' }) as const;
const readings = { readingsMm: numberList('readings', 'Squish readings', 'length') };
const radius = { radiusMm: number('radius', 'Radius of the readings', 'length') };
const bowl = { bowlDiameterMm: number('bowl_diameter', 'Diameter of the bowl', 'length') };

const chamberInputs = {
  ...crankInputs,
  ...boreInput,
  ...bowl,
  squishMm: number('squish', 'Squish gap at the bore edge', 'length'),
  clearanceVolumeCc: number('clearance_volume', 'Clearance volume', 'volume'),
  ...speedInput,
  taperDeg: optionalNumber('taper', 'Opening of the band towards the centre', 'angle'),
};

const balance = {
  nature: 'derived',
  source: 'mass balance of the band; Heywood, Internal Combustion Engine Fundamentals (1988), 8.4, for a parallel band',
} as const;

/** Squish readings, tilt, velocity and what running adds. */
export const squishQuantities = [
  quantity({
    id: 'squish_stats',
    title: 'Squish readings',
    subject: 'squish',
    formula: 'mean, extremes, range; s with n − 1',
    ...derived,
    inputs: readings,
    outputs: {
      mean: length('Mean'),
      minimum: length('Smallest'),
      maximum: length('Largest'),
      range: length('Range'),
      standard_deviation: length('Standard deviation'),
    },
    run: (received) => {
      const result = squishStatistics(received.readingsMm);
      return {
        mean: result.meanMm,
        minimum: result.minimumMm,
        maximum: result.maximumMm,
        range: result.rangeMm,
        standard_deviation: result.standardDeviationMm,
      };
    },
  }),
  quantity({
    id: 'squish_plane',
    title: 'Tilt between crown and head',
    subject: 'squish',
    formula: 'least squares c = c₀ + a X + b Y; tilt = √(a² + b²)',
    ...derived,
    inputs: {
      ...readings,
      anglesDeg: numberList('angles', 'Places of the readings', 'angle'),
      ...radius,
      ...boreInput,
    },
    outputs: {
      centre: length('Gap at the centre'),
      tilt: slope('Tilt'),
      tilt_angle: angle('Tilt, angle'),
      min_over_bore: length('Smallest over the bore'),
      max_over_bore: length('Largest over the bore'),
      rms_residual: length('Residual, root mean square'),
      direction_of_largest_gap: {
        title: 'Direction of the largest gap',
        dimension: 'angle',
        period: 360,
        isOptional: true,
      },
    },
    run: (received) => {
      const result = squishPlane(received.readingsMm, received.anglesDeg, received.radiusMm, received.boreMm);
      return {
        centre: result.centreMm,
        tilt: result.tiltMmPerM,
        tilt_angle: result.tiltAngleDeg,
        min_over_bore: result.minimumOverBoreMm,
        max_over_bore: result.maximumOverBoreMm,
        rms_residual: result.rmsResidualMm,
        direction_of_largest_gap: result.directionOfLargestGapDeg,
      };
    },
  }),
  quantity({
    id: 'squish_pairs',
    title: 'Squish on the pin axis and across it',
    subject: 'squish',
    formula: 'means and slopes of opposite pairs',
    ...derived,
    inputs: {
      pinAMm: number('pin_a', 'Pin axis, first', 'length'),
      pinBMm: number('pin_b', 'Pin axis, second', 'length'),
      thrustAMm: number('thrust_a', 'Thrust axis, first', 'length'),
      thrustBMm: number('thrust_b', 'Thrust axis, second', 'length'),
      ...radius,
    },
    outputs: {
      pin_mean: length('Mean on the pin axis'),
      thrust_mean: length('Mean on the thrust axis'),
      pair_mean_difference: length('Pin less thrust'),
      slope_along_pin: slope('Slope along the pin'),
      slope_along_thrust: slope('Slope along the thrust axis'),
    },
    run: (received) => {
      const result = squishPairs(received);
      return {
        pin_mean: result.pinMeanMm,
        thrust_mean: result.thrustMeanMm,
        pair_mean_difference: result.pairMeanDifferenceMm,
        slope_along_pin: result.slopeAlongPinMmPerM,
        slope_along_thrust: result.slopeAlongThrustMmPerM,
      };
    },
  }),
  quantity({
    id: 'piston_rock',
    title: 'Rise of the crown edge by rock',
    subject: 'squish',
    formula: 'atan(clearance/skirt length); rise = r sin(angle)',
    ...derived,
    inputs: {
      diametralClearanceMm: number('diametral_clearance', 'Clearance on the diameter', 'length'),
      skirtLengthMm: number('skirt_length', 'Skirt length', 'length'),
      ...radius,
    },
    outputs: { rock_angle: angle('Rock'), edge_rise: length('Rise of the edge') },
    run: (received) => {
      const result = pistonRock(received.diametralClearanceMm, received.skirtLengthMm, received.radiusMm);
      return { rock_angle: result.rockAngleDeg, edge_rise: result.edgeRiseMm };
    },
  }),
  quantity({
    id: 'tolerance_limits',
    title: 'Limits from nominal and tolerances',
    subject: 'squish',
    formula: '[N − m, N + p]',
    ...derived,
    inputs: {
      nominal: number('nominal', 'Nominal', 'any'),
      plus: number('plus', 'Plus', 'any'),
      minus: number('minus', 'Minus', 'any'),
    },
    outputs: { lower: same('Lower limit'), upper: same('Upper limit'), midpoint: same('Middle') },
    run: (received) => toleranceLimits(received.nominal, received.plus, received.minus),
  }),
  quantity({
    id: 'squish_area_ratio',
    title: 'Squish area ratio',
    subject: 'squish',
    formula: '1 − (d/B)², central bowl',
    ...derived,
    inputs: { ...boreInput, ...bowl },
    outputs: {
      squish_area: { title: 'Area of the band', dimension: 'area' },
      squish_area_ratio: { title: 'Squish area ratio', dimension: 'ratio' },
      band_width: length('Width of the band'),
    },
    run: (received) => {
      const result = squishBand(received.boreMm, received.bowlDiameterMm);
      return {
        squish_area: result.squishAreaMm2,
        squish_area_ratio: result.squishAreaRatio,
        band_width: result.bandWidthMm,
      };
    },
  }),
  quantity({
    id: 'squish_velocity_at',
    title: 'Squish velocity at an angle',
    subject: 'squish',
    formula: 'U = v [A_s − A_p V_s/V]/(π d h_b)',
    ...balance,
    inputs: { ...chamberInputs, angleBtdcDeg: number('angle_btdc', 'Crank angle before TDC', 'angle') },
    outputs: { squish_velocity: { title: 'Squish velocity, ideal', dimension: 'speed' } },
    run: (received) => ({
      squish_velocity: squishVelocityAt({ ...received, geometry: received }, received.angleBtdcDeg),
    }),
  }),
  quantity({
    id: 'squish_velocity_max',
    title: 'Highest squish velocity',
    subject: 'squish',
    formula: 'maximum of U from 90° BTDC to TDC',
    ...balance,
    inputs: chamberInputs,
    outputs: {
      max_squish_velocity: { title: 'Highest squish velocity, ideal', dimension: 'speed' },
      angle_btdc: angle('Reached before TDC'),
    },
    run: (received) => {
      const result = squishVelocityMax({ ...received, geometry: received });
      return { max_squish_velocity: result.maxSquishVelocityMps, angle_btdc: result.angleBtdcDeg };
    },
  }),
  quantity({
    id: 'rod_inertia_stretch',
    title: 'Stretch of the rod at speed',
    subject: 'squish',
    formula: 'F L/(E A), F = m a; order of magnitude only',
    ...derived,
    inputs: {
      massG: number('mass', 'Reciprocating mass', 'mass'),
      accelerationMps2: number('acceleration', 'Peak acceleration', 'acceleration'),
      rodLengthMm: number('rod', 'Rod length', 'length'),
      sectionAreaMm2: number('section_area', 'Section of the rod', 'area'),
      modulusGPa: number('modulus', "Young's modulus", 'stiffness'),
    },
    outputs: { force: { title: 'Force', dimension: 'force' }, stretch: length('Stretch') },
    run: (received) => {
      const result = rodInertiaStretch(received);
      return { force: result.forceN, stretch: result.stretchMm };
    },
  }),
  quantity({
    id: 'thermal_growth',
    title: 'Growth of a part by heat',
    subject: 'squish',
    formula: 'L α ΔT',
    ...derived,
    inputs: {
      lengthMm: number('length', 'Length', 'length'),
      expansionUmPerMK: number('expansion', 'Coefficient of expansion', 'expansion'),
      temperatureRiseK: number('temperature_rise', 'Temperature rise', 'temperature_difference'),
    },
    outputs: { growth: length('Growth') },
    run: (received) => ({
      growth: thermalGrowth(received.lengthMm, received.expansionUmPerMK, received.temperatureRiseK),
    }),
  }),
];
