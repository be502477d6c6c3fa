/** Readings of hand instruments, gathered by quantity and place: mean, uncertainty, outliers, how they stand. */
import type { Port } from '../contract/parts.ts';
import { InputError } from '../errors.ts';
import { outliersAmong } from '../uncertainty/outliers.ts';
import { meanOf, squaredDeviations } from '../uncertainty/type-a.ts';
import { resolutionUncertainty, typeB } from '../uncertainty/type-b.ts';
import { type Contribution, type Value, valueFrom } from '../uncertainty/value.ts';
import { convertDifference, convertUnit, type Dimension } from '../units.ts';
import { isUsable, type Stamp } from './stamps.ts';
import type { Position, ReadingKind, StepQuantity } from './step-shape.ts';
import { positionsOf, stepQuantity } from './steps.ts';

/** An instrument as far as its error goes into what was read with it. */
export interface CheckInstrument {
  readonly id: string;
  readonly name: string;
  /** Smallest step, in mm, deg or cm3. */
  readonly resolution: number;
  /** Expanded uncertainty (k = 2) that its certificate states, in the same unit; null where there is none. */
  readonly calibrationExpanded: number | null;
  /** Last day for which it counts as checked, `2026-11-25`; `always` without an end, `never` where nobody checked it. */
  readonly checkedUntil: string;
}

/** What was read of one quantity at one place. */
export interface PlaceReadings {
  readonly quantity: StepQuantity;
  readonly position: Position;
  /** All of them, oldest first, struck and void ones included. */
  readonly stamps: readonly Stamp[];
  /** Those that count, in the quantity's unit. */
  readonly usable: readonly number[];
  /** Root ids of the repeats that stand apart from the others. */
  readonly outlierIds: ReadonlySet<string>;
  /** Null where nothing counts, and for words and pictures. */
  readonly value: Value | null;
  /** Scatter of one reading, pooled over the places of the quantity; null where no place was read twice. */
  readonly scatter: number | null;
  readonly isRead: boolean;
}

const dimensionOf: Readonly<Record<ReadingKind, Dimension | null>> = {
  length: 'length',
  angle: 'angle',
  volume: 'volume',
  plain: null,
  words: null,
  picture: null,
};

interface Usable {
  readonly stamp: Stamp;
  readonly value: number;
  readonly step: number | null;
  readonly instrumentId: string | null;
}

