/** Contacts with the stop, sorted by the height at which it was set. */
import type { Turning } from '../contract/readings.ts';
import type { TdcFromStop } from '../crank/dead-centre.ts';
import { meanOfRepeats } from '../uncertainty/circular.ts';
import { differenceOf, meanValue } from '../uncertainty/linear.ts';
import { coverageFactor } from '../uncertainty/value.ts';
import { type Deg, wrapSigned, wrapTurn } from '../units.ts';
import type { PlacedRead, ReadsBothWays } from './frame-readings.ts';

/**
 * Contacts of one direction further apart than this were met at another height of the stop. Our own choice: many times
 * what a contact repeats to, and less than any height set anew on purpose moves it.
 */
export const anotherHeightDeg: Deg = 3;

/** One height of the stop, with the side that is still missing empty. */
export type StopHeight = ReadsBothWays;

interface Group {
  readonly turning: Turning;
  readonly reads: readonly PlacedRead[];
}

/**
 * Contacts by the height of the stop, in the order in which the heights were first met.
 *
 * The stop stands until both of its sides are met, so a group of contacts belongs to the latest group of the other
 * direction that has no partner yet.
 */
export function stopHeights(contacts: ReadsBothWays): readonly StopHeight[] {
  const groups = (['forwards', 'backwards'] as const)
    .flatMap((turning) => groupsOf(contacts[turning]).map((reads): Group => ({ turning, reads })))
    .toSorted((a, b) => (firstTime(a) < firstTime(b) ? -1 : 1));
  const heights: Group[][] = [];
  for (const group of groups) {
    const open = heights.findLast((height) => height.length === 1 && height[0]?.turning !== group.turning);
    if (open === undefined) heights.push([group]);
    else open.push(group);
  }
  return heights.map((height) => ({
    forwards: height.find(({ turning }) => turning === 'forwards')?.reads ?? [],
    backwards: height.find(({ turning }) => turning === 'backwards')?.reads ?? [],
  }));
}

/** Contacts of one direction, apart where the next one lies further off than a repeat may. */
function groupsOf(reads: readonly PlacedRead[]): readonly (readonly PlacedRead[])[] {
  const groups: PlacedRead[][] = [];
  for (const read of reads) {
    const group = groups.find((one) => isNear(one, read));
    if (group === undefined) groups.push([read]);
    else group.push(read);
  }
  return groups;
}

function isNear(group: readonly PlacedRead[], { angleDeg, modulusDeg }: PlacedRead): boolean {
  const modulus = Math.min(modulusDeg, ...group.map((read) => read.modulusDeg));
  const off = angleDeg - meanOfRepeats(group.map((read) => read.angleDeg));
  return Math.abs(wrapSigned(off, modulus)) <= anotherHeightDeg;
}

function firstTime({ reads }: Group): string {
  return reads.map(({ stamp }) => stamp.root.takenAt).toSorted((a, b) => (a < b ? -1 : 1))[0] ?? '';
}

/**
 * True TDC from every height of the stop: each has its own middle and its own correction for an offset, and counts alike.
 * @param found at least one
 * @param modulusDeg repeat of the wheel's scale; 360 where it tells every position apart
 */
export function tdcOfHeights(found: readonly [TdcFromStop, ...TdcFromStop[]], modulusDeg: Deg): TdcFromStop {
  const [first] = found;
  if (found.length === 1) return first;
  const near = found.map(({ tdcReadingDeg }) => nearTo(first, tdcReadingDeg, modulusDeg));
  const mean = meanValue(near);
  const correctionDeg = found.reduce((sum, tdc) => sum + tdc.correctionDeg, 0) / found.length;
  return {
    ...first,
    correctionDeg,
    tdcReadingDeg: { ...mean, value: wrapTurn(mean.value) },
    middleDeg: wrapTurn(mean.value - correctionDeg),
    stopDepthMm: null,
  };
}

/** A sentence where heights of the stop give another TDC than the first one by more than can be chance, else null. */
export function heightsQuestion(found: readonly TdcFromStop[], modulusDeg: Deg): string | null {
  const [first, ...others] = found;
  if (first === undefined) return null;
  for (const other of others) {
    const off = differenceOf(nearTo(first, other.tdcReadingDeg, modulusDeg), first.tdcReadingDeg);
    const expandedDeg = coverageFactor * off.sigma;
    if (Math.abs(off.value) > expandedDeg)
      return `True TDC: two heights of the stop put it ${Math.abs(off.value).toFixed(2)} deg apart, U ${expandedDeg.toFixed(2)}. Look whether wheel, pointer or stop is loose, and take both sides again.`;
  }
  return null;
}

function nearTo(first: TdcFromStop, value: TdcFromStop['tdcReadingDeg'], modulusDeg: Deg) {
  const from = first.tdcReadingDeg.value;
  return { ...value, value: from + wrapSigned(value.value - from, modulusDeg) };
}
