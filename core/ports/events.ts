import { between, positive, present, refuse, wheelReading } from '../checks.ts';
import { circularMean } from '../uncertainty/circular.ts';
import { borderSlack, type Deg, type Rpm, wrapSigned, wrapTurn } from '../units.ts';
import { type PortEdge, type PortKind, portKindTable } from './kinds.ts';

const betweenDeadCentres = 'an edge is met between the dead centres; check before/after and top/bottom.';

/** Crank angle after TDC in [0, 360) from the four ways of quoting it, and back. */
export const atdcFromBtdc = (btdcDeg: Deg): Deg => wrapTurn(-present('btdcDeg', btdcDeg));
export const atdcFromAbdc = (abdcDeg: Deg): Deg => wrapTurn(180 + present('abdcDeg', abdcDeg));
export const atdcFromBbdc = (bbdcDeg: Deg): Deg => wrapTurn(180 - present('bbdcDeg', bbdcDeg));

export interface QuotedAngle {
  readonly atdcDeg: Deg;
  readonly btdcDeg: Deg;
  readonly abdcDeg: Deg;
  readonly bbdcDeg: Deg;
}

/**
 * A crank angle as it may be quoted: after and before top, after and before bottom.
 * ATDC in [0, 360), BTDC = 360 - ATDC in (0, 360], ABDC and BBDC in [-180, 180].
 * @throws missing
 */
export function quotedAngle(crankAngleDeg: Deg): QuotedAngle {
  const atdcDeg = wrapTurn(present('crankAngleDeg', crankAngleDeg));
  return { atdcDeg, btdcDeg: 360 - atdcDeg, abdcDeg: atdcDeg - 180, bbdcDeg: 180 - atdcDeg };
}

export interface PortEvents {
  readonly openBbdcDeg: Deg;
  readonly closeAbdcDeg: Deg;
  readonly durationDeg: Deg;
  /** Opening ATDC minus closing BTDC: 0 without offset and zero error. */
  readonly asymmetryDeg: Deg;
}

/**
 * Events of a port that the piston crown opens and closes: exhaust, transfer, boost.
 * @param openAtdcDeg between 0 and 180, both excluded
 * @param closeBtdcDeg between 0 and 180, both excluded
 * @throws missing, out_of_range
 * @source definitions of ATDC, BTDC, ABDC, BBDC
 */
export function portEvents(openAtdcDeg: Deg, closeBtdcDeg: Deg): PortEvents {
  const open = between('openAtdcDeg', openAtdcDeg, 0, 180, betweenDeadCentres);
  const close = between('closeBtdcDeg', closeBtdcDeg, 0, 180, betweenDeadCentres);
  return {
    openBbdcDeg: 180 - open,
    closeAbdcDeg: 180 - close,
    durationDeg: 360 - open - close,
    asymmetryDeg: open - close,
  };
}

/**
 * Duration of a crown-controlled port from its opening alone; holds without offset only.
 * @throws missing, out_of_range
 */
export function symmetricDuration(openAtdcDeg: Deg): Deg {
  return 2 * (180 - between('openAtdcDeg', openAtdcDeg, 0, 180, betweenDeadCentres));
}

/**
 * Intake opened by the lower edge of the piston skirt.
 * @param openBtdcDeg between 0 and 180, both excluded
 * @param closeAtdcDeg between 0 and 180, both excluded
 * @throws missing, out_of_range
 */
export function skirtIntakeEvents(openBtdcDeg: Deg, closeAtdcDeg: Deg): { durationDeg: Deg; asymmetryDeg: Deg } {
  const open = between('openBtdcDeg', openBtdcDeg, 0, 180, betweenDeadCentres);
  const close = between('closeAtdcDeg', closeAtdcDeg, 0, 180, betweenDeadCentres);
  return { durationDeg: open + close, asymmetryDeg: open - close };
}

/**
 * Intake through a rotary disc. Asymmetric by design: opening and closing are never averaged.
 * @param openBtdcDeg may exceed 180, where it opens before BDC of the turn before
 * @param closeAtdcDeg may be negative, where it closes before TDC
 * @throws missing, out_of_range, inconsistent where the total isn't between 0 and 360
 */
