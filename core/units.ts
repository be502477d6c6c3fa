/**
 * Units as types, and the only conversions between them.
 *
 * A unit is a flavour: a plain number may be used as any of them, but a value already known to be in one unit can't be
 * passed where another is wanted (`Deg` for `Mm`, `Rad` for `Deg`: doesn't compile). Arithmetic gives a plain number
 * again, which keeps formulas readable. Names carry the unit as well, as their last word.
 */
import { InputError, shownValue } from './errors.ts';

declare const unit: unique symbol;
type Flavour<U extends string> = number & { readonly [unit]?: U };

/** Length in millimetres. */
export type Mm = Flavour<'mm'>;
/** Length in inches. */
export type Inch = Flavour<'in'>;
/** Angle in degrees. */
export type Deg = Flavour<'deg'>;
/** Angle in radians; only inside formulas. */
export type Rad = Flavour<'rad'>;
/** Area in square millimetres. */
export type Mm2 = Flavour<'mm2'>;
/** Volume in cubic centimetres. */
export type Cc = Flavour<'cm3'>;
/** Crank speed in revolutions a minute. */
export type Rpm = Flavour<'rev/min'>;
/** Speed in metres a second. */
export type MetrePerSecond = Flavour<'m/s'>;
/** Acceleration in metres a second squared. */
export type MetrePerSecond2 = Flavour<'m/s2'>;
/** Temperature in degrees Celsius. */
export type Celsius = Flavour<'degC'>;
/** Difference of two temperatures in kelvin. */
export type Kelvin = Flavour<'K'>;

/** Slack of comparisons at a border, in the unit at hand: the rounding of a sum must not decide a verdict. */
export const borderSlack = 1e-9;

function finite(value: number, what: string): number {
  if (!Number.isFinite(value)) {
    throw new InputError({
      code: 'missing',
      field: what,
      value,
      allowed: 'a finite number',
      message: `The ${what} is ${shownValue(value)}, not a number: enter it again.`,
    });
  }
  return value;
}

/** @throws missing where the value isn't a finite number */
export const mm = (value: number): Mm => finite(value, 'length');
/** @throws missing where the value isn't a finite number */
export const deg = (value: number): Deg => finite(value, 'angle');
/** @throws missing where the value isn't a finite number */
export const rad = (value: number): Rad => finite(value, 'angle');
/** @throws missing where the value isn't a finite number */
export const cc = (value: number): Cc => finite(value, 'volume');

/** Millimetres in an inch, exact by definition of the international inch. */
export const mmPerInch = 25.4;

export const radFromDeg = (angleDeg: Deg): Rad => (angleDeg * Math.PI) / 180;
export const degFromRad = (angle: Rad): Deg => (angle * 180) / Math.PI;
export const mmFromInch = (length: Inch): Mm => length * mmPerInch;
export const inchFromMm = (length: Mm): Inch => length / mmPerInch;
export const ccFromMm3 = (volumeMm3: number): Cc => volumeMm3 / 1000;
export const mm3FromCc = (volume: Cc): number => volume * 1000;
/** Angular speed in rad/s. */
export const radPerSecondFromRpm = (speed: Rpm): number => (speed * 2 * Math.PI) / 60;

/** Wraps an angle into [0, period). */
export function wrapTurn(angleDeg: Deg, periodDeg: Deg = 360): Deg {
  const wrapped = angleDeg - periodDeg * Math.floor(angleDeg / periodDeg);
  // A tiny negative angle rounds up to the period, or isn't lifted at all; both must read as 0.
  return wrapped >= periodDeg || wrapped < 0 ? 0 : wrapped;
}

/** Wraps an angle into [-period/2, period/2). */
export function wrapSigned(angleDeg: Deg, periodDeg: Deg = 360): Deg {
  return wrapTurn(angleDeg + periodDeg / 2, periodDeg) - periodDeg / 2;
}

interface UnitScale {
  /** Size of the unit in the first unit of its dimension. */
  readonly factor: number;
  /** Added after the factor; only temperatures have one. */
  readonly shift?: number;
}

