import { bmepFromPower } from '../volumes/bmep.ts';
import { capFromHeight, capFromRadius, domeVolume, headVolume, plugHoleVolume } from '../volumes/burette.ts';
import {
  clearanceForRatio,
  clearanceVolume,
  compressionRatios,
  crankcaseRatio,
  ratioAfterGapChange,
  ratioWithUncertainty,
  sweptVolume,
  trappedRatioFromDuration,
} from '../volumes/ratio.ts';
import { simulatedRatio } from '../volumes/simulated.ts';
import { boreInput, crankInputs, derived, number, optionalNumber, quantity, speedInput } from './describe.ts';

const volume = (title: string) => ({ title, dimension: 'volume' }) as const;
const length = (title: string) => ({ title, dimension: 'length' }) as const;
const ratio = (title: string) => ({ title, dimension: 'ratio' }) as const;
const textbook = { nature: 'textbook', source: 'definition of the compression ratio' } as const;
const clearance = { clearanceVolumeCc: number('clearance_volume', 'Clearance volume', 'volume') };
const swept = { sweptVolumeCc: number('swept_volume', 'Swept volume', 'volume') };
const base = { baseDiameterMm: number('base_diameter', 'Diameter of the base', 'length') };
const plateHole = { plateHoleVolumeCc: optionalNumber('plate_hole_volume', "Plate's filling hole", 'volume') };

const ratioUncertaintyInputs = {
  ...boreInput,
  strokeMm: number('stroke', 'Stroke', 'length'),
  ...clearance,
  uBoreMm: number('u_bore', 'Standard uncertainty of the bore', 'length'),
  uStrokeMm: number('u_stroke', 'Standard uncertainty of the stroke', 'length'),
  uClearanceCc: number('u_clearance', 'Standard uncertainty of the clearance volume', 'volume'),
};

