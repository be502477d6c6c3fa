import { between, positive } from '../checks.ts';
import type { Deg, Mm, Rpm } from '../units.ts';
import { type Advice, isWithin, type Validity, validityStatement } from './rule.ts';

const mend = 'check the reading.';

interface Band {
  readonly from: number;
  readonly to: number;
  readonly lower: number;
  readonly upper: number;
}

/** Coarse blowdown for an exhaust duration. */
const blowdownBands: readonly Band[] = [
  { from: 120, to: 140, lower: 10, upper: 18 },
  { from: 140, to: 170, lower: 18, upper: 25 },
  { from: 170, to: 190, lower: 25, upper: 30 },
];

/**
 * Blowdown that the trade expects for an exhaust duration.
 * @param exhaustDurationDeg between 0 and 360, both excluded; stated for 120 to 190 deg
 * @throws missing, out_of_range
 */
export function blowdownAdvice(exhaustDurationDeg: Deg): Advice {
  const duration = between('exhaustDurationDeg', exhaustDurationDeg, 0, 360, mend);
  const validity: Validity = { quantity: 'exhaust duration', unit: 'deg', lower: 120, upper: 190 };
  const nearest = blowdownBands.find(({ to }) => duration <= to) ?? (blowdownBands.at(-1) as Band);
  return {
    ruleId: 'blowdown_for_exhaust_duration',
    title: 'Blowdown for an exhaust duration',
    lower: nearest.lower,
    upper: nearest.upper,
    unit: 'deg',
    source: 'trade practice, small air- and water-cooled engines',
    isWithinValidity: isWithin(validity, duration),
    statement: `Coarse figure of ${nearest.lower} to ${nearest.upper} deg. ${validityStatement(validity, duration)}`,
  };
}

/**
 * Transfer duration that the trade expects at a speed: 120 deg at 6000, 128 deg at 10000 rev/min, linear between.
 * @throws missing, non_positive
 */
export function transferDurationAdvice(speedRpm: Rpm): Advice {
  const speed = positive('speedRpm', speedRpm);
  const validity: Validity = { quantity: 'speed', unit: 'rev/min', lower: 6000, upper: 10_000 };
  const clamped = Math.min(Math.max(speed, validity.lower), validity.upper);
  const duration = 120 + (8 * (clamped - validity.lower)) / (validity.upper - validity.lower);
  return {
    ruleId: 'transfer_duration_for_speed',
    title: 'Transfer duration for a speed',
    lower: duration,
    upper: duration,
    unit: 'deg',
    source: 'trade practice',
    isWithinValidity: isWithin(validity, speed),
    statement: `About ${Number(duration.toPrecision(4))} deg. ${validityStatement(validity, speed)}`,
  };
}

/**
 * Chord width of a single exhaust window: about 62 % of the bore to begin with, 70 % as the limit with generous corner
 * radii; wider than that wants a bridge.
 * @throws missing, non_positive
 */
export function exhaustWidthAdvice(boreMm: Mm): Advice {
  const bore = positive('boreMm', boreMm);
  return {
    ruleId: 'exhaust_width_of_bore',
    title: 'Chord width of a single exhaust window',
    lower: 0.62 * bore,
    upper: 0.7 * bore,
    unit: 'mm',
    source: 'trade practice, single unbridged window',
    isWithinValidity: true,
    statement: 'From 62 % of the bore to 70 % as the limit with generous radii; wider wants a bridge.',
  };
}

/**
 * Ring end gap by the bore: 0.0035 to 0.0045 in for each inch of bore.
 * @throws missing, non_positive
 */
export function ringGapAdvice(boreMm: Mm): Advice {
  const bore = positive('boreMm', boreMm);
  return {
    ruleId: 'ring_gap_of_bore',
    title: 'Ring end gap for a bore',
    lower: 0.0035 * bore,
    upper: 0.0045 * bore,
    unit: 'mm',
    source: 'trade practice, 0.0035 to 0.0045 in an inch of bore',
    isWithinValidity: true,
    statement: "Trade rule of 0.0035 to 0.0045 mm a millimetre of bore; the ring's maker decides.",
  };
}