export function discIntakeEvents(
  openBtdcDeg: Deg,
  closeAtdcDeg: Deg,
): { durationDeg: Deg; openAbdcDeg: Deg; midAtdcDeg: Deg } {
  const within = 'it is counted from TDC within one turn.';
  const open = between('openBtdcDeg', openBtdcDeg, -360, 360, within);
  const close = between('closeAtdcDeg', closeAtdcDeg, -360, 360, within);
  const durationDeg = open + close;
  if (durationDeg <= borderSlack || durationDeg >= 360 - borderSlack) {
    refuse(
      'inconsistent',
      'closeAtdcDeg',
      close,
      `more than ${-open} and less than ${360 - open} deg for this opening`,
      'together they must be more than 0 and less than a turn.',
    );
  }
  return { durationDeg, openAbdcDeg: 180 - open, midAtdcDeg: (close - open) / 2 };
}

/**
 * Open angle of a rotary disc turning at crank speed, from its drawing.
 * @param cutoutAngleDeg cut-out of the disc, seen from the shaft centre, greater than 0
 * @param portAngleDeg port in the cover, seen from the shaft centre, greater than 0
 * @throws missing, non_positive, out_of_range where the sum reaches a turn: it never closes
 */
export function discDuration(cutoutAngleDeg: Deg, portAngleDeg: Deg): Deg {
  const cutout = positive('cutoutAngleDeg', cutoutAngleDeg);
  const port = positive('portAngleDeg', portAngleDeg);
  if (cutout + port >= 360 - borderSlack) {
    const allowed = `less than ${360 - port} deg with this port`;
    refuse('out_of_range', 'cutoutAngleDeg', cutout, allowed, 'together they reach a turn and the port never closes.');
  }
  return cutout + port;
}

/** A reed moves with the flow and has no timing. @throws not_applicable always */
export function reedTiming(): never {
  return refuse(
    'not_applicable',
    'kind',
    'reed',
    'a port with fixed timing',
    'a reed has none; record petal lift and stop height instead.',
  );
}

/**
 * Lead of the exhaust over the earliest transfer.
 * @param exhaustOpenAtdcDeg between 0 and 180, both excluded
 * @param transferOpenAtdcDeg of the earliest transfer, between 0 and 180, both excluded
 * @param speedRpm greater than 0; without it no time is given
 * @throws missing, non_positive, out_of_range, inconsistent where the transfer doesn't open later
 */
export function blowdown(
  exhaustOpenAtdcDeg: Deg,
  transferOpenAtdcDeg: Deg,
  speedRpm?: Rpm,
): { blowdownDeg: Deg; blowdownTimeMs?: number } {
  const exhaust = between('exhaustOpenAtdcDeg', exhaustOpenAtdcDeg, 0, 180, betweenDeadCentres);
  const transfer = between('transferOpenAtdcDeg', transferOpenAtdcDeg, 0, 180, betweenDeadCentres);
  const speed = speedRpm === undefined ? null : positive('speedRpm', speedRpm);
  const blowdownDeg = positiveLead('transferOpenAtdcDeg', transfer - exhaust, transfer, 'later than the exhaust');
  return speed === null ? { blowdownDeg } : { blowdownDeg, blowdownTimeMs: timeMs(blowdownDeg, speed) };
}

function positiveLead(field: string, leadDeg: Deg, value: number, allowed: string): Deg {
  if (leadDeg <= borderSlack) {
    refuse('inconsistent', field, value, allowed, 'check whether the two are swapped.');
  }
  return leadDeg;
}

/** Time in milliseconds that the crank takes for an angle. */
export function timeMs(angleDeg: Deg, speedRpm: Rpm): number {
  return (angleDeg / (6 * speedRpm)) * 1000;
}

/**
 * Blowdown from the two durations; holds without offset only.
 * @throws missing, out_of_range, inconsistent
 */
