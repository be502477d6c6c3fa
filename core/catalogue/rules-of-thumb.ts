import { halfWayTimeArea, halfWayTimeAreaSource } from '../rules-of-thumb/half-way-time-area.ts';
import { ringFlutterLimit, ringFlutterRangeMm, ringFlutterSource } from '../rules-of-thumb/ring-flutter.ts';
import { soundSpeed, tunedLength, tunedLengthSource } from '../rules-of-thumb/tuned-length.ts';
import { roofDrop, windowCount, windowInputs } from './area.ts';
import { boreInput, crankInputs, number, quantity, speedInput } from './describe.ts';

/** Advice passed on in the trade, kept apart from physics; each with its source and range. */
export const ruleQuantities = [
  quantity({
    id: 'ring_flutter_limit',
    title: 'Acceleration at which a ring begins to flutter',
    subject: 'rules_of_thumb',
    formula: 'linear between the lines of a published table',
    nature: 'rule_of_thumb',
    source: ringFlutterSource,
    validity: `ring thickness ${ringFlutterRangeMm.lower.toFixed(2)} to ${ringFlutterRangeMm.upper.toFixed(2)} mm`,
    inputs: { ringThicknessMm: number('ring_thickness', 'Ring thickness', 'length') },
    outputs: { limit_acceleration: { title: 'Acceleration', dimension: 'acceleration' } },
    run: (received) => ({ limit_acceleration: ringFlutterLimit(received.ringThicknessMm) }),
  }),
  quantity({
    id: 'jennings_time_area',
    title: 'Time-area per volume, half-way definition',
    subject: 'rules_of_thumb',
    formula: 'area half-way between opening and BDC × D/(6 N) ÷ V_swept; not the integral',
    nature: 'rule_of_thumb',
    source: halfWayTimeAreaSource,
    validity: 'racing engines; compare with ranges of the same definition only',
    inputs: {
      ...crankInputs,
      ...windowInputs,
      ...roofDrop,
      roofDepthMm: number('roof_depth', 'Roof below the crown at TDC', 'length'),
      ...boreInput,
      ...speedInput,
      ...windowCount,
    },
    outputs: {
      mean_area: { title: 'Area half-way', dimension: 'area' },
      open_time: { title: 'Open time', dimension: 'time' },
      time_area_per_volume: { title: 'Time-area per volume', dimension: 'specific_time_area' },
    },
    run: (received) => {
      const result = halfWayTimeArea({ ...received, geometry: received, window: received });
      return {
        mean_area: 100 * result.meanAreaCm2,
        open_time: result.openTimeS,
        time_area_per_volume: 100 * result.timeAreaPerVolume,
      };
    },
  }),
  quantity({
    id: 'tuned_length',
    title: 'Tuned length of the exhaust',
    subject: 'rules_of_thumb',
    formula: 'L = c D/(12 N)',
    nature: 'rule_of_thumb',
    source: tunedLengthSource,
    validity: 'a starting point: one wave speed, no cones',
    inputs: {
      exhaustDurationDeg: number('exhaust_duration', 'Exhaust duration', 'angle'),
      waveSpeedMps: number('wave_speed', 'Wave speed', 'speed'),
      ...speedInput,
    },
    outputs: { tuned_length: { title: 'Length from the cylinder wall', dimension: 'length' } },
    run: (received) => ({
      tuned_length: tunedLength(received.exhaustDurationDeg, received.waveSpeedMps, received.speedRpm),
    }),
  }),
  quantity({
    id: 'sound_speed',
    title: 'Speed of sound in the exhaust gas',
    subject: 'rules_of_thumb',
    formula: 'c = √(γ R T)',
    nature: 'textbook',
    source: 'ideal gas; the gas temperature is the weak input',
    inputs: {
      gamma: number('gamma', 'Ratio of specific heats', 'ratio'),
      gasConstantJPerKgK: number('gas_constant', 'Gas constant', 'gas_constant'),
      temperatureCelsius: number('temperature', 'Gas temperature', 'temperature'),
    },
    outputs: { wave_speed: { title: 'Wave speed', dimension: 'speed' } },
    run: (received) => ({
      wave_speed: soundSpeed(received.gamma, received.gasConstantJPerKgK, received.temperatureCelsius),
    }),
  }),
];
