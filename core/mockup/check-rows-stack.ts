/** Results that are read on the assembled stack: squish, volumes and ratios, deck and heights, ignition, durations. */
import { ignitionDegFromMm, ignitionMmFromDeg, travelFromSlantedGauge } from '../ignition/advance.ts';
import { isExhaust } from '../ports/kinds.ts';
import { deckAdvice, squishAdvice, squishSpreadAdvice } from '../rules-of-thumb/trade-figures.ts';
import { squishPlane } from '../squish/readings.ts';
import { compareValues } from '../uncertainty/conformity.ts';
import { differenceOf, meanValue } from '../uncertainty/linear.ts';
import { propagate, type UncertainInput } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import { type Deg, type Mm, wrapSigned } from '../units.ts';
import { crankcaseRatio, sweptVolume, trappedRatioFromDuration } from '../volumes/ratio.ts';
import {
  attempted,
  type CheckContext,
  type CheckRow,
  checkRow,
  directRows,
  largestOf,
  smallestOf,
} from './check-rows.ts';
import { boreOf, measuredSizes } from './check-sizes.ts';
import { clearanceOf } from './clearance.ts';
import type { MissingSize } from './measured-sizes.ts';
import { durationKey, geometryOf } from './timing-result.ts';

/** Ignition found by the dial and by the wheel that differ by more than this are looked at again; trade practice. */
export const ignitionDisagreementDeg: Deg = 1;

const sliderCrank = 'slider-crank with offset; Heywood, Internal Combustion Engine Fundamentals (1988), 2.2';

export function stackRows(context: CheckContext): CheckRow[] {
  return [
    ...zeroedRows(context),
    ...squishRows(context),
    ...volumeRows(context),
    ...deckRows(context),
    ...ignitionRows(context),
  ];
}

const input = (name: string, value: Value): UncertainInput => ({ name, ...value, route: 'propagated' });

/** Durations taken by zeroing at the opening: no TDC is in them, so they check it. */
function zeroedRows(context: CheckContext): CheckRow[] {
  const { readings, timing, questions } = context;
  return readings.places('zeroed_duration').flatMap((place) => {
    const zeroed = place.value;
    if (zeroed === null) return [];
    const { id, title } = place.position;
    const byEvents = timing.figures.find(({ key }) => key === durationKey(id))?.value ?? null;
    const difference = byEvents === null ? null : differenceOf(zeroed, byEvents);
    if (difference !== null) {
      const { distinguishable, expanded } = compareValues({
        valueA: 0,
        valueB: difference.value,
        uA: 0,
        uB: difference.sigma,
      });
      if (distinguishable) {
        questions.push(
          `${title}: the duration by zeroing differs by ${difference.value.toFixed(1)} deg from closing less opening (U ${expanded.toFixed(1)}). Neither contains TDC, so an edge was judged differently or the wheel slipped between the two: read both edges again.`,
        );
      }
    }
    const common = { stepId: 'port_events' as const, unit: 'deg', from: [place] };
    return [
      checkRow(context, {
        ...common,
        key: `zeroed_duration:${id}`,
        limitsKey: durationKey(id),
        title: `${title}, duration by zeroing`,
        value: zeroed,
        how: 'The wheel reads zero at the opening and the duration at the closing, the crank turned through the dead centre between.',
      }),
      checkRow(context, {
        ...common,
        key: `zeroed_difference:${id}`,
        title: `${title}, zeroing less events`,
        value: difference,
        decimals: 2,
        how: 'Duration by zeroing less closing minus opening.',
      }),
    ];
  });
}

