import { boreForm, pistonClearance } from '../fits/bore.ts';
import { hotRingGap, ringGapAfterBoreChange, ringGapTaper } from '../fits/rings.ts';
import { ignitionDegFromMm, ignitionMmFromDeg } from '../ignition/advance.ts';
import { boreInput, crankInputs, derived, number, numberList, quantity, sliderCrank } from './describe.ts';

const length = (title: string) => ({ title, dimension: 'length' }) as const;
const gap = { gapMm: number('gap', 'Ring end gap', 'length') };
const boreX = { boreXMm: numberList('bore_x', 'Bore along the pin', 'length') };
const boreY = { boreYMm: numberList('bore_y', 'Bore across the pin', 'length') };

/** Ignition, rings, bore and piston. */
export const fitQuantities = [
  quantity({
    id: 'ignition_deg_to_mm',
    title: 'Ignition, degrees to millimetres',
    subject: 'ignition',
    formula: 'x(−φ)',
    ...sliderCrank,
    inputs: { ...crankInputs, advanceDeg: number('advance', 'Advance before TDC', 'angle') },
    outputs: { position_btdc: length('Piston before TDC') },
    run: (received) => ({ position_btdc: ignitionMmFromDeg(received, received.advanceDeg) }),
  }),
  quantity({
    id: 'ignition_mm_to_deg',
    title: 'Ignition, millimetres to degrees',
    subject: 'ignition',
    formula: 'φ_up(x)',
    ...sliderCrank,
    inputs: { ...crankInputs, positionBtdcMm: number('position_btdc', 'Piston before TDC', 'length') },
    outputs: { advance: { title: 'Advance before TDC', dimension: 'angle' } },
    run: (received) => ({ advance: ignitionDegFromMm(received, received.positionBtdcMm) }),
  }),
  quantity({
    id: 'ring_gap_bore_change',
    title: 'Ring gap after a change of the bore',
    subject: 'fits',
    formula: 'gap + π ΔD',
    ...derived,
    inputs: { ...gap, boreChangeMm: number('bore_change', 'Change of the bore', 'length') },
    outputs: { new_gap: length('Ring end gap') },
    run: (received) => ({ new_gap: ringGapAfterBoreChange(received.gapMm, received.boreChangeMm) }),
  }),
  quantity({
    id: 'ring_gap_taper',
    title: 'Bore taper from ring gaps',
    subject: 'fits',
    formula: '(largest − smallest gap)/π',
    ...derived,
    inputs: { gapsMm: numberList('gaps', 'Ring end gaps at several depths', 'length') },
    outputs: {
      bore_taper: length('Taper of the bore'),
      minimum_gap: length('Smallest gap'),
      maximum_gap: length('Largest gap'),
    },
    run: (received) => {
      const result = ringGapTaper(received.gapsMm);
      return { bore_taper: result.boreTaperMm, minimum_gap: result.minimumGapMm, maximum_gap: result.maximumGapMm };
    },
  }),
  quantity({
    id: 'ring_gap_thermal',
    title: 'Ring gap, hot',
    subject: 'fits',
    formula: 'gap − πB(α_r ΔT_r − α_b ΔT_b); the temperatures are guesses',
    ...derived,
    inputs: {
      ...gap,
      ...boreInput,
      ringExpansionUmPerMK: number('ring_expansion', 'Expansion of the ring', 'expansion'),
      ringRiseK: number('ring_rise', 'Temperature rise of the ring', 'temperature_difference'),
      boreExpansionUmPerMK: number('bore_expansion', 'Expansion of the bore', 'expansion'),
      boreRiseK: number('bore_rise', 'Temperature rise of the bore', 'temperature_difference'),
    },
    outputs: { hot_gap: length('Gap, hot'), closes: { title: 'The ring butts', dimension: null } },
    run: (received) => {
      const result = hotRingGap(received);
      return { hot_gap: result.hotGapMm, closes: result.closes };
    },
  }),
  quantity({
    id: 'piston_clearance',
    title: 'Piston clearance',
    subject: 'fits',
    formula: 'bore − piston, on the diameter',
    ...derived,
    inputs: { ...boreX, ...boreY, pistonMm: number('piston', "Piston at the maker's height", 'length') },
    outputs: {
      minimum_clearance: length('By the smallest bore'),
      maximum_clearance: length('By the largest bore'),
      mean_clearance: length('By the mean bore'),
    },
    run: (received) => {
      const result = pistonClearance(received.boreXMm, received.boreYMm, received.pistonMm);
      return {
        minimum_clearance: result.minimumClearanceMm,
        maximum_clearance: result.maximumClearanceMm,
        mean_clearance: result.meanClearanceMm,
      };
    },
  }),
  quantity({
    id: 'bore_form',
    title: 'Taper and out-of-round of the bore',
    subject: 'fits',
    formula: 'taper = max − min by axis; out-of-round = largest |D_x − D_y| at one height',
    ...derived,
    inputs: { ...boreX, ...boreY },
    outputs: {
      taper_x: length('Taper along the pin'),
      taper_y: length('Taper across the pin'),
      max_out_of_round: length('Out-of-round, on the diameter'),
      smallest: length('Smallest'),
      largest: length('Largest'),
    },
    run: (received) => {
      const result = boreForm(received.boreXMm, received.boreYMm);
      return {
        taper_x: result.taperXMm,
        taper_y: result.taperYMm,
        max_out_of_round: result.maxOutOfRoundMm,
        smallest: result.smallestMm,
        largest: result.largestMm,
      };
    },
  }),
];
