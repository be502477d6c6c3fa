import { dwellSensitivity, middleOfStops, stopOffsetError } from '../crank/dead-centre.ts';
import { anglesAtDepth, crankFrom, deadCentres, depthAt } from '../crank/geometry.ts';
import { meanPistonSpeed, peakAcceleration, velocityAndAcceleration } from '../crank/motion.ts';
import { eccentricityError, parallaxError } from '../crank/wheel-errors.ts';
import { crankInputs, derived, number, quantity, sliderCrank, speedInput } from './describe.ts';

const angle = (title: string) => ({ title, dimension: 'angle' }) as const;
const length = (title: string) => ({ title, dimension: 'length' }) as const;

/** Crank geometry, true TDC and what the wheel itself adds. */
export const crankQuantities = [
  quantity({
    id: 'kin_dead_centres',
    title: 'Dead centres and travel',
    subject: 'crank',
    formula: 'TDC at asin(e/(L+R)), BDC at 180° + asin(e/(L−R)); H = √((L+R)²−e²) − √((L−R)²−e²)',
    ...sliderCrank,
    inputs: crankInputs,
    outputs: {
      tdc_from_vertical: angle('TDC from the line parallel to the bore'),
      bdc_from_vertical: angle('BDC from the line parallel to the bore'),
      travel: length('Travel of the piston'),
      downstroke_angle: angle('Downstroke'),
      upstroke_angle: angle('Upstroke'),
    },
    run: (received) => {
      const result = deadCentres(received);
      return {
        tdc_from_vertical: result.tdcFromVerticalDeg,
        bdc_from_vertical: result.bdcFromVerticalDeg,
        travel: result.travelMm,
        downstroke_angle: result.downstrokeAngleDeg,
        upstroke_angle: result.upstrokeAngleDeg,
      };
    },
  }),
  quantity({
    id: 'kin_position',
    title: 'Piston position at a crank angle',
    subject: 'crank',
    formula: 'x(φ) = Y_T − R cos θ − √(L² − (R sin θ − e)²), θ = θ_T + φ',
    ...sliderCrank,
    inputs: { ...crankInputs, crankAngleDeg: number('crank_angle', 'Crank angle after TDC', 'angle') },
    outputs: { position: length('Crown edge below its TDC position') },
    run: (received) => ({ position: depthAt(crankFrom(received), received.crankAngleDeg) }),
  }),
  quantity({
    id: 'kin_angle_from_position',
    title: 'Crank angle at a piston position',
    subject: 'crank',
    formula: 'φ = ψ ± h ∓ θ_T with cos h = (R² + ρ² − L²)/(2Rρ)',
    ...sliderCrank,
    inputs: { ...crankInputs, positionMm: number('position', 'Crown edge below its TDC position', 'length') },
    outputs: { down_atdc: angle('Downstroke, after TDC'), up_btdc: angle('Upstroke, before TDC') },
    run: (received) => {
      const result = anglesAtDepth(crankFrom(received), received.positionMm);
      return { down_atdc: result.downAtdcDeg, up_btdc: result.upBtdcDeg };
    },
  }),
  quantity({
    id: 'kin_velocity_acceleration',
    title: 'Piston speed and acceleration at a crank angle',
    subject: 'crank',
    formula: 'v = ω x′(φ), a = ω² x″(φ)',
    ...sliderCrank,
    inputs: { ...crankInputs, crankAngleDeg: number('crank_angle', 'Crank angle after TDC', 'angle'), ...speedInput },
    outputs: {
      velocity: { title: 'Speed, positive away from the head', dimension: 'speed' },
      acceleration: { title: 'Acceleration, positive away from the head', dimension: 'acceleration' },
    },
    run: (received) => {
      const result = velocityAndAcceleration(received, received.crankAngleDeg, received.speedRpm);
      return { velocity: result.velocityMps, acceleration: result.accelerationMps2 };
    },
  }),
  quantity({
    id: 'kin_mean_piston_speed',
    title: 'Mean piston speed',
    subject: 'crank',
    formula: '2 H N/60',
    nature: 'textbook',
    source: 'Heywood, Internal Combustion Engine Fundamentals (1988), 2.2',
    inputs: { ...crankInputs, ...speedInput },
    outputs: { mean_piston_speed: { title: 'Mean piston speed', dimension: 'speed' } },
    run: (received) => ({ mean_piston_speed: meanPistonSpeed(received, received.speedRpm) }),
  }),
  quantity({
    id: 'kin_peak_acceleration',
    title: 'Peak piston acceleration',
    subject: 'crank',
    formula: 'R ω² (1 + R/L) at TDC; with offset the maximum of |x″| ω² within 45° of TDC',
    ...sliderCrank,
    inputs: { ...crankInputs, ...speedInput },
    outputs: { peak_acceleration: { title: 'Peak acceleration', dimension: 'acceleration' } },
    run: (received) => ({ peak_acceleration: peakAcceleration(received, received.speedRpm) }),
  }),
  quantity({
    id: 'tdc_positive_stop',
    title: 'TDC from a positive stop',
    subject: 'crank',
    formula: 'arc = (backward − forward) mod 360; TDC = forward + arc/2',
    ...derived,
    inputs: {
      forwardDeg: number('stop_forward', 'Contact turning forwards', 'angle'),
      backwardDeg: number('stop_backward', 'Contact turning backwards', 'angle'),
    },
    outputs: {
      blocked_arc: angle('Blocked arc'),
      tdc_reading: { title: 'Wheel reading of TDC', dimension: 'angle', period: 360 },
    },
    run: (received) => {
      const result = middleOfStops(received);
      return { blocked_arc: result.blockedArcDeg, tdc_reading: result.tdcReadingDeg };
    },
  }),
  quantity({
    id: 'tdc_stop_offset_error',
    title: 'Error of the middle of two stops with an offset',
    subject: 'crank',
    formula: 'ε = atan(e/Y) − asin(e/(L+R))',
    ...sliderCrank,
    inputs: { ...crankInputs, stopDepthMm: number('stop_depth', 'Piston below TDC at the stop', 'length') },
    outputs: {
      stop_atdc: angle('Stop after TDC'),
      stop_btdc: angle('Stop before TDC'),
      midpoint_error: angle('Middle of the stops less true TDC'),
    },
    run: (received) => {
      const result = stopOffsetError(received, received.stopDepthMm);
      return {
        stop_atdc: result.stopAtdcDeg,
        stop_btdc: result.stopBtdcDeg,
        midpoint_error: result.midpointErrorDeg,
      };
    },
  }),
  quantity({
    id: 'tdc_dwell_sensitivity',
    title: 'Dwell at TDC against the slope at the stop',
    subject: 'crank',
    formula: 'zone = φ_down(δ) + φ_up(δ); slope = 1/x′ at the stop',
    ...sliderCrank,
    inputs: {
      ...crankInputs,
      resolutionMm: number('resolution', "Indicator's step", 'length'),
      stopDepthMm: number('stop_depth', 'Piston below TDC at the stop', 'length'),
    },
    outputs: {
      dead_zone: angle('Zone that reads TDC'),
      sensitivity_at_stop: { title: 'Angle per millimetre at the stop', dimension: 'angle_per_length' },
    },
    run: (received) => {
      const result = dwellSensitivity(received, received.resolutionMm, received.stopDepthMm);
      return { dead_zone: result.deadZoneDeg, sensitivity_at_stop: result.sensitivityAtStopDegPerMm };
    },
  }),
  quantity({
    id: 'wheel_eccentricity',
    title: 'Reading error of an off-centre wheel',
    subject: 'crank',
    formula: 'atan2(k sin t, 1 + k cos t), k = e/r',
    ...derived,
    inputs: {
      eccentricityMm: number('eccentricity', 'Wheel centre off the crank axis', 'length'),
      wheelRadiusMm: number('wheel_radius', 'Radius of the scale', 'length'),
      angleDeg: number('angle', 'Angle', 'angle'),
      phaseDeg: number('phase', 'Direction of the eccentricity', 'angle'),
    },
    outputs: {
      reading_error: angle('Reading error'),
      first_order_error: angle('First order of it'),
      peak_first_order: angle('Largest over a turn, first order'),
    },
    run: (received) => {
      const { eccentricityMm, wheelRadiusMm, angleDeg, phaseDeg } = received;
      const result = eccentricityError(eccentricityMm, wheelRadiusMm, angleDeg, phaseDeg);
      return {
        reading_error: result.readingErrorDeg,
        first_order_error: result.firstOrderErrorDeg,
        peak_first_order: result.peakFirstOrderDeg,
      };
    },
  }),
  quantity({
    id: 'parallax',
    title: 'Reading error by parallax',
    subject: 'crank',
    formula: 'gap tan(view angle)/r',
    ...derived,
    inputs: {
      pointerGapMm: number('pointer_gap', 'Pointer above the scale', 'length'),
      viewAngleDeg: number('view_angle', "Eye off the wheel's normal", 'angle'),
      wheelRadiusMm: number('wheel_radius', 'Radius of the scale', 'length'),
    },
    outputs: { reading_error: angle('Reading error') },
    run: (received) => ({
      reading_error: parallaxError(received.pointerGapMm, received.viewAngleDeg, received.wheelRadiusMm),
    }),
  }),
];