function squishRows(context: CheckContext): CheckRow[] {
  const { readings } = context;
  const places = readings.places('squish');
  const values = readings.values('squish');
  const at = (id: string) => readings.value('squish', id);
  const smallest = smallestOf(values);
  const largest = largestOf(values);
  const pair = (first: string, second: string): Value | null => {
    const [a, b] = [at(first), at(second)];
    return a === null || b === null ? null : differenceOf(a, b);
  };
  const common = { stepId: 'squish' as const, from: places };
  const byCooling = [squishAdvice('air'), squishAdvice('liquid')];
  const tilt = tiltOf(context);
  return [
    ...directRows(context, 'squish', 'squish'),
    checkRow(context, {
      ...common,
      key: 'squish_mean',
      title: 'Squish, mean',
      value: values.length === 0 ? null : meanValue(values),
      how: 'Mean of the places; belongs to the ratio.',
      advice: byCooling,
    }),
    checkRow(context, {
      ...common,
      key: 'squish_minimum',
      title: 'Squish, smallest',
      value: smallest,
      how: 'Smallest of the places; contact is judged by this one.',
      advice: byCooling,
    }),
    checkRow(context, {
      ...common,
      key: 'squish_spread',
      title: 'Squish, spread',
      value: values.length < 2 || largest === null || smallest === null ? null : differenceOf(largest, smallest),
      how: 'Largest less smallest place.',
      advice: [squishSpreadAdvice],
    }),
    checkRow(context, {
      ...common,
      key: 'squish_tilt_front_rear',
      title: 'Tilt, exhaust side less opposite',
      value: pair('0', '180'),
      how: 'Reading on the exhaust side less the opposite one. The piston rocks about its pin in this direction.',
      advice: [squishSpreadAdvice],
    }),
    checkRow(context, {
      ...common,
      key: 'squish_tilt_left_right',
      title: 'Tilt, right less left',
      value: pair('90', '270'),
      how: 'Seen from above, looking towards the exhaust: reading on the right less the one on the left.',
      advice: [squishSpreadAdvice],
    }),
    checkRow(context, {
      ...common,
      key: 'squish_tilt',
      title: 'Tilt of crown against head, across the bore',
      value: tilt.value,
      how: 'Plane through all places by least squares; its slope over the whole bore. Never negative, so it reads a little high where the tilt is smaller than its uncertainty.',
      remark: tilt.remark,
    }),
  ];
}

function tiltOf(context: CheckContext): { value: Value | null; remark: string } {
  const bore = boreOf(context);
  const read = context.readings
    .places('squish')
    .flatMap(({ position, value }) =>
      value === null || !/^\d+$/.test(position.id)
        ? []
        : [{ angleDeg: Number(position.id), title: position.title, value }],
    );
  if (bore === null || read.length < 3) return { value: null, remark: '' };
  const angles = read.map(({ angleDeg }) => angleDeg);
  // Solder reaches to the bore wall, where its thinnest end is.
  const plane = (gaps: readonly Mm[]) => squishPlane(gaps, angles, bore.value / 2, bore.value);
  const value = attempted(context, 'Tilt of the squish', () =>
    propagate(
      (gaps) => {
        const { minimumOverBoreMm, maximumOverBoreMm } = plane(gaps);
        return maximumOverBoreMm - minimumOverBoreMm;
      },
      read.map((place) => input(`squish, ${place.title}`, place.value)),
    ),
  );
  const direction = value === null ? undefined : plane(read.map((place) => place.value.value)).directionOfLargestGapDeg;
  return {
    value,
    remark:
      direction === undefined
        ? ''
        : `The gap is largest towards ${direction.toFixed(0)} deg, clockwise from the exhaust seen from above.`,
  };
}

