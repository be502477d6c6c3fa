import { notNegative, positive, refuse, wheelReading, within } from '../checks.ts';
import { type Value, valueFrom } from '../uncertainty/value.ts';
import { borderSlack, type Deg, degFromRad, type Mm, radFromDeg, wrapSigned, wrapTurn } from '../units.ts';
import {
  anglesAtDepth,
  anglesAtDepthRad,
  type Crank,
  type CrankGeometry,
  crankFrom,
  depthAtHalfArc,
  depthSlopesAtRad,
} from './geometry.ts';

/** A contact with the stop: wheel reading in [0, 360), rising forwards, with its standard uncertainty. */
export interface StopContacts {
  /** Reading where, turning forwards, the piston comes on to the stop. */
  readonly forwardDeg: Deg;
  /** Reading where, turning backwards, it comes on to the stop from the other side. */
  readonly backwardDeg: Deg;
}

/**
 * Middle of the two contacts with a positive stop, without any correction.
 * @returns both in [0, 360)
 * @throws missing, out_of_range (360 is given as 0), inconsistent where the readings are swapped, equal, or the stop
 *   sits below half the stroke
 * @source bisection of equal piston heights
 */
export function middleOfStops(contacts: StopContacts): { blockedArcDeg: Deg; tdcReadingDeg: Deg } {
  const forward = wheelReading('stopForwardDeg', contacts.forwardDeg);
  const backward = wheelReading('stopBackwardDeg', contacts.backwardDeg);
  const blockedArcDeg = wrapTurn(backward - forward);
  if (blockedArcDeg <= borderSlack || blockedArcDeg >= 180 - borderSlack) {
    refuse(
      'inconsistent',
      'stopBackwardDeg',
      backward,
      'after the forward contact by more than 0 and less than 180 deg',
      'the readings are swapped, or the stop sits below half the stroke.',
    );
  }
  return { blockedArcDeg, tdcReadingDeg: wrapTurn(forward + blockedArcDeg / 2) };
}

/**
 * How far the middle of two contacts at one height lies from true TDC, because the bore or pin is offset.
 * @param stopDepthMm depth of the piston below TDC at the stop, between 0 and the travel
 * @returns angles of the contacts and the error of their middle; subtract the error from a TDC found by bisection
 * @throws missing, non_positive, out_of_range, rod_too_short
 * @source atan(e/Y) - asin(e/(L+R)), about e x/(L+R)^2 rad
 */
export function stopOffsetError(
  geometry: CrankGeometry,
  stopDepthMm: Mm,
): { stopAtdcDeg: Deg; stopBtdcDeg: Deg; midpointErrorDeg: Deg } {
  const crank = crankFrom(geometry);
  const depth = stopDepthIn(crank, stopDepthMm);
  const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, depth);
  return { stopAtdcDeg: downAtdcDeg, stopBtdcDeg: upBtdcDeg, midpointErrorDeg: middleErrorDeg(crank, depth) };
}

function stopDepthIn(crank: Crank, stopDepthMm: Mm): Mm {
  const depth = positive('stopDepthMm', stopDepthMm);
  if (depth >= crank.travelMm - borderSlack) {
    refuse('out_of_range', 'stopDepthMm', depth, `less than the travel ${crank.travelMm} mm`, 'measure it again.');
  }
  return depth;
}

/** Error of the middle of two contacts at a depth, written as the small angle itself. */
function middleErrorDeg(crank: Crank, depthMm: Mm): Deg {
  return crank.offsetMm === 0
    ? 0
    : degFromRad(Math.atan2(crank.offsetMm, crank.tdcHeightMm - depthMm) - crank.tdcAngle);
}

/** Depth of the stop that blocks a given arc: the two contacts stand at one height, half the arc either side of it. */
export function stopDepthFromArc(crank: Crank, blockedArcDeg: Deg): Mm {
  const half = radFromDeg(within('blockedArcDeg', blockedArcDeg, 0, 360, 'it is part of one turn.')) / 2;
  return depthAtHalfArc(crank, half);
}

/** Half of the blocked arc at which a stop works best: the slope is low and the piston still moves. Our own choice. */
export const stopHalfArcRangeDeg = { lower: 30, upper: 60 } as const;

/** Advice, not a refusal: a sentence where the stop stands too close to TDC or too far down, else null. */
export function stopWarning(blockedArcDeg: Deg): string | null {
  const half = blockedArcDeg / 2;
  const { lower, upper } = stopHalfArcRangeDeg;
  if (half < lower) {
    return `The stop blocks only ${Number(half.toPrecision(3))} deg either side of TDC: set it deeper, ${lower} to ${upper} deg read best.`;
  }
  return half > upper
    ? `The stop blocks ${Number(half.toPrecision(3))} deg either side of TDC: set it higher, ${lower} to ${upper} deg read best.`
    : null;
}