export type Cooling = 'air' | 'liquid';

/** Squish gap named for road scooters: about 1.0 mm air-cooled, 0.8 mm liquid-cooled. */
export function squishAdvice(cooling: Cooling): Advice {
  const gap = cooling === 'air' ? 1 : 0.8;
  return {
    ruleId: `squish_${cooling}_cooled`,
    title: `Squish gap, ${cooling}-cooled`,
    lower: gap,
    upper: gap,
    unit: 'mm',
    source: 'trade practice, road scooters',
    isWithinValidity: true,
    statement: `About ${gap} mm on ${cooling}-cooled road scooters; rod stretch, bearing play and heat set the tight limit.`,
  };
}

/** A target that the builder types himself, with the source that must stand beside it. */
export function typedTarget(title: string, lower: number, upper: number, unit: string, source: string): Advice {
  return {
    ruleId: 'typed_target',
    title,
    lower,
    upper,
    unit,
    source,
    isWithinValidity: true,
    statement: `Range typed by the builder, from: ${source}.`,
  };
}

/** Straightness of a face that one maker allows, in millimetres: 0.05 mm is .002 in. */
export const flatnessAdvice: Advice = {
  ruleId: 'flatness',
  title: 'Flatness of barrel, case mouth and head',
  lower: 0,
  upper: 0.05,
  unit: 'mm',
  source: "maker's manual, motorcycle class",
  isWithinValidity: true,
  statement: 'Usual limit 0.05 mm under a straightedge along, across and on both diagonals.',
};

/** Figures of single makers and of the trade that stand beside a check for comparison; none is a limit. */
const fixed = (
  ruleId: string,
  title: string,
  lower: number,
  upper: number,
  source: string,
  statement: string,
): Advice => ({
  ruleId,
  title,
  lower,
  upper,
  unit: 'mm',
  source,
  isWithinValidity: true,
  statement,
});

export const boreTaperAdvice: Advice = fixed(
  'bore_taper',
  'Taper of a bore',
  0,
  0.05,
  "makers' manuals, small water-cooled class",
  'One maker allows 0.05 mm new and 0.10 mm worn, another of the same class 0.08 mm.',
);

export const boreOutOfRoundAdvice: Advice = fixed(
  'bore_out_of_round',
  'Out-of-round of a bore',
  0,
  0.08,
  "makers' manuals, small water-cooled class",
  'One maker allows 0.008 mm new and 0.08 mm worn, another of the same class 0.05 mm.',
);

export const pistonClearanceAdvice: Advice = fixed(
  'piston_clearance',
  'Piston clearance on the diameter',
  0.03,
  0.12,
  "makers' manuals of several classes",
  'New engines: 0.03 to 0.06 mm motorcycle, cast piston in a plated bore; 0.06 to 0.08 mm moped, iron; 0.07 to 0.12 mm snow and water engines. A forged piston wants more.',
);

export const crankRunOutAdvice: Advice = fixed(
  'crank_run_out',
  'Run-out of a crank, full swing',
  0,
  0.07,
  "makers' manuals",
  'Limits of 0.03 to 0.05 mm at the two ends in one manual, 0.07 mm in another.',
);

export const rodSideClearanceAdvice: Advice = fixed(
  'rod_side_clearance',
  'Rod side clearance',
  0.36,
  0.56,
  "maker's manual",
  'One maker: 0.36 to 0.51 mm new, limit 0.56 mm.',
);

export const deckAdvice: Advice = fixed(
  'deck',
  'Crown edge below the top of the barrel',
  0,
  0.1,
  "maker's manual",
  'One maker chooses the base gasket for 0.0 to 0.1 mm below the top.',
);

export const squishSpreadAdvice: Advice = fixed(
  'squish_spread',
  'Difference of opposite squish readings',
  0,
  0.1,
  'trade practice, no maker behind it',
  'The trade calls 0.05 mm good, looks for the cause at 0.10 mm and corrects above 0.15 mm: dirt and burrs first, then torque, faces, rod.',
);
