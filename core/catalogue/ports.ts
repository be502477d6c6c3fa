import {
  blowdown,
  blowdownFromDurations,
  discDuration,
  discIntakeEvents,
  eventsFromTwoDirections,
  portEvents,
  reedTiming,
  skirtIntakeEvents,
  symmetricDuration,
} from '../ports/events.ts';
import { derived, number, optionalNumber, quantity } from './describe.ts';

const angle = (title: string) => ({ title, dimension: 'angle' }) as const;
const wrapping = (title: string) => ({ title, dimension: 'angle', period: 360 }) as const;

const openAtdc = { openAtdcDeg: number('open_atdc', 'Opens after TDC', 'angle') };
const openBtdc = { openBtdcDeg: number('open_btdc', 'Opens before TDC', 'angle') };
const closeAtdc = { closeAtdcDeg: number('close_atdc', 'Closes after TDC', 'angle') };

/** Port events of every kind. */
export const portQuantities = [
  quantity({
    id: 'port_event_conversion',
    title: 'Events of a crown-controlled port',
    subject: 'ports',
    formula: 'BBDC = 180 − ATDC; ABDC = 180 − BTDC; duration = 360 − open ATDC − close BTDC',
    ...derived,
    inputs: { ...openAtdc, closeBtdcDeg: number('close_btdc', 'Closes before TDC', 'angle') },
    outputs: {
      open_bbdc: angle('Opens before BDC'),
      close_abdc: angle('Closes after BDC'),
      duration: angle('Duration'),
      asymmetry: angle('Opening less closing'),
    },
    run: (received) => {
      const result = portEvents(received.openAtdcDeg, received.closeBtdcDeg);
      return {
        open_bbdc: result.openBbdcDeg,
        close_abdc: result.closeAbdcDeg,
        duration: result.durationDeg,
        asymmetry: result.asymmetryDeg,
      };
    },
  }),
  quantity({
    id: 'port_duration_symmetric',
    title: 'Duration from the opening alone',
    subject: 'ports',
    formula: '2 (180 − open ATDC), without offset',
    ...derived,
    inputs: openAtdc,
    outputs: { duration: angle('Duration') },
    run: (received) => ({ duration: symmetricDuration(received.openAtdcDeg) }),
  }),
  quantity({
    id: 'intake_skirt_duration',
    title: 'Skirt-controlled intake',
    subject: 'ports',
    formula: 'open BTDC + close ATDC',
    ...derived,
    inputs: { ...openBtdc, ...closeAtdc },
    outputs: { duration: angle('Duration'), asymmetry: angle('Opening less closing') },
    run: (received) => {
      const result = skirtIntakeEvents(received.openBtdcDeg, received.closeAtdcDeg);
      return { duration: result.durationDeg, asymmetry: result.asymmetryDeg };
    },
  }),
  quantity({
    id: 'intake_disc_duration',
    title: 'Intake through a rotary disc',
    subject: 'ports',
    formula: 'open BTDC + close ATDC; middle = (close − open)/2',
    ...derived,
    inputs: { ...openBtdc, ...closeAtdc },
    outputs: {
      duration: angle('Duration'),
      open_abdc: angle('Opens after BDC'),
      mid_atdc: { title: 'Middle after TDC', dimension: 'angle', period: 360 },
    },
    run: (received) => {
      const result = discIntakeEvents(received.openBtdcDeg, received.closeAtdcDeg);
      return { duration: result.durationDeg, open_abdc: result.openAbdcDeg, mid_atdc: result.midAtdcDeg };
    },
  }),
  quantity({
    id: 'disc_valve_geometry',
    title: 'Duration of a rotary disc from its drawing',
    subject: 'ports',
    formula: 'cut-out angle + port angle, disc at crank speed',
    ...derived,
    inputs: {
      cutoutAngleDeg: number('cutout_angle', 'Cut-out seen from the shaft', 'angle'),
      portAngleDeg: number('port_angle', 'Port seen from the shaft', 'angle'),
    },
    outputs: { duration: angle('Duration') },
    run: (received) => ({ duration: discDuration(received.cutoutAngleDeg, received.portAngleDeg) }),
  }),
  quantity({
    id: 'reed_timing',
    title: 'Timing of a reed',
    subject: 'ports',
    formula: 'none: record petal lift and stop height',
    ...derived,
    inputs: {},
    outputs: {},
    run: () => reedTiming(),
  }),
  quantity({
    id: 'blowdown',
    title: 'Blowdown',
    subject: 'ports',
    formula: 'earliest transfer open − exhaust open; time = angle/(6 N)',
    ...derived,
    inputs: {
      exhaustOpenAtdcDeg: number('exhaust_open_atdc', 'Exhaust opens after TDC', 'angle'),
      transferOpenAtdcDeg: number('transfer_open_atdc', 'Earliest transfer opens after TDC', 'angle'),
      speedRpm: optionalNumber('speed', 'Speed', 'rotation'),
    },
    outputs: {
      blowdown: angle('Blowdown'),
      blowdown_time: { title: 'Blowdown, time', dimension: 'time', isOptional: true },
    },
    run: (received) => {
      const result = blowdown(received.exhaustOpenAtdcDeg, received.transferOpenAtdcDeg, received.speedRpm);
      const timeMs = result.blowdownTimeMs;
      return { blowdown: result.blowdownDeg, blowdown_time: timeMs === undefined ? undefined : timeMs / 1000 };
    },
  }),
  quantity({
    id: 'blowdown_from_durations',
    title: 'Blowdown from the durations',
    subject: 'ports',
    formula: '(exhaust duration − transfer duration)/2, without offset',
    ...derived,
    inputs: {
      exhaustDurationDeg: number('exhaust_duration', 'Exhaust duration', 'angle'),
      transferDurationDeg: number('transfer_duration', 'Transfer duration', 'angle'),
    },
    outputs: { blowdown: angle('Blowdown') },
    run: (received) => ({
      blowdown: blowdownFromDurations(received.exhaustDurationDeg, received.transferDurationDeg),
    }),
  }),
  quantity({
    id: 'wheel_two_direction',
    title: 'Events from wheel readings taken both ways',
    subject: 'ports',
    formula: 'mean of the directions; duration = (close − open) mod 360; zero error = (open + close)/2 − 180',
    ...derived,
    inputs: {
      openForwardDeg: number('open_forward', 'Opening, turning forwards', 'angle'),
      openBackwardDeg: number('open_backward', 'Opening, turning backwards', 'angle'),
      closeForwardDeg: number('close_forward', 'Closing, turning forwards', 'angle'),
      closeBackwardDeg: number('close_backward', 'Closing, turning backwards', 'angle'),
    },
    outputs: {
      open_reading: wrapping('Opening, wheel reading'),
      close_reading: wrapping('Closing, wheel reading'),
      duration: angle('Duration'),
      open_direction_difference: angle('Opening, forward less backward'),
      close_direction_difference: angle('Closing, forward less backward'),
      zero_error: wrapping('Zero error of the wheel'),
      open_atdc: wrapping('Opens after TDC'),
    },
    run: (received) => {
      const result = eventsFromTwoDirections(received);
      return {
        open_reading: result.openReadingDeg,
        close_reading: result.closeReadingDeg,
        duration: result.durationDeg,
        open_direction_difference: result.openDirectionDifferenceDeg,
        close_direction_difference: result.closeDirectionDifferenceDeg,
        zero_error: result.zeroErrorDeg,
        open_atdc: result.openAtdcDeg,
      };
    },
  }),
];
