/** Squish by solder: gaps, smallest, spread, tilt. */
import { squishAdvice, squishSpreadAdvice } from '../rules-of-thumb/trade-figures.ts';
import { squishPlane } from '../squish/readings.ts';
import { differenceOf, meanValue } from '../uncertainty/linear.ts';
import { propagate } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import { type Deg, type Mm, radFromDeg } from '../units.ts';
import {
  attempted,
  type CheckContext,
  type CheckRow,
  checkRow,
  directRows,
  largestOf,
  smallestOf,
  uncertainInput,
} from './check-rows.ts';
import { boreOf } from './check-sizes.ts';

export function squishRows(context: CheckContext): CheckRow[] {
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
  let direction: Deg | undefined;
  const value = attempted(context, 'squish', 'Tilt of the squish', () => {
    direction = plane(read.map((place) => place.value.value)).directionOfLargestGapDeg;
    const along = direction ?? 0;
    return propagate(
      // Along the direction found the tilt is linear in the readings; its size alone has no slope where there is none.
      (gaps) => {
        const { minimumOverBoreMm, maximumOverBoreMm, directionOfLargestGapDeg = along } = plane(gaps);
        return (maximumOverBoreMm - minimumOverBoreMm) * Math.cos(radFromDeg(directionOfLargestGapDeg - along));
      },
      read.map((place) => uncertainInput(`squish, ${place.title}`, place.value)),
    );
  });
  return {
    value,
    remark:
      direction === undefined
        ? ''
        : `The gap is largest towards ${direction.toFixed(0)} deg, clockwise from the exhaust seen from above.`,
  };
}