function volumeRows(context: CheckContext): CheckRow[] {
  const { readings, whole, questions } = context;
  const measured = measuredSizes(context);
  const bore = boreOf(context);
  const missing: MissingSize[] = [];
  const clearance = bore === null ? null : clearanceOf(whole, measured, bore.value, missing);
  const assembled = measured.assembledVolumeCc;
  const built =
    bore === null || assembled === null
      ? null
      : clearanceOf(whole, { ...measured, assembledVolumeCc: null }, bore.value, []);
  if (assembled !== null && built !== null) {
    const compared = compareValues({
      valueA: built.value,
      valueB: assembled.value,
      uA: built.sigma,
      uB: assembled.sigma,
    });
    if (compared.distinguishable) {
      questions.push(
        `Volume over the piston: filled assembled it is ${compared.difference.toFixed(2)} cm3 more than head, gasket, deck and dome together (U ${compared.expanded.toFixed(2)}). Look for a leak past the ring, a bubble, or the plug well counted twice.`,
      );
    }
  }
  const stepId = 'head_volume' as const;
  const row = (key: string, title: string, value: Value | null, how: string, from: readonly string[], remark = '') =>
    checkRow(context, {
      stepId,
      key,
      title,
      unit: 'cm3',
      value,
      how,
      remark,
      from: from.flatMap((id) => readings.places(id)),
    });
  const holeRemark = (poured: string, hole: string, what: string): string =>
    readings.value(poured) !== null && readings.value(hole) === null ? `${what} is counted as nothing.` : '';
  return [
    row(
      'head_volume',
      'Head volume',
      measured.headVolumeCc,
      "Poured less the plate's hole.",
      ['head_poured', 'plate_hole_volume'],
      holeRemark('head_poured', 'plate_hole_volume', "The plate's hole"),
    ),
    row(
      'dome_volume',
      "Volume of the piston's dome",
      measured.domeVolumeCc,
      'Flat cylinder of bore and depth less what was poured; negative for a dish.',
      ['dome_depth', 'dome_poured'],
    ),
    row(
      'assembled_volume',
      'Volume over the piston, filled assembled',
      assembled,
      'Poured at true TDC less the plug hole.',
      ['assembled_poured', 'plug_hole_volume'],
      holeRemark('assembled_poured', 'plug_hole_volume', 'The plug hole'),
    ),
    row(
      'clearance_volume',
      'Volume over the piston at TDC',
      clearance,
      assembled === null
        ? 'Head volume, head gasket and deck as discs, less the dome.'
        : 'As filled assembled; the sum of head, gasket, deck and dome is the check of it.',
      [],
      clearance === null ? (missing[0]?.sentence ?? '') : '',
    ),
    row('crankcase_volume', 'Crankcase volume at BDC', measured.crankcaseVolumeBdcCc, 'As poured.', [
      'crankcase_poured',
    ]),
    ...ratioRows(context, bore, clearance, measured.crankcaseVolumeBdcCc),
  ];
}

function ratioRows(
  context: CheckContext,
  bore: Value | null,
  clearance: Value | null,
  crankcase: Value | null,
): CheckRow[] {
  const { whole, timing } = context;
  const geometry = geometryOf(whole);
  const swept = (boreMm: Mm) => sweptVolume({ boreMm, ...(geometry ?? { strokeMm: 0 }) });
  const full =
    geometry === null || bore === null || clearance === null
      ? null
      : attempted(context, 'Full-stroke ratio', () =>
          propagate(
            ([boreMm = 0, volume = 0]) => 1 + swept(boreMm) / volume,
            [input('bore', bore), input('volume over the piston', clearance)],
          ),
        );
  const exhausts = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports.filter(({ kind }) => isExhaust(kind)) : [];
  const duration = largestOf(
    exhausts.flatMap(({ portId }) => timing.figures.find(({ key }) => key === durationKey(portId))?.value ?? []),
  );
  const trapped =
    geometry === null || bore === null || clearance === null || duration === null
      ? null
      : attempted(context, 'Trapped ratio', () =>
          propagate(
            ([boreMm = 0, clearanceVolumeCc = 0, exhaustDurationDeg = 0]) =>
              trappedRatioFromDuration({ geometry, boreMm, clearanceVolumeCc, exhaustDurationDeg }).trappedRatio,
            [
              input('bore', bore),
              input('volume over the piston', clearance),
              input('duration of the exhaust that shuts last', duration),
            ],
          ),
        );
  const enteredCase = whole.engine.kind === 'engine' ? whole.engine.data.crankcaseVolumeBdcCc : null;
  const caseVolume: Value | null =
    crankcase ??
    (enteredCase === null ? null : { value: enteredCase, sigma: 0, degreesOfFreedom: null, contributions: [] });
  const primary =
    geometry === null || bore === null || caseVolume === null
      ? null
      : attempted(context, 'Crankcase ratio', () =>
          propagate(
            ([boreMm = 0, caseVolumeBdcCc = 0]) => crankcaseRatio({ sweptVolumeCc: swept(boreMm), caseVolumeBdcCc }),
            [input('bore', bore), input('crankcase volume at BDC', caseVolume)],
          ),
        );
  const common = { stepId: 'head_volume' as const, unit: '1' };
  return [
    checkRow(context, {
      ...common,
      key: 'full_stroke_ratio',
      title: 'Ratio, full stroke (geometric)',
      value: full,
      how: 'Swept plus volume over the piston, divided by the volume over the piston; swept by the travel.',
    }),
    checkRow(context, {
      ...common,
      key: 'trapped_ratio',
      title: 'Ratio, trapped (from exhaust closing)',
      value: trapped,
      how: 'As the full-stroke ratio, but counted from where the exhaust shuts.',
      source: 'Blair, Design and Simulation of Two-Stroke Engines, SAE R-161 (1996), chapter 1',
    }),
    checkRow(context, {
      ...common,
      key: 'crankcase_ratio',
      title: 'Ratio of the crankcase',
      value: primary,
      how: 'Crankcase volume at TDC divided by that at BDC.',
      remark: crankcase === null && enteredCase !== null ? "The crankcase volume is the engine's entry." : '',
    }),
  ];
}

