import type { InputOf } from '../../core/contract/messages.ts';
import { ignitionMmFromDeg } from '../../core/ignition/advance.ts';
import { stepQuantity } from '../../core/mockup/steps.ts';
import { type DemoBarrel, type DemoMeasured, demoAdvanceDeg, demoRodLengthMm, demoStrokeMm } from './scenario.ts';

type Subject = InputOf<'reading.add'>['reading']['subject'];
type QuantityReading = Extract<Subject, { what: 'quantity' }>;

/** Squish over the deck: head gasket as crushed, and the step of the head's band. */
const headGasketMm = 0.48;
const bandStepMm = 0.35;
const pistonMm = 53.54;

/** Repeats scatter by these parts of the instrument's step, as a careful hand does. */
const scatterSteps = [0, 1, -1] as const;

/**
 * Everything that the workshop read with hand instruments at one barrel, in the order of the steps. Squish, deck and
 * heights belong together: the gap is deck, gasket and band step, with the tilt across it.
 */
export function handReadings(barrel: DemoBarrel, measured: DemoMeasured): readonly QuantityReading[] {
  const { boreMm } = barrel;
  const half = measured.boreTaperMm / 2;
  const squishMm = measured.deckMm + headGasketMm + bandStepMm;
  const firingMm = ignitionMmFromDeg({ strokeMm: demoStrokeMm, rodLengthMm: demoRodLengthMm }, demoAdvanceDeg);
  return [
    words('marks', barrel.marks),
    ...read('room_temperature', '', 18, 1),
    ...read('flatness_barrel', 'top', 0.02, 1),
    ...read('flatness_barrel', 'foot', 0.03, 1),
    ...read('flatness_case', '', 0.03, 1),
    ...read('flatness_head', '', 0.02, 1),
    ...read('bore_along_pin', 'top', boreMm - half, 2),
    ...read('bore_along_pin', 'middle', boreMm, 2),
    ...read('bore_along_pin', 'bottom', boreMm + half, 2),
    ...read('bore_across_pin', 'top', boreMm - half + 0.01, 2),
    ...read('bore_across_pin', 'middle', boreMm + 0.01, 2),
    ...read('bore_across_pin', 'bottom', boreMm + half + 0.01, 2),
    ...read('piston_diameter', '', pistonMm, 3),
    ...read('ring_end_gap', 'upper', measured.ringEndGapMm, 1),
    ...read('ring_end_gap', 'lower', measured.ringEndGapMm + 0.05, 1),
    ...read('crank_run_out', 'drive_side', 0.03, 1),
    ...read('crank_run_out', 'ignition_side', 0.04, 1),
    ...read('rod_side_clearance', '', 0.4, 1),
    ...read('stroke', '', demoStrokeMm, 3),
    ...read('base_gasket_crushed', '1', 0.45, 1),
    ...read('base_gasket_crushed', '2', 0.46, 1),
    ...read('head_gasket_crushed', '1', headGasketMm, 1),
    ...read('torque_barrel', '', 22, 1),
    ...read('torque_head', '', 20, 1),
    ...read('squish', '0', squishMm + measured.squishTiltMm / 2, 2),
    ...read('squish', '90', squishMm, 2),
    ...read('squish', '180', squishMm - measured.squishTiltMm / 2, 2),
    ...read('squish', '270', squishMm, 2),
    ...read('head_poured', '', measured.pouredCc, 3),
    ...read('deck', 'drive_side', measured.deckMm, 3),
    ...read('deck', 'ignition_side', measured.deckMm, 3),
    ...read('ignition_mm', '', firingMm, 3),
  ];
}

function words(quantity: string, text: string): QuantityReading {
  return { what: 'quantity', quantity, position: '', value: 1, unit: '', typedText: text };
}

/** The same place read so often, to the nearest step of the usual instrument. */
function read(quantity: string, position: string, value: number, times: number): QuantityReading[] {
  const described = stepQuantity(quantity);
  const step = described?.usualStep ?? null;
  if (described === null || step === null) throw new Error(`no step reads ${quantity} with an instrument`);
  return scatterSteps.slice(0, times).map((scatter) => {
    const shown = Number((Math.round(value / step + scatter) * step).toFixed(2));
    return {
      what: 'quantity',
      quantity,
      position,
      value: shown,
      unit: described.unit,
      typedText: String(shown),
      resolution: step,
    };
  });
}
