import {
  depthFromDuration,
  depthWithUncertainty,
  eventsFromDepth,
  skirtEventsFromDepth,
} from '../ports/edge-height.ts';
import { simulatedDuration, simulatedEdgeDepth } from '../ports/simulated.ts';
import { arcToChord, bridgedPortWidths, chordToArc } from '../ports/widths.ts';
import { boreInput, crankInputs, derived, number, quantity, sliderCrank } from './describe.ts';

const angle = (title: string) => ({ title, dimension: 'angle' }) as const;
const length = (title: string) => ({ title, dimension: 'length' }) as const;
const simulation = { nature: 'standard', source: 'JCGM 101:2008, clause 7' } as const;

const openAtdc = { openAtdcDeg: number('open_atdc', 'Opens after TDC', 'angle') };

/** Heights and widths of ports, and what a simulation makes of their angles. */
export const portSizeQuantities = [
  quantity({
    id: 'port_depth_from_duration',
    title: 'Port height from its duration',
    subject: 'ports',
    formula: 'h = 180° − D/2; ρ = R cos h + √(L² − R² sin² h); x = Y_T − √(ρ² − e²)',
    ...sliderCrank,
    inputs: { ...crankInputs, durationDeg: number('duration', 'Duration', 'angle') },
    outputs: {
      edge_depth: length('Edge below the crown at TDC'),
      edge_height_above_bdc: length('Edge above the crown at BDC'),
    },
    run: (received) => {
      const result = depthFromDuration(received, received.durationDeg);
      return { edge_depth: result.edgeDepthMm, edge_height_above_bdc: result.edgeHeightAboveBdcMm };
    },
  }),
  quantity({
    id: 'port_duration_from_depth',
    title: 'Events from the height of a port',
    subject: 'ports',
    formula: 'φ_down(x), φ_up(x); duration = 360° − 2h',
    ...sliderCrank,
    inputs: { ...crankInputs, edgeDepthMm: number('edge_depth', 'Edge below the crown at TDC', 'length') },
    outputs: {
      open_atdc: angle('Opens after TDC'),
      close_btdc: angle('Closes before TDC'),
      duration: angle('Duration'),
    },
    run: (received) => {
      const result = eventsFromDepth(received, received.edgeDepthMm);
      return { open_atdc: result.openAtdcDeg, close_btdc: result.closeBtdcDeg, duration: result.durationDeg };
    },
  }),
  quantity({
    id: 'skirt_intake_from_depth',
    title: 'Events of a skirt-controlled intake from its height',
    subject: 'ports',
    formula: 'x = floor depth − skirt length; opens φ_up(x) BTDC, closes φ_down(x) ATDC',
    ...sliderCrank,
    inputs: {
      ...crankInputs,
      portFloorDepthMm: number('port_floor_depth', 'Floor below the crown at TDC', 'length'),
      skirtLengthMm: number('skirt_length', 'Crown edge to skirt edge, intake side', 'length'),
    },
    outputs: {
      open_btdc: angle('Opens before TDC'),
      close_atdc: angle('Closes after TDC'),
      duration: angle('Duration'),
    },
    run: (received) => {
      const result = skirtEventsFromDepth(received, received.portFloorDepthMm, received.skirtLengthMm);
      return { open_btdc: result.openBtdcDeg, close_atdc: result.closeAtdcDeg, duration: result.durationDeg };
    },
  }),
  quantity({
    id: 'depth_uncertainty_from_angle',
    title: 'Port height from its opening, with uncertainty',
    subject: 'ports',
    formula: "u_x = |x'(φ)| u_φ",
    ...sliderCrank,
    inputs: {
      ...crankInputs,
      ...openAtdc,
      angleUncertaintyDeg: number('angle_uncertainty', 'Standard uncertainty of the angle', 'angle'),
    },
    outputs: {
      edge_depth: length('Edge below the crown at TDC'),
      sensitivity: { title: 'Height per degree', dimension: 'length_per_angle' },
      standard_uncertainty: length('Standard uncertainty'),
    },
    run: (received) => {
      const result = depthWithUncertainty(received, received.openAtdcDeg, received.angleUncertaintyDeg);
      return {
        edge_depth: result.edgeDepthMm,
        sensitivity: result.sensitivityMmPerDeg,
        standard_uncertainty: result.standardUncertaintyMm,
      };
    },
  }),
  quantity({
    id: 'chord_to_arc',
    title: 'Developed width from a chord',
    subject: 'ports',
    formula: 'a = B asin(w/B)',
    ...derived,
    inputs: { ...boreInput, chordMm: number('chord', 'Projected chord', 'length') },
    outputs: { arc: length('Developed width'), subtended_angle: angle('Angle seen from the bore axis') },
    run: (received) => {
      const result = chordToArc(received.boreMm, received.chordMm);
      return { arc: result.arcMm, subtended_angle: result.subtendedAngleDeg };
    },
  }),
  quantity({
    id: 'arc_to_chord',
    title: 'Chord from a developed width',
    subject: 'ports',
    formula: 'w = B sin(a/B)',
    ...derived,
    inputs: { ...boreInput, arcMm: number('arc', 'Developed width', 'length') },
    outputs: { chord: length('Projected chord'), subtended_angle: angle('Angle seen from the bore axis') },
    run: (received) => {
      const result = arcToChord(received.boreMm, received.arcMm);
      return { chord: result.chordMm, subtended_angle: result.subtendedAngleDeg };
    },
  }),
  quantity({
    id: 'bridged_port_widths',
    title: 'Open widths of a bridged port',
    subject: 'ports',
    formula: 'chord = w − k; arc = B asin(w/B) − B asin(k/B)',
    ...derived,
    inputs: {
      ...boreInput,
      overallChordMm: number('overall_chord', 'Chord over both windows', 'length'),
      bridgeChordMm: number('bridge_chord', 'Chord of the bridge', 'length'),
    },
    outputs: {
      open_chord_total: length('Open chord, both windows'),
      open_arc_total: length('Open developed width, both windows'),
      one_window_arc: length('Developed width of one window'),
    },
    run: (received) => {
      const result = bridgedPortWidths(received.boreMm, received.overallChordMm, received.bridgeChordMm);
      return {
        open_chord_total: result.openChordTotalMm,
        open_arc_total: result.openArcTotalMm,
        one_window_arc: result.oneWindowArcMm,
      };
    },
  }),
  quantity({
    id: 'mc_duration',
    title: 'Duration by simulation',
    subject: 'ports',
    formula: 'close − open, rectangular errors',
    ...simulation,
    inputs: {
      openReadingDeg: number('open_reading', 'Opening, wheel reading', 'angle'),
      closeReadingDeg: number('close_reading', 'Closing, wheel reading', 'angle'),
      halfWidthOpenDeg: number('half_width_open', 'Half-width of the opening error', 'angle'),
      halfWidthCloseDeg: number('half_width_close', 'Half-width of the closing error', 'angle'),
    },
    outputs: {
      duration: angle('Duration'),
      standard_deviation: angle('Standard deviation'),
      interval_low: angle('2.5 % point'),
      interval_high: angle('97.5 % point'),
    },
    run: (received, monteCarlo) => {
      const result = simulatedDuration(received, monteCarlo);
      return {
        duration: result.mean,
        standard_deviation: result.standardDeviation,
        interval_low: result.intervalLow,
        interval_high: result.intervalHigh,
      };
    },
  }),
  quantity({
    id: 'mc_edge_depth',
    title: 'Port height by simulation',
    subject: 'ports',
    formula: 'x(open ATDC), rectangular error',
    ...simulation,
    inputs: { ...crankInputs, ...openAtdc, halfWidthDeg: number('half_width', 'Half-width of the error', 'angle') },
    outputs: { interval_low: length('2.5 % point'), interval_high: length('97.5 % point') },
    run: (received, monteCarlo) => {
      const result = simulatedEdgeDepth(received, received.openAtdcDeg, received.halfWidthDeg, monteCarlo);
      return { interval_low: result.intervalLow, interval_high: result.intervalHigh };
    },
  }),
];
