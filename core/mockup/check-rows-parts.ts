/** Results that are read on loose parts: faces, bore, piston, rings, crank, stroke, gaskets. */
import {
  boreOutOfRoundAdvice,
  boreTaperAdvice,
  crankRunOutAdvice,
  flatnessAdvice,
  pistonClearanceAdvice,
  ringGapAdvice,
  rodSideClearanceAdvice,
} from '../rules-of-thumb/trade-figures.ts';
import { compareValues } from '../uncertainty/conformity.ts';
import { differenceOf, meanValue, weightedSum } from '../uncertainty/linear.ts';
import type { Value } from '../uncertainty/value.ts';
import { asEntered } from './as-entered.ts';
import { type CheckContext, type CheckRow, checkRow, directRows, largestOf, smallestOf } from './check-rows.ts';
import { boreOf } from './check-sizes.ts';

export function partRows(context: CheckContext): CheckRow[] {
  return [
    ...directRows(context, 'box_check', 'room_temperature'),
    ...['flatness_barrel', 'flatness_case', 'flatness_head'].flatMap((id) =>
      directRows(context, 'flatness', id, { advice: [flatnessAdvice] }),
    ),
    ...boreRows(context),
    ...clearanceRows(context),
    ...ringRows(context),
    ...directRows(context, 'crank', 'crank_run_out', { advice: [crankRunOutAdvice] }),
    ...directRows(context, 'crank', 'rod_side_clearance', { advice: [rodSideClearanceAdvice] }),
    ...strokeRows(context),
    ...gasketRows(context, 'base'),
    ...gasketRows(context, 'head'),
    ...directRows(context, 'torque', 'torque_barrel'),
    ...directRows(context, 'torque', 'torque_head'),
  ];
}

function boreRows(context: CheckContext): CheckRow[] {
  const { readings } = context;
  const along = readings.places('bore_along_pin');
  const across = readings.places('bore_across_pin');
  const common = { stepId: 'bore_and_piston' as const, from: [...along, ...across] };
  const taper = (values: readonly Value[]): Value | null => {
    const largest = largestOf(values);
    const smallest = smallestOf(values);
    return values.length < 2 || largest === null || smallest === null ? null : differenceOf(largest, smallest);
  };
  // Pairs at one height only: a difference between heights would be taper.
  const ovals = along.flatMap((place) => {
    const other = across.find(({ position }) => position.id === place.position.id)?.value ?? null;
    return place.value === null || other === null ? [] : [withoutSign(differenceOf(place.value, other))];
  });
  const all = [...readings.values('bore_along_pin'), ...readings.values('bore_across_pin')];
  const taperHow = 'Largest less smallest mean on this axis.';
  return [
    checkRow(context, {
      ...common,
      key: 'bore',
      title: 'Bore, mean',
      value: all.length === 0 ? null : meanValue(all),
      how: 'Mean of all places on both axes.',
    }),
    checkRow(context, {
      ...common,
      key: 'bore_taper_along_pin',
      title: 'Taper of the bore, along the pin',
      value: taper(readings.values('bore_along_pin')),
      how: taperHow,
      from: along,
      advice: [boreTaperAdvice],
    }),
    checkRow(context, {
      ...common,
      key: 'bore_taper_across_pin',
      title: 'Taper of the bore, across the pin',
      value: taper(readings.values('bore_across_pin')),
      how: taperHow,
      from: across,
      advice: [boreTaperAdvice],
    }),
    checkRow(context, {
      ...common,
      key: 'bore_out_of_round',
      title: 'Out-of-round of the bore',
      value: largestOf(ovals),
      how: 'Largest difference of the diameters on the two axes at one height. Two axes miss a three-lobed bore.',
      advice: [boreOutOfRoundAdvice],
    }),
    ...directRows(context, 'bore_and_piston', 'piston_diameter'),
  ];
}

/** An absolute value; its uncertainty is that of the difference. */
function withoutSign(value: Value): Value {
  return value.value < 0 ? weightedSum([{ weight: -1, value }]) : value;
}