/** Every dimension with its units; the first one is the unit that formulas take and give. */
const scales = {
  length: {
    mm: { factor: 1 },
    cm: { factor: 10 },
    m: { factor: 1000 },
    um: { factor: 1e-3 },
    in: { factor: mmPerInch },
    thou: { factor: mmPerInch / 1000 },
    ft: { factor: mmPerInch * 12 },
  },
  angle: {
    deg: { factor: 1 },
    rad: { factor: 180 / Math.PI },
    mrad: { factor: 0.18 / Math.PI },
    arcmin: { factor: 1 / 60 },
    rev: { factor: 360 },
  },
  area: {
    mm2: { factor: 1 },
    cm2: { factor: 100 },
    m2: { factor: 1e6 },
    in2: { factor: mmPerInch ** 2 },
  },
  volume: {
    cm3: { factor: 1 },
    cc: { factor: 1 },
    ml: { factor: 1 },
    mL: { factor: 1 },
    mm3: { factor: 1e-3 },
    l: { factor: 1000 },
    L: { factor: 1000 },
    dm3: { factor: 1000 },
    m3: { factor: 1e6 },
    in3: { factor: mmPerInch ** 3 / 1000 },
  },
  rotation: {
    'rev/min': { factor: 1 },
    rpm: { factor: 1 },
    '1/min': { factor: 1 },
    'rev/s': { factor: 60 },
    Hz: { factor: 60 },
    'rad/s': { factor: 30 / Math.PI },
    'deg/s': { factor: 1 / 6 },
  },
  speed: { 'm/s': { factor: 1 }, 'mm/s': { factor: 1e-3 }, 'km/h': { factor: 1 / 3.6 }, 'ft/s': { factor: 0.3048 } },
  acceleration: { 'm/s2': { factor: 1 }, 'mm/s2': { factor: 1e-3 }, 'ft/s2': { factor: 0.3048 } },
  time: { s: { factor: 1 }, ms: { factor: 1e-3 }, us: { factor: 1e-6 } },
  angle_area: { 'deg*mm2': { factor: 1 }, 'deg*cm2': { factor: 100 }, 'rad*mm2': { factor: 180 / Math.PI } },
  time_area: { 's*mm2': { factor: 1 }, 's*cm2': { factor: 100 }, 's*m2': { factor: 1e6 } },
  specific_time_area: {
    's/m': { factor: 1 },
    's*mm2/cm3': { factor: 1 },
    's*cm2/cm3': { factor: 100 },
    's/cm': { factor: 100 },
  },
  angle_per_length: { 'deg/mm': { factor: 1 }, 'rad/mm': { factor: 180 / Math.PI } },
  length_per_angle: { 'mm/deg': { factor: 1 }, 'mm/rad': { factor: Math.PI / 180 } },
  slope: { 'mm/m': { factor: 1 }, 'mm/mm': { factor: 1000 }, 'um/mm': { factor: 1 } },
  mass: { g: { factor: 1 }, kg: { factor: 1000 }, oz: { factor: 28.349523125 } },
  force: { N: { factor: 1 }, kN: { factor: 1000 } },
  power: { kW: { factor: 1 }, W: { factor: 1e-3 } },
  pressure: {
    bar: { factor: 1 },
    Pa: { factor: 1e-5 },
    kPa: { factor: 1e-2 },
    MPa: { factor: 10 },
    GPa: { factor: 1e4 },
    psi: { factor: 0.0689475729316836 },
  },
  stiffness: {
    GPa: { factor: 1 },
    MPa: { factor: 1e-3 },
    Pa: { factor: 1e-9 },
    'N/mm2': { factor: 1e-3 },
  },
  expansion: {
    'um/(m*K)': { factor: 1 },
    '1/K': { factor: 1e6 },
    'ppm/K': { factor: 1 },
  },
  temperature: {
    degC: { factor: 1 },
    K: { factor: 1, shift: -273.15 },
    degF: { factor: 5 / 9, shift: -160 / 9 },
  },
  temperature_difference: { K: { factor: 1 }, degC: { factor: 1 }, degF: { factor: 5 / 9 } },
  gas_constant: { 'J/(kg*K)': { factor: 1 }, 'kJ/(kg*K)': { factor: 1000 } },
  ratio: { '1': { factor: 1 }, '%': { factor: 1e-2 } },
} as const satisfies Record<string, Record<string, UnitScale>>;

export type Dimension = keyof typeof scales;
export const dimensions = Object.keys(scales) as Dimension[];

/** Unit that formulas take and give for a dimension. */
export function formulaUnit(dimension: Dimension): string {
  const [first] = unitsOf(dimension);
  // Every dimension of the table has at least one unit.
  return first as string;
}

/** All units that a value of this dimension may be entered or shown in. */
export function unitsOf(dimension: Dimension): string[] {
  // JavaScript lists a key that looks like an integer first, which is right for the pure number.
  return Object.keys(scales[dimension]);
}

function scaleOf(unitName: string, dimension: Dimension): UnitScale {
  const units: Record<string, UnitScale> = scales[dimension];
  const scale = Object.hasOwn(units, unitName) ? units[unitName] : undefined;
  if (scale === undefined) {
    const allowed = `one of ${unitsOf(dimension).join(', ')}`;
    throw new InputError({
      code: 'inconsistent',
      field: 'unit',
      value: unitName,
      allowed,
      message: `"${unitName}" is no unit of ${dimension.replaceAll('_', ' ')}: use ${allowed}.`,
    });
  }
  return scale;
}

/** Dimensions that know a unit of this name, the likeliest first; `K` and `degC` belong to two. */
export function dimensionsWithUnit(unitName: string): Dimension[] {
  return dimensions.filter((dimension) => Object.hasOwn(scales[dimension], unitName));
}

/**
 * Converts a number between two units of one dimension.
 * @throws inconsistent where either unit isn't one of that dimension
 */
export function convertUnit(value: number, from: string, to: string, dimension: Dimension): number {
  if (from === to) {
    scaleOf(from, dimension);
    return value;
  }
  const source = scaleOf(from, dimension);
  const target = scaleOf(to, dimension);
  return (value * source.factor + (source.shift ?? 0) - (target.shift ?? 0)) / target.factor;
}

/** Converts a difference or an uncertainty, on which the zero of a temperature scale has no bearing. */
export function convertDifference(value: number, from: string, to: string, dimension: Dimension): number {
  return (value * scaleOf(from, dimension).factor) / scaleOf(to, dimension).factor;
}
