/** Results that are read on the assembled stack: durations by zeroing, squish, volumes, deck and heights, ignition. */
import { ignitionDegFromMm, ignitionMmFromDeg, travelFromSlantedGauge } from '../ignition/advance.ts';
import { deckAdvice } from '../rules-of-thumb/trade-figures.ts';
import { compareValues } from '../uncertainty/conformity.ts';
import { differenceOf, meanValue } from '../uncertainty/linear.ts';
import { propagate } from '../uncertainty/propagate.ts';
import { type Deg, wrapSigned } from '../units.ts';
import { attempted, type CheckContext, type CheckRow, checkRow, directRows, uncertainInput } from './check-rows.ts';
import { squishRows } from './check-rows-squish.ts';
import { volumeRows } from './check-rows-volumes.ts';
import { durationKey } from './timing-figures.ts';
import { geometryOf } from './timing-result.ts';

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

/** Durations taken by zeroing at the opening: no TDC is in them, so they check it. */
function zeroedRows(context: CheckContext): CheckRow[] {
  const { readings, timing, ask } = context;
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
        ask(
          'port_events',
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
  const { readings, whole, ask } = context;
  const geometry = geometryOf(whole);
  const dial = readings.value('ignition_mm');
  const wheel = readings.value('ignition_deg');
  const slant = readings.value('plug_hole_slant');
  const common = { stepId: 'ignition' as const, source: sliderCrank };
  const travel =
    dial === null || slant === null
      ? dial
      : attempted(context, 'ignition', 'Ignition', () =>
          propagate(
            ([reading = 0, angle = 0]) => travelFromSlantedGauge(reading, angle),
            [uncertainInput('dial', dial), uncertainInput('slant of the plug hole', slant)],
          ),
        );
  const byDial =
    geometry === null || travel === null
      ? null
      : attempted(context, 'ignition', 'Ignition', () =>
          propagate(([mm = 0]) => ignitionDegFromMm(geometry, mm), [uncertainInput('piston before TDC', travel)]),
        );
  const byWheel =
    geometry === null || wheel === null
      ? null
      : attempted(context, 'ignition', 'Ignition', () =>
          propagate(([deg = 0]) => ignitionMmFromDeg(geometry, deg), [uncertainInput('wheel before TDC', wheel)]),
        );
  if (wheel !== null && byDial !== null && Math.abs(wrapSigned(wheel.value - byDial.value)) > ignitionDisagreementDeg) {
    ask(
      'ignition',
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