/** Burette volumes, compression ratios and their inverses. */
export const volumeQuantities = [
  quantity({
    id: 'swept_volume',
    title: 'Swept volume',
    subject: 'volumes',
    formula: 'π/4 B² H × cylinders',
    ...derived,
    inputs: {
      ...boreInput,
      strokeMm: number('stroke', 'Stroke', 'length'),
      rodLengthMm: optionalNumber('rod', 'Rod length, centre to centre', 'length'),
      offsetMm: optionalNumber('offset', 'Offset of the pin path', 'length'),
      cylinders: optionalNumber('cylinders', 'Cylinders', 'ratio'),
    },
    outputs: { swept_volume: volume('Swept volume') },
    run: (received) => ({ swept_volume: sweptVolume(received) }),
  }),
  quantity({
    id: 'cap_from_height',
    title: 'Spherical cap from its height',
    subject: 'volumes',
    formula: 'V = πh(3a² + h²)/6; R = (a² + h²)/2h',
    nature: 'textbook',
    source: 'geometry of the sphere',
    inputs: { ...base, heightMm: number('height', 'Height', 'length') },
    outputs: { volume: volume('Volume'), sphere_radius: { ...length('Radius of the sphere'), isOptional: true } },
    run: (received) => {
      const result = capFromHeight(received.baseDiameterMm, received.heightMm);
      return { volume: result.volumeCc, sphere_radius: result.sphereRadiusMm };
    },
  }),
  quantity({
    id: 'cap_from_radius',
    title: 'Spherical cap from its radius',
    subject: 'volumes',
    formula: 'h = R − √(R² − a²)',
    nature: 'textbook',
    source: 'geometry of the sphere',
    inputs: { ...base, sphereRadiusMm: number('sphere_radius', 'Radius of the sphere', 'length') },
    outputs: { height: length('Height'), volume: volume('Volume') },
    run: (received) => {
      const result = capFromRadius(received.baseDiameterMm, received.sphereRadiusMm);
      return { height: result.heightMm, volume: result.volumeCc };
    },
  }),
  quantity({
    id: 'head_volume_burette',
    title: 'Head volume by burette',
    subject: 'volumes',
    formula: 'end − start − plate hole − plug hole',
    ...derived,
    inputs: {
      buretteStartCc: number('burette_start', 'Burette before', 'volume'),
      buretteEndCc: number('burette_end', 'Burette after', 'volume'),
      ...plateHole,
      plugHoleVolumeCc: optionalNumber('plug_hole_volume', 'Volume that the plug fills', 'volume'),
    },
    outputs: { volume: volume('Head volume') },
    run: (received) => ({ volume: headVolume(received) }),
  }),
  quantity({
    id: 'plug_hole_volume',
    title: 'Volume of the plug thread',
    subject: 'volumes',
    formula: 'π/4 d² × length',
    ...derived,
    inputs: {
      pitchDiameterMm: number('pitch_diameter', 'Mean diameter of the thread', 'length'),
      lengthMm: number('length', 'Length', 'length'),
    },
    outputs: { volume: volume('Volume') },
    run: (received) => ({ volume: plugHoleVolume(received.pitchDiameterMm, received.lengthMm) }),
  }),
  quantity({
    id: 'dome_volume_burette',
    title: 'Dome volume by burette',
    subject: 'volumes',
    formula: 'π/4 B² depth − (poured − plate hole)',
    ...derived,
    inputs: {
      ...boreInput,
      depthMm: number('depth', 'Crown edge below the top of the barrel', 'length'),
      buretteVolumeCc: number('burette_volume', 'Poured in', 'volume'),
      ...plateHole,
    },
    outputs: { dome_volume: volume('Dome volume, negative for a dish') },
    run: (received) => ({ dome_volume: domeVolume(received) }),
  }),
  quantity({
    id: 'clearance_volume',
    title: 'Clearance volume of the stack',
    subject: 'volumes',
    formula: 'head + π/4 D_g² t_g + π/4 B² z − dome',
    ...derived,
    inputs: {
      headVolumeCc: number('head_volume', 'Head volume', 'volume'),
      ...boreInput,
      gasketBoreMm: optionalNumber('gasket_bore', "Head gasket's hole", 'length'),
      gasketThicknessMm: optionalNumber('gasket_thickness', 'Head gasket, crushed', 'length'),
      deckClearanceMm: optionalNumber('deck_clearance', 'Crown edge below the barrel top, negative if proud', 'length'),
      domeVolumeCc: optionalNumber('dome_volume', 'Dome volume, negative for a dish', 'volume'),
    },
    outputs: { clearance_volume: volume('Clearance volume') },
    run: (received) => ({ clearance_volume: clearanceVolume(received) }),
  }),
  quantity({
    id: 'compression_ratios',
    title: 'Full-stroke and trapped ratio',
    subject: 'volumes',
    formula: '(V_s + V_c)/V_c; (π/4 B² x_EC + V_c)/V_c',
    nature: 'textbook',
    source: 'trapped ratio by Blair, Design and Simulation of Two-Stroke Engines, SAE R-161 (1996), chapter 1',
    inputs: {
      ...crankInputs,
      ...boreInput,
      ...clearance,
      exhaustClosingDepthMm: number('exhaust_closing_depth', 'Exhaust roof below the crown at TDC', 'length'),
    },
    outputs: {
      full_stroke_ratio: ratio('Full-stroke ratio'),
      trapped_ratio: ratio('Trapped ratio'),
      trapped_swept_volume: volume('Trapped swept volume'),
    },
    run: (received) => {
      const result = compressionRatios({ ...received, geometry: received });
      return {
        full_stroke_ratio: result.fullStrokeRatio,
        trapped_ratio: result.trappedRatio,
        trapped_swept_volume: result.trappedSweptVolumeCc,
      };
    },
  }),
  quantity({
    id: 'trapped_ratio_from_duration',
    title: 'Trapped ratio from the exhaust duration',
    subject: 'volumes',
    formula: '(π/4 B² x_EC + V_c)/V_c with x_EC of the duration',
    nature: 'textbook',
    source: 'trapped ratio by Blair, Design and Simulation of Two-Stroke Engines, SAE R-161 (1996), chapter 1',
    inputs: {
      ...crankInputs,
      ...boreInput,
      ...clearance,
      exhaustDurationDeg: number('exhaust_duration', 'Exhaust duration', 'angle'),
    },
    outputs: {
      exhaust_closing_depth: length('Exhaust roof below the crown at TDC'),
      trapped_ratio: ratio('Trapped ratio'),
    },
    run: (received) => {
      const result = trappedRatioFromDuration({ ...received, geometry: received });
      return { exhaust_closing_depth: result.exhaustClosingDepthMm, trapped_ratio: result.trappedRatio };
    },
  }),
  quantity({
    id: 'crankcase_ratio',
    title: 'Crankcase ratio',
    subject: 'volumes',
    formula: 'V_case at TDC/V_case at BDC = (V_b + V_s)/V_b',
    ...textbook,
    inputs: {
      ...swept,
      caseVolumeBdcCc: optionalNumber('case_volume_bdc', 'Case volume at BDC', 'volume'),
      caseVolumeTdcCc: optionalNumber('case_volume_tdc', 'Case volume at TDC', 'volume'),
    },
    outputs: { crankcase_ratio: ratio('Crankcase ratio') },
    run: (received) => ({ crankcase_ratio: crankcaseRatio(received) }),
  }),
  quantity({
    id: 'clearance_for_ratio',
    title: 'Clearance volume for a ratio',
    subject: 'volumes',
    formula: 'V_s/(r − 1)',
    ...textbook,
    inputs: { ...swept, targetRatio: number('target_ratio', 'Ratio wanted', 'ratio') },
    outputs: { clearance_volume: volume('Clearance volume') },
    run: (received) => ({ clearance_volume: clearanceForRatio(received.sweptVolumeCc, received.targetRatio) }),
  }),
  quantity({
    id: 'ratio_after_gap_change',
    title: 'Ratio after a change of the gap',
    subject: 'volumes',
    formula: 'V_c + π/4 D² Δgap',
    ...derived,
    inputs: {
      ...boreInput,
      ...swept,
      ...clearance,
      gapChangeMm: number('gap_change', 'Change of the gap', 'length'),
      areaDiameterMm: optionalNumber('area_diameter', "Bore, or the head gasket's hole", 'length'),
    },
    outputs: { clearance_volume: volume('Clearance volume'), ratio: ratio('Ratio') },
    run: (received) => {
      const result = ratioAfterGapChange(received);
      return { clearance_volume: result.clearanceVolumeCc, ratio: result.ratio };
    },
  }),
  quantity({
    id: 'ratio_uncertainty',
    title: 'Full-stroke ratio with uncertainty',
    subject: 'volumes',
    formula: 'derivatives 2(r−1)/B, (r−1)/S, −(r−1)/V',
    ...derived,
    inputs: ratioUncertaintyInputs,
    outputs: {
      ratio: ratio('Full-stroke ratio'),
      standard_uncertainty: ratio('Standard uncertainty'),
      expanded: ratio('Expanded, k = 2'),
    },
    run: (received) => {
      const result = ratioWithUncertainty(received);
      return { ratio: result.ratio, standard_uncertainty: result.standardUncertainty, expanded: result.expanded };
    },
  }),
  quantity({
    id: 'mc_ratio',
    title: 'Full-stroke ratio by simulation',
    subject: 'volumes',
    formula: '1 + πB²S/(4V), normal errors',
    nature: 'standard',
    source: 'JCGM 101:2008, clause 7',
    inputs: ratioUncertaintyInputs,
    outputs: {
      mean: ratio('Mean'),
      standard_deviation: ratio('Standard deviation'),
      interval_low: ratio('2.5 % point'),
      interval_high: ratio('97.5 % point'),
    },
    run: (received, monteCarlo) => {
      const result = simulatedRatio(received, monteCarlo);
      return {
        mean: result.mean,
        standard_deviation: result.standardDeviation,
        interval_low: result.intervalLow,
        interval_high: result.intervalHigh,
      };
    },
  }),
  quantity({
    id: 'bmep_from_power',
    title: 'Brake mean effective pressure',
    subject: 'volumes',
    formula: '6·10⁵ P/(V N), one power stroke a turn',
    nature: 'textbook',
    source: 'definition of the mean effective pressure',
    inputs: { powerKw: number('power', 'Power', 'power'), ...swept, ...speedInput },
    outputs: { bmep: { title: 'Mean effective pressure', dimension: 'pressure' } },
    run: (received) => ({ bmep: bmepFromPower(received.powerKw, received.sweptVolumeCc, received.speedRpm) }),
  }),
];
