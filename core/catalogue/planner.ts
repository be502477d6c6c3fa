import { changeForDuration, stackEffect } from '../planner/stack.ts';
import { crankInputs, derived, number, optionalNumber, quantity } from './describe.ts';

const angle = (title: string) => ({ title, dimension: 'angle' }) as const;
const length = (title: string) => ({ title, dimension: 'length' }) as const;
const squish = { squishMm: number('squish', 'Squish gap', 'length') };

/** What a change of gaskets and faces does, and which change a target takes. */
export const plannerQuantities = [
  quantity({
    id: 'stack_change',
    title: 'Effect of gaskets and cuts',
    subject: 'planner',
    formula: 'raise = base gasket − base cut; every depth − raise; squish + raise + head gasket − head cut − deck cut',
    ...derived,
    inputs: {
      ...crankInputs,
      exhaustDepthMm: number('exhaust_depth', 'Exhaust roof below the crown at TDC', 'length'),
      transferDepthMm: number('transfer_depth', 'Earliest transfer roof below the crown at TDC', 'length'),
      ...squish,
      baseGasketChangeMm: optionalNumber('base_gasket_change', 'Base gasket thicker by', 'length'),
      baseCutMm: optionalNumber('base_cut', "Cut off the barrel's foot", 'length'),
      headCutMm: optionalNumber('head_cut', 'Cut off the head', 'length'),
      deckCutMm: optionalNumber('deck_cut', 'Cut off the top of the barrel', 'length'),
      headGasketChangeMm: optionalNumber('head_gasket_change', 'Head gasket thicker by', 'length'),
      skirtIntakeDepthMm: optionalNumber('skirt_intake_depth', 'Intake floor below the skirt at TDC', 'length'),
    },
    outputs: {
      cylinder_raise: length('Barrel raised by'),
      squish: length('Squish gap after'),
      exhaust_duration: angle('Exhaust duration after'),
      transfer_duration: angle('Transfer duration after'),
      blowdown: angle('Blowdown after'),
      intake_duration: { ...angle('Intake duration after'), isOptional: true },
    },
    run: (received) => {
      const result = stackEffect({ ...received, geometry: received });
      return {
        cylinder_raise: result.cylinderRaiseMm,
        squish: result.squishMm,
        exhaust_duration: result.exhaustDurationDeg,
        transfer_duration: result.transferDurationDeg,
        blowdown: result.blowdownDeg,
        intake_duration: result.intakeDurationDeg,
      };
    },
  }),
  quantity({
    id: 'change_for_target_duration',
    title: 'Change for a wanted duration',
    subject: 'planner',
    formula: 'raise = x(D now) − x(D wanted)',
    ...derived,
    inputs: {
      ...crankInputs,
      currentDurationDeg: number('current_duration', 'Duration now', 'angle'),
      targetDurationDeg: number('target_duration', 'Duration wanted', 'angle'),
      ...squish,
    },
    outputs: {
      cylinder_raise: length('Raise the barrel by'),
      squish_after: length('Squish gap after'),
      head_or_deck_cut_to_restore_squish: length('Off head or deck to restore the squish'),
    },
    run: (received) => {
      const result = changeForDuration({ ...received, geometry: received });
      return {
        cylinder_raise: result.cylinderRaiseMm,
        squish_after: result.squishAfterMm,
        head_or_deck_cut_to_restore_squish: result.headOrDeckCutMm,
      };
    },
  }),
];
