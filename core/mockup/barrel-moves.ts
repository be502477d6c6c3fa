/** Which barrel belongs on which cylinder, so that the cylinders match best. */
import { refuse } from '../checks.ts';

/** A figure read with one barrel on one cylinder: a squish, a deck, an opening. */
export interface PlacedFigure {
  readonly cylinder: number;
  readonly barrelId: string;
  readonly value: number;
}

export interface BarrelPlacing {
  /** Barrel by cylinder, in the order of `cylinders`. */
  readonly barrelIds: readonly string[];
  /** Figure expected on each cylinder, in the same order. */
  readonly values: readonly number[];
  /** Largest less smallest of them. */
  readonly spread: number;
  /** How many of the places were read and not worked out. */
  readonly readCount: number;
}

export interface BarrelMoves {
  readonly cylinders: readonly number[];
  /** The barrels that were read last on each cylinder; null where one barrel was last on two. */
  readonly asItStands: BarrelPlacing | null;
  readonly best: BarrelPlacing;
}

/** More orders than these can't be gone through at once: 8 factorial is 40,320. */
export const mostBarrels = 8;

/**
 * Finds the placing with the smallest spread.
 *
 * A figure is taken as the sum of a part of the cylinder (crankcase face, rod) and a part of the barrel (foot to roof or
 * deck): true for heights, and for squish as long as the crown doesn't change. A place that was read counts as read.
 * @param figures in the order in which they were read; a place may be there more than once
 * @returns null where cylinder and barrel can't be told apart, because no barrel was read on a second cylinder
 * @throws out_of_range for more than eight barrels
 * @source least squares of a two-way table without interaction
 */
export function bestPlacing(figures: readonly PlacedFigure[]): BarrelMoves | null {
  const cylinders = [...new Set(figures.map(({ cylinder }) => cylinder))].toSorted((a, b) => a - b);
  const barrelIds = [...new Set(figures.map(({ barrelId }) => barrelId))];
  if (cylinders.length < 2 || barrelIds.length < cylinders.length) return null;
  if (barrelIds.length > mostBarrels) {
    refuse('out_of_range', 'barrels', barrelIds.length, `at most ${mostBarrels}`, 'leave some of them out.');
  }
  if (!areTogether(figures)) return null;
  const expected = twoWay(figures, cylinders, barrelIds);
  const read = meansOf(figures);
  const at = (cylinder: number, barrelId: string) =>
    read.get(placeKey(cylinder, barrelId)) ?? expected(cylinder, barrelId);
  const placing = (order: readonly string[]): BarrelPlacing => {
    const values = cylinders.map((cylinder, index) => at(cylinder, order[index] as string));
    return {
      barrelIds: order,
      values,
      spread: Math.max(...values) - Math.min(...values),
      readCount: cylinders.filter((cylinder, index) => read.has(placeKey(cylinder, order[index] as string))).length,
    };
  };
  let best: BarrelPlacing | null = null;
  for (const order of ordersOf(barrelIds, cylinders.length)) {
    const one = placing(order);
    const isBetter = best === null || one.spread < best.spread - 1e-9;
    const isAsGoodAndRead = best !== null && one.spread < best.spread + 1e-9 && one.readCount > best.readCount;
    if (isBetter || isAsGoodAndRead) best = one;
  }
  const first = cylinders.map((cylinder) => figures.findLast((one) => one.cylinder === cylinder)?.barrelId ?? '');
  const asItStands = new Set(first).size === cylinders.length ? placing(first) : null;
  return best === null ? null : { cylinders, asItStands, best };
}

const placeKey = (cylinder: number, barrelId: string): string => `${cylinder} ${barrelId}`;

function meansOf(figures: readonly PlacedFigure[]): ReadonlyMap<string, number> {
  const sums = new Map<string, { sum: number; count: number }>();
  for (const { cylinder, barrelId, value } of figures) {
    const key = placeKey(cylinder, barrelId);
    const before = sums.get(key) ?? { sum: 0, count: 0 };
    sums.set(key, { sum: before.sum + value, count: before.count + 1 });
  }
  return new Map([...sums].map(([key, { sum, count }]) => [key, sum / count]));
}

/** Are all cylinders and barrels linked by readings? Only then do their parts have one common zero. */
function areTogether(figures: readonly PlacedFigure[]): boolean {
  const linked = new Set<string>();
  let reached = 0;
  const [first] = figures;
  if (first !== undefined) linked.add(`c${first.cylinder}`);
  while (linked.size > reached) {
    reached = linked.size;
    for (const { cylinder, barrelId } of figures) {
      if (linked.has(`c${cylinder}`)) linked.add(`b${barrelId}`);
      if (linked.has(`b${barrelId}`)) linked.add(`c${cylinder}`);
    }
  }
  return figures.every(({ cylinder, barrelId }) => linked.has(`c${cylinder}`) && linked.has(`b${barrelId}`));
}

/** Parts of cylinders and barrels by alternating means, which settle on the least squares of the linked table. */
function twoWay(
  figures: readonly PlacedFigure[],
  cylinders: readonly number[],
  barrelIds: readonly string[],
): (cylinder: number, barrelId: string) => number {
  const ofCylinder = new Map(cylinders.map((cylinder) => [cylinder, 0]));
  const ofBarrel = new Map(barrelIds.map((barrelId) => [barrelId, 0]));
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  for (let round = 0; round < 10_000; round++) {
    let moved = 0;
    for (const barrelId of barrelIds) {
      const own = figures.filter((one) => one.barrelId === barrelId);
      const part = mean(own.map((one) => one.value - (ofCylinder.get(one.cylinder) ?? 0)));
      moved = Math.max(moved, Math.abs(part - (ofBarrel.get(barrelId) ?? 0)));
      ofBarrel.set(barrelId, part);
    }
    for (const cylinder of cylinders) {
      const own = figures.filter((one) => one.cylinder === cylinder);
      ofCylinder.set(cylinder, mean(own.map((one) => one.value - (ofBarrel.get(one.barrelId) ?? 0))));
    }
    if (moved < 1e-12) break;
  }
  return (cylinder, barrelId) => (ofCylinder.get(cylinder) ?? 0) + (ofBarrel.get(barrelId) ?? 0);
}

/** Every way to put barrels on so many cylinders. */
function* ordersOf(barrelIds: readonly string[], count: number): Generator<readonly string[]> {
  if (count === 0) {
    yield [];
    return;
  }
  for (const barrelId of barrelIds) {
    const others = barrelIds.filter((one) => one !== barrelId);
    for (const rest of ordersOf(others, count - 1)) yield [barrelId, ...rest];
  }
}