export function blowdownFromDurations(exhaustDurationDeg: Deg, transferDurationDeg: Deg): Deg {
  const mend = 'a duration is part of one turn.';
  const exhaust = between('exhaustDurationDeg', exhaustDurationDeg, 0, 360, mend);
  const transfer = between('transferDurationDeg', transferDurationDeg, 0, 360, mend);
  return positiveLead('transferDurationDeg', (exhaust - transfer) / 2, transfer, 'shorter than that of the exhaust');
}

export interface TwoDirections {
  readonly openForwardDeg: Deg;
  readonly openBackwardDeg: Deg;
  readonly closeForwardDeg: Deg;
  readonly closeBackwardDeg: Deg;
}

export interface TwoDirectionsResult {
  readonly openReadingDeg: Deg;
  readonly closeReadingDeg: Deg;
  readonly durationDeg: Deg;
  /** Forward minus backward, in [-180, 180). */
  readonly openDirectionDifferenceDeg: Deg;
  readonly closeDirectionDifferenceDeg: Deg;
  /** What the wheel shows at true TDC, in [-180, 180), for a port symmetric about BDC. */
  readonly zeroErrorDeg: Deg;
  readonly openAtdcDeg: Deg;
}

/**
 * Events of one port from wheel readings taken both ways; readings rise forwards, 0 <= reading < 360.
 *
 * The mean of the directions takes the constant part of slack, hysteresis and judgement out; the duration doesn't feel
 * the zero error of the wheel.
 * @throws missing, out_of_range, singular where the two directions are half a turn apart
 */
export function eventsFromTwoDirections(readings: TwoDirections): TwoDirectionsResult {
  const openForward = wheelReading('openForwardDeg', readings.openForwardDeg);
  const openBackward = wheelReading('openBackwardDeg', readings.openBackwardDeg);
  const closeForward = wheelReading('closeForwardDeg', readings.closeForwardDeg);
  const closeBackward = wheelReading('closeBackwardDeg', readings.closeBackwardDeg);
  const openReadingDeg = circularMean([openForward, openBackward]);
  const closeReadingDeg = circularMean([closeForward, closeBackward]);
  const durationDeg = wrapTurn(closeReadingDeg - openReadingDeg);
  const zeroErrorDeg = wrapSigned(openReadingDeg + durationDeg / 2 - 180);
  return {
    openReadingDeg,
    closeReadingDeg,
    durationDeg,
    openDirectionDifferenceDeg: wrapSigned(openForward - openBackward),
    closeDirectionDifferenceDeg: wrapSigned(closeForward - closeBackward),
    zeroErrorDeg,
    openAtdcDeg: wrapTurn(openReadingDeg - zeroErrorDeg),
  };
}

/** Duration between two crank angles of one port, whatever its kind: from opening forwards to closing, in [0, 360). */
export function durationBetween(openCrankAngleDeg: Deg, closeCrankAngleDeg: Deg): Deg {
  return wrapTurn(present('closeCrankAngleDeg', closeCrankAngleDeg) - present('openCrankAngleDeg', openCrankAngleDeg));
}

/**
 * Is a crank angle possible for this edge of this kind of port?
 * @param crankAngleDeg after true TDC
 * @returns the angle in the reference in which the kind is quoted (exhaust opens 83.5 after TDC, closes 83.5 before)
 * @throws missing, out_of_range, not_applicable for a reed
 */
export function quotedEvent(kind: PortKind, edge: PortEdge, crankAngleDeg: Deg): Deg {
  const { quoted, legalDeg, title } = portKindTable[kind];
  if (quoted === null || legalDeg === null) return reedTiming();
  const atdcDeg = wrapTurn(present('crankAngleDeg', crankAngleDeg));
  if (kind === 'intake_disc') {
    // Opening and closing of a disc are quoted the short way round, so that a closing before TDC shows as negative.
    return quoted[edge] === 'btdc' ? 360 - atdcDeg : wrapSigned(atdcDeg);
  }
  const value = quoted[edge] === 'atdc' ? atdcDeg : 360 - atdcDeg;
  const mend = `${title} ${edge} within half a turn of TDC; check which edge and which dead centre it is.`;
  return between(`${edge}${quoted[edge] === 'atdc' ? 'Atdc' : 'Btdc'}Deg`, value, legalDeg.lower, legalDeg.upper, mend);
}