export interface TdcFromStopInput extends StopContacts {
  /** Standard uncertainty of each contact, 0 or more. */
  readonly forwardSigmaDeg: Deg;
  readonly backwardSigmaDeg: Deg;
  /** Needed for the correction; without it the offset counts as 0. */
  readonly geometry?: CrankGeometry | undefined;
}

export interface TdcFromStop {
  readonly blockedArcDeg: Deg;
  readonly middleDeg: Deg;
  /** Added to the middle to get true TDC; 0 without offset. To be shown. */
  readonly correctionDeg: Deg;
  /** Wheel reading of true TDC in [0, 360), with u = half the root of the sum of squares. */
  readonly tdcReadingDeg: Value;
  /** Depth of the stop that fits the blocked arc; null without geometry. */
  readonly stopDepthMm: Mm | null;
}

/**
 * True TDC from the two contacts with a positive stop, corrected for an offset bore or pin.
 *
 * The stop's depth follows from the blocked arc, so the correction needs no further reading.
 * @throws missing, out_of_range, inconsistent, negative, non_positive, rod_too_short
 * @source middle of the contacts minus atan(e/Y) - asin(e/(L+R)); u = sqrt(ua^2 + ub^2)/2
 */
export function tdcFromStop(input: TdcFromStopInput): TdcFromStop {
  const { blockedArcDeg, tdcReadingDeg: middleDeg } = middleOfStops(input);
  const crank = input.geometry === undefined ? null : crankFrom(input.geometry);
  const stopDepthMm = crank === null ? null : stopDepthFromArc(crank, blockedArcDeg);
  const correctionDeg = crank === null || stopDepthMm === null ? 0 : 0 - middleErrorDeg(crank, stopDepthMm);
  const contribution = (from: string, sigma: number) => ({
    from,
    effect: notNegative('sigmaDeg', sigma) / 2,
    degreesOfFreedom: null,
    route: 'propagated' as const,
  });
  return {
    blockedArcDeg,
    middleDeg,
    correctionDeg,
    tdcReadingDeg: valueFrom(wrapTurn(middleDeg + correctionDeg), [
      contribution('contact turning forwards', input.forwardSigmaDeg),
      contribution('contact turning backwards', input.backwardSigmaDeg),
    ]),
    stopDepthMm,
  };
}

/** The one place where a rising wheel reading or rotation becomes a crank angle: degrees forwards from true TDC. */
export function crankAngleFrom(readingDeg: Deg, tdcReadingDeg: Deg): Deg {
  return wrapTurn(readingDeg - tdcReadingDeg);
}

/**
 * Rotation of the wheel in the camera picture as a reading that rises when the crank turns forwards.
 * @param rotationDeg clockwise as the camera sees it, from the reference frame
 * @param forwards which way the wheel turns in the un-mirrored picture when the crank turns forwards
 */
export function risingFromRotation(
  rotationDeg: Deg,
  forwards: 'clockwise' | 'anticlockwise',
  modulusDeg: Deg = 360,
): Deg {
  return wrapTurn(forwards === 'clockwise' ? rotationDeg : -rotationDeg, modulusDeg);
}

/**
 * Why the dial gauge alone is poor at TDC: the arc in which it doesn't move, against the slope at a stop further down.
 * @param resolutionMm step of the indicator, between 0 and the travel
 * @param stopDepthMm between 0 and the travel
 * @throws missing, non_positive, out_of_range, rod_too_short
 * @source inverse slider-crank at one indicator step; 1/x' at the stop
 */
export function dwellSensitivity(
  geometry: CrankGeometry,
  resolutionMm: Mm,
  stopDepthMm: Mm,
): { deadZoneDeg: Deg; sensitivityAtStopDegPerMm: number } {
  const crank = crankFrom(geometry);
  const resolution = positive('resolutionMm', resolutionMm);
  const zone = anglesAtDepth(crank, resolution);
  const stop = anglesAtDepthRad(crank, stopDepthIn(crank, stopDepthMm));
  return {
    deadZoneDeg: zone.downAtdcDeg + zone.upBtdcDeg,
    sensitivityAtStopDegPerMm: degFromRad(1 / depthSlopesAtRad(crank, stop.down).first),
  };
}

/** Drift of TDC over a session beyond which its angle readings are doubtful, deg. Bench practice, adjustable. */
export const tdcDriftLimitDeg = 0.5;

/** Difference of a TDC check from the TDC in use, in [-180, 180), with the uncertainties of both. */
export function tdcDrift(inUse: Value, check: Value): Value {
  const effects = [
    ...check.contributions.map((term) => ({ ...term, from: `check: ${term.from}` })),
    ...inUse.contributions.map((term) => ({ ...term, from: `TDC in use: ${term.from}`, effect: -term.effect })),
  ];
  return valueFrom(wrapSigned(check.value - inUse.value), effects);
}