function clearanceRows(context: CheckContext): CheckRow[] {
  const { readings, whole } = context;
  const measured = readings.value('piston_diameter');
  const entered = whole.piston?.kind === 'piston' ? whole.piston.data.diameterMm : null;
  const piston = measured ?? asEntered('piston', entered);
  const bores = [...readings.values('bore_along_pin'), ...readings.values('bore_across_pin')];
  const from = ['bore_along_pin', 'bore_across_pin', 'piston_diameter'].flatMap((id) => readings.places(id));
  const remark = measured === null && entered !== null ? "The piston is its part's entry, not measured here." : '';
  const by = (bore: Value | null): Value | null =>
    bore === null || piston === null ? null : differenceOf(bore, piston);
  const row = (key: string, title: string, value: Value | null, how: string) =>
    checkRow(context, {
      stepId: 'clearance',
      key,
      title,
      value,
      how,
      from,
      remark,
      advice: [pistonClearanceAdvice],
    });
  const smallest = by(smallestOf(bores));
  if (smallest !== null && smallest.value <= 0) {
    context.ask(
      'clearance',
      'Piston clearance: the piston is not smaller than the smallest bore. Measure both at one temperature.',
    );
  }
  return [
    row(
      'piston_clearance',
      'Piston clearance, by the largest bore',
      by(largestOf(bores)),
      'Largest bore less piston, on the diameter. Makers differ in which bore they mean: ask before judging.',
    ),
    row(
      'piston_clearance_smallest',
      'Piston clearance, by the smallest bore',
      smallest,
      'Smallest bore less piston, on the diameter.',
    ),
    ...directRows(context, 'clearance', 'clearance_by_feeler', { remark: 'One spot of the skirt only.' }),
  ];
}

function ringRows(context: CheckContext): CheckRow[] {
  const { readings } = context;
  const bore = boreOf(context)?.value ?? null;
  const advice = bore === null ? [] : [ringGapAdvice(bore)];
  const upper = readings.value('ring_end_gap', 'upper');
  const lower = readings.value('ring_end_gap', 'lower');
  return [
    ...directRows(context, 'ring_end_gap', 'ring_end_gap', { advice }),
    checkRow(context, {
      stepId: 'ring_end_gap',
      key: 'bore_taper_by_ring',
      title: 'Taper of the bore, by the ring',
      value:
        upper === null || lower === null
          ? null
          : weightedSum([
              { weight: 1 / Math.PI, value: upper },
              { weight: -1 / Math.PI, value: lower },
            ]),
      how: 'Gap above less gap below, divided by pi: the gap follows the circumference. Positive where the bore is wider above.',
      from: readings.places('ring_end_gap'),
    }),
    ...directRows(context, 'ring_end_gap', 'second_ring_end_gap', { advice }),
    ...directRows(context, 'ring_end_gap', 'ring_side_clearance'),
  ];
}

function strokeRows(context: CheckContext): CheckRow[] {
  const { readings, whole, ask } = context;
  if (whole.engine.kind === 'engine') {
    const { strokeMm, rodLengthMm } = whole.engine.data;
    const entries = [
      ['Stroke', readings.value('stroke'), strokeMm],
      ['Rod length', readings.value('rod_length'), rodLengthMm],
    ] as const;
    for (const [title, measured, entered] of entries) {
      if (measured === null) continue;
      const { distinguishable } = compareValues({
        valueA: entered,
        valueB: measured.value,
        uA: 0,
        uB: measured.sigma,
      });
      if (distinguishable) {
        ask(
          'stroke_and_rod',
          `${title}: measured ${measured.value.toFixed(2)} mm, the engine's entry says ${entered} mm. Every height and angle is worked out from the entry: correct whichever is wrong.`,
        );
      }
    }
  }
  return [...directRows(context, 'stroke_and_rod', 'stroke'), ...directRows(context, 'stroke_and_rod', 'rod_length')];
}

function gasketRows(context: CheckContext, place: 'base' | 'head'): CheckRow[] {
  const { readings, whole } = context;
  const title = place === 'base' ? 'Base gasket' : 'Head gasket';
  const mean = (id: string): Value | null => {
    const values = readings.values(id);
    return values.length === 0 ? null : meanValue(values);
  };
  const fresh = mean(`${place}_gasket_new`);
  const crushed = mean(`${place}_gasket_crushed`);
  const fitted = place === 'base' ? whole.mockUp.baseGasketMm : whole.mockUp.headGasketMm;
  const common = { stepId: 'gaskets' as const };
  const of = (state: 'new' | 'crushed') => readings.places(`${place}_gasket_${state}`);
  const differs =
    crushed !== null &&
    fitted !== null &&
    compareValues({ valueA: fitted, valueB: crushed.value, uA: 0, uB: crushed.sigma }).distinguishable;
  return [
    checkRow(context, {
      ...common,
      key: `${place}_gasket_new`,
      title: `${title}, new`,
      value: fresh,
      how: 'Mean of the places.',
      from: of('new'),
    }),
    checkRow(context, {
      ...common,
      key: `${place}_gasket_crushed`,
      title: `${title}, crushed`,
      value: crushed,
      how: 'Mean of the places; this is the size that counts for the stack.',
      from: of('crushed'),
      remark: differs ? `"As assembled" says ${fitted} mm.` : '',
    }),
    checkRow(context, {
      ...common,
      key: `${place}_gasket_crush`,
      title: `${title}, crush`,
      value: fresh === null || crushed === null ? null : differenceOf(fresh, crushed),
      how: 'New less crushed.',
      from: [...of('new'), ...of('crushed')],
    }),
  ];
}