/** A value in the unit of its quantity; null where its unit can't be one of it. */
export function inUnitOf(quantity: StepQuantity, value: number, unit: string): number | null {
  if (unit === quantity.unit) return value;
  const dimension = dimensionOf[quantity.kind];
  if (dimension === null) return null;
  try {
    return convertUnit(value, unit, quantity.unit, dimension);
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

/** A reading in the unit of its quantity; null where its unit can't be one of it. */
function usableReading(stamp: Stamp, quantity: StepQuantity): Usable | null {
  const { subject } = stamp.current;
  if (subject.what !== 'quantity' || !isUsable(stamp)) return null;
  const { value, unit, resolution, instrumentId } = subject;
  if (quantity.kind === 'words' || quantity.kind === 'picture' || unit === quantity.unit)
    return { stamp, value, step: resolution, instrumentId };
  const dimension = dimensionOf[quantity.kind];
  const converted = inUnitOf(quantity, value, unit);
  if (converted === null || dimension === null) return null;
  const step = resolution === null ? null : convertDifference(resolution, unit, quantity.unit, dimension);
  return { stamp, value: converted, step, instrumentId };
}

/** Readings of every place of a quantity, the places of the list first, then others that something was read at. */
export function readingsOf(
  quantity: StepQuantity,
  stamps: readonly Stamp[],
  ports: readonly Port[],
  instruments: readonly CheckInstrument[],
): PlaceReadings[] {
  const own = stamps.filter(
    ({ current: { subject } }) => subject.what === 'quantity' && subject.quantity === quantity.id,
  );
  const listed = positionsOf(quantity, ports);
  const known = new Set(listed.map(({ id }) => id));
  const further = [...new Set(own.map(positionOf))].filter((id) => !known.has(id));
  const all = [...listed, ...further.map((id) => ({ id, title: id === '' ? 'place not said' : id }))];
  const read = all.map((position) => {
    const here = own.filter((stamp) => positionOf(stamp) === position.id);
    return { position, here, usable: here.flatMap((stamp) => usableReading(stamp, quantity) ?? []) };
  });
  const pooled = pooledScatter(read.map(({ usable }) => usable.map(({ value }) => value)));
  return read.map(({ position, here, usable }) => ({
    quantity,
    position,
    stamps: here,
    usable: usable.map(({ value }) => value),
    outlierIds: outlierIdsOf(usable),
    value: isNumber(quantity) && usable.length > 0 ? measuredValue(quantity, usable, pooled, instruments) : null,
    scatter: pooled?.sigma ?? null,
    isRead: usable.length > 0,
  }));
}

function isNumber(quantity: StepQuantity): boolean {
  return quantity.kind !== 'words' && quantity.kind !== 'picture';
}

function positionOf(stamp: Stamp): string {
  const { subject } = stamp.current;
  return subject.what === 'quantity' ? subject.position : '';
}

function outlierIdsOf(usable: readonly Usable[]): ReadonlySet<string> {
  const step = Math.max(0, ...usable.map((reading) => reading.step ?? 0));
  const marked = outliersAmong(
    usable.map(({ value }) => value),
    step,
  );
  return new Set(usable.filter((_, index) => marked[index] === true).map(({ stamp }) => stamp.root.id));
}

interface Pooled {
  readonly sigma: number;
  readonly degreesOfFreedom: number;
}

/** Scatter of one reading from the repeats of all places together: a place alone has too few. */
function pooledScatter(places: readonly (readonly number[])[]): Pooled | null {
  const repeated = places.filter((values) => values.length > 1);
  if (repeated.length === 0) return null;
  const degreesOfFreedom = repeated.reduce((sum, values) => sum + values.length - 1, 0);
  const squares = repeated.reduce((sum, values) => sum + squaredDeviations(values), 0);
  return { sigma: Math.sqrt(squares / degreesOfFreedom), degreesOfFreedom };
}

function measuredValue(
  quantity: StepQuantity,
  usable: readonly Usable[],
  pooled: Pooled | null,
  instruments: readonly CheckInstrument[],
): Value {
  const contributions: Contribution[] = [];
  if (pooled !== null) {
    contributions.push({
      from: `scatter of ${quantity.title.toLowerCase()}`,
      effect: pooled.sigma / Math.sqrt(usable.length),
      degreesOfFreedom: pooled.degreesOfFreedom,
      route: 'repeats',
    });
  }
  const step = Math.max(0, ...usable.map((reading) => reading.step ?? 0));
  if (step > 0) {
    // All repeats may fall on the same mark, so the step stays whole however many there are.
    const marks = quantity.isDifference ? Math.SQRT2 : 1;
    contributions.push({
      from: `step of the scale, ${step} ${quantity.unit}`,
      effect: marks * resolutionUncertainty(step),
      degreesOfFreedom: null,
      route: 'resolution',
    });
  }
  contributions.push(...instrumentTerms(usable, instruments));
  return valueFrom(meanOf(usable.map(({ value }) => value)), contributions);
}

/** The instruments' own errors, each in the part of the readings that was taken with it. */
function instrumentTerms(usable: readonly Usable[], instruments: readonly CheckInstrument[]): Contribution[] {
  return instruments.flatMap((instrument) => {
    const taken = usable.filter(({ instrumentId }) => instrumentId === instrument.id);
    const sum = taken.reduce((total, { stamp }) => total + calibrationSigma(instrument, stamp.root.takenAt), 0);
    if (sum === 0) return [];
    return [
      {
        from: `calibration of ${instrument.name}`,
        effect: sum / usable.length,
        degreesOfFreedom: null,
        route: 'instrument' as const,
      },
    ];
  });
}

/** An instrument that nobody has checked may be out by this many of its steps; chosen here, see Preferences. */
export const uncheckedErrorSteps = 1;

/**
 * Standard uncertainty of an instrument's own error at the time of a reading: half of what its certificate states;
 * where it wasn't checked for that day a step either way, all values alike; 0 where it was and no figure is given.
 * @param takenAt time of the reading, ISO 8601: what lapses later doesn't reach back
 * @source JCGM 100:2008, 4.3.3 and 4.3.7
 */
export function calibrationSigma(instrument: CheckInstrument, takenAt: string): number {
  const { checkedUntil, calibrationExpanded, resolution } = instrument;
  const stated = (calibrationExpanded ?? 0) / 2;
  const isChecked = checkedUntil === 'always' || (checkedUntil !== 'never' && takenAt.slice(0, 10) <= checkedUntil);
  return isChecked ? stated : Math.max(stated, typeB(uncheckedErrorSteps * resolution, 'rectangular'));
}

/** Looks up readings by quantity and place. */
export class CheckReadings {
  private readonly byQuantity = new Map<string, readonly PlaceReadings[]>();
  private readonly stamps: readonly Stamp[];
  private readonly ports: readonly Port[];
  private readonly instruments: readonly CheckInstrument[];

  constructor(stamps: readonly Stamp[], ports: readonly Port[], instruments: readonly CheckInstrument[]) {
    this.stamps = stamps;
    this.ports = ports;
    this.instruments = instruments;
  }

  /** All places of a quantity of the steps. */
  places(quantityId: string): readonly PlaceReadings[] {
    const known = this.byQuantity.get(quantityId);
    if (known !== undefined) return known;
    const quantity = stepQuantity(quantityId);
    if (quantity === null) throw new Error(`No step reads ${quantityId}.`);
    const found = readingsOf(quantity, this.stamps, this.ports, this.instruments);
    this.byQuantity.set(quantityId, found);
    return found;
  }

  /** Values of all places that were read. */
  values(quantityId: string): Value[] {
    return this.places(quantityId).flatMap(({ value }) => value ?? []);
  }

  /** @param positionId empty for a quantity that is read at one place */
  value(quantityId: string, positionId = ''): Value | null {
    return this.places(quantityId).find(({ position }) => position.id === positionId)?.value ?? null;
  }
}