function deckRows(context: CheckContext): CheckRow[] {
  const { readings } = context;
  const values = readings.values('deck');
  const [drive, ignition] = [readings.value('deck', 'drive_side'), readings.value('deck', 'ignition_side')];
  const common = { stepId: 'deck_and_heights' as const, from: readings.places('deck') };
  return [
    ...directRows(context, 'deck_and_heights', 'deck'),
    checkRow(context, {
      ...common,
      key: 'deck_mean',
      title: 'Deck, mean (minus: piston proud)',
      value: values.length === 0 ? null : meanValue(values),
      how: 'Mean of both ends of the pin, where the piston rocks least.',
      advice: [deckAdvice],
    }),
    checkRow(context, {
      ...common,
      key: 'deck_difference',
      title: 'Deck, drive side less ignition side',
      value: drive === null || ignition === null ? null : differenceOf(drive, ignition),
      how: 'A difference means rock, a bent rod or a face that is not square.',
    }),
    ...directRows(context, 'deck_and_heights', 'port_height'),
  ];
}

function ignitionRows(context: CheckContext): CheckRow[] {
  const { readings, whole, questions } = context;
  const geometry = geometryOf(whole);
  const dial = readings.value('ignition_mm');
  const wheel = readings.value('ignition_deg');
  const slant = readings.value('plug_hole_slant');
  const common = { stepId: 'ignition' as const, source: sliderCrank };
  const travel =
    dial === null || slant === null
      ? dial
      : attempted(context, 'Ignition', () =>
          propagate(
            ([reading = 0, angle = 0]) => travelFromSlantedGauge(reading, angle),
            [input('dial', dial), input('slant of the plug hole', slant)],
          ),
        );
  const byDial =
    geometry === null || travel === null
      ? null
      : attempted(context, 'Ignition', () =>
          propagate(([mm = 0]) => ignitionDegFromMm(geometry, mm), [input('piston before TDC', travel)]),
        );
  const byWheel =
    geometry === null || wheel === null
      ? null
      : attempted(context, 'Ignition', () =>
          propagate(([deg = 0]) => ignitionMmFromDeg(geometry, deg), [input('wheel before TDC', wheel)]),
        );
  if (wheel !== null && byDial !== null && Math.abs(wrapSigned(wheel.value - byDial.value)) > ignitionDisagreementDeg) {
    questions.push(
      `Ignition: the dial gives ${byDial.value.toFixed(1)} deg before TDC, the wheel ${wheel.value.toFixed(1)} deg. They should agree within ${ignitionDisagreementDeg} deg: check TDC, the slant of the plug hole and the rod length.`,
    );
  }
  const from = ['ignition_mm', 'plug_hole_slant', 'ignition_deg'].flatMap((id) => readings.places(id));
  return [
    checkRow(context, {
      ...common,
      key: 'ignition_mm',
      title: 'Ignition, piston before TDC',
      value: travel ?? byWheel,
      how: dial === null ? 'From the angle on the wheel, stroke and rod.' : 'Dial gauge, along the bore.',
      from,
    }),
    checkRow(context, {
      ...common,
      key: 'ignition_deg',
      title: 'Ignition, degrees before TDC',
      unit: 'deg',
      value: wheel ?? byDial,
      how: wheel === null ? 'From the dial gauge, stroke and rod.' : 'As read on the wheel.',
      from,
      remark:
        wheel !== null && byDial !== null ? `By the dial gauge it is ${byDial.value.toFixed(1)} deg before TDC.` : '',
    }),
  ];
}
