/** Mock-ups side by side: every figure of each in rows of one kind, and which differences are real. */
import type { MockUpWhole } from '../contract/messages.ts';
import type { Port, PortKind } from '../contract/parts.ts';
import type { Edge } from '../contract/readings.ts';
import { InputError } from '../errors.ts';
import { type FigureItem, type FigureKind, figureItems } from '../planner/figure-list.ts';
import { mockUpFigures } from '../planner/mock-up-figures.ts';
import { uncertainOf } from '../planner/uncertain-figures.ts';
import { quotedEvent } from '../ports/events.ts';
import { type Comparison, compareValues } from '../uncertainty/conformity.ts';
import { differenceOf } from '../uncertainty/linear.ts';
import type { Value } from '../uncertainty/value.ts';
import { wrapSigned } from '../units.ts';
import { type CheckOptions, type CheckResults, checkResults } from './check-results.ts';
import { type Judged, judged } from './judge.ts';
import { type SizesOfMockUp, sizesOf } from './sizes.ts';
import type { StepId } from './step-shape.ts';
import { specificationsOf } from './timing-result.ts';

/** Groups of rows, in the order in which they stand. */
export const compareGroups = [
  'Port timing',
  'Areas and time-areas',
  'Squish',
  'Volumes and ratios',
  'Deck and heights',
  'Bore, piston and rings',
  'Ignition',
  'Other checks',
] as const;
export type CompareGroup = (typeof compareGroups)[number];

/** A mock-up with everything that is worked out from it. */
export interface ComparedMockUp {
  readonly whole: MockUpWhole;
  readonly checks: CheckResults;
  readonly sizes: SizesOfMockUp;
}

/** One figure of one mock-up. */
export interface ComparedCell {
  /** Null where it isn't measured, or can't be worked out from what is. */
  readonly value: Value | null;
  /** The value as limits of it are written: an edge from its own dead centre. */
  readonly limitValue: number | null;
  readonly judged: Judged;
}

export interface ComparedRow {
  readonly key: string;
  readonly group: CompareGroup;
  readonly title: string;
  readonly unit: string;
  readonly decimals: number;
  /** A crank angle after TDC, to be quoted before or after its dead centre. */
  readonly isCrankAngle: boolean;
  /** One place of a quantity that a row of its own sums up. */
  readonly isPlace: boolean;
  readonly how: string;
  readonly source: string;
  /** In the order of the mock-ups. */
  readonly cells: readonly ComparedCell[];
}

const groupOfStep: Readonly<Record<StepId, CompareGroup>> = {
  box_check: 'Other checks',
  flatness: 'Other checks',
  bore_and_piston: 'Bore, piston and rings',
  clearance: 'Bore, piston and rings',
  ring_end_gap: 'Bore, piston and rings',
  crank: 'Other checks',
  stroke_and_rod: 'Other checks',
  gaskets: 'Deck and heights',
  torque: 'Other checks',
  true_tdc: 'Port timing',
  port_events: 'Port timing',
  squish: 'Squish',
  head_volume: 'Volumes and ratios',
  deck_and_heights: 'Deck and heights',
  ignition: 'Ignition',
};

/** Figures that follow from sizes and stand in no other row. */
const areaTitles: Partial<Readonly<Record<FigureKind, { title: string; decimals: number }>>> = {
  full_area: { title: 'open area', decimals: 1 },
  angle_area: { title: 'angle-area', decimals: 0 },
  time_area: { title: 'time-area', decimals: 4 },
  specific_time_area: { title: 'specific time-area', decimals: 5 },
  blowdown_time: { title: 'Blowdown, time', decimals: 4 },
  blowdown_time_area: { title: 'Blowdown, time-area', decimals: 5 },
  blowdown_specific_time_area: { title: 'Blowdown, specific time-area', decimals: 6 },
  squish_velocity: { title: 'Squish velocity, largest', decimals: 1 },
};

interface OwnRow extends Omit<ComparedRow, 'cells'> {
  readonly cell: ComparedCell;
}

/**
 * Works out what Compare needs of one mock-up.
 * @param options the instruments whose calibration counts, and defaults of the budget
 * @throws InputError as `checkResults`
 */
export function comparedMockUp(whole: MockUpWhole, options: CheckOptions = {}): ComparedMockUp {
  const checks = checkResults(whole, options);
  return { whole, checks, sizes: sizesOf(whole, checks.timing, checks.sizes) };
}

/**
 * Every figure that at least one of the mock-ups has, in the order of the groups; the same port of different barrels is
 * the same row by its port id.
 */
export function comparedRows(mockUps: readonly ComparedMockUp[]): readonly ComparedRow[] {
  const perMockUp = mockUps.map((one) => new Map(ownRows(one).map((row) => [row.key, row])));
  const known = new Map<string, OwnRow>();
  for (const rows of perMockUp) for (const [key, row] of rows) if (!known.has(key)) known.set(key, row);
  const nothing: ComparedCell = { value: null, limitValue: null, judged: judged(null, null) };
  const all = [...known.values()].map(
    ({ cell: _, ...row }): ComparedRow => ({
      ...row,
      cells: perMockUp.map((rows) => rows.get(row.key)?.cell ?? nothing),
    }),
  );
  return compareGroups.flatMap((group) =>
    all.filter((row) => row.group === group && row.cells.some(({ value }) => value !== null)),
  );
}

/**
 * How far a cell lies from the reference; null where one of the two is missing.
 * What they have in common besides the instrument (the same piston, the same head) isn't taken off: the difference is at
 * least as certain as this says.
 */
export function differenceFrom(row: ComparedRow, referenceIndex: number, index: number): Comparison | null {
  const reference = row.cells[referenceIndex]?.value ?? null;
  const value = row.cells[index]?.value ?? null;
  if (reference === null || value === null) return null;
  const { value: by, sigma } = differenceOf(value, reference);
  // Crank angles on both sides of TDC lie near each other, not a turn apart.
  return compareValues({ valueA: 0, valueB: row.isCrankAngle ? wrapSigned(by) : by, uA: 0, uB: sigma });
}

/** True where no two of the mock-ups differ by more than the uncertainty of their difference. */
export function isAlike(row: ComparedRow): boolean {
  return row.cells.every((_, a) =>
    row.cells.every((__, b) => b <= a || differenceFrom(row, a, b)?.distinguishable !== true),
  );
}

/** Order of the columns by a row's value, smallest first or last; what is missing comes last either way. */
export function orderBy(row: ComparedRow, direction: 'rising' | 'falling'): readonly number[] {
  const sign = direction === 'rising' ? 1 : -1;
  const at = (index: number) => row.cells[index]?.value?.value ?? null;
  return row.cells
    .map((_, index) => index)
    .toSorted((a, b) => {
      const [one, other] = [at(a), at(b)];
      if (one === null || other === null) return Number(one === null) - Number(other === null);
      return sign * (one - other);
    });
}

function ownRows({ whole, checks, sizes }: ComparedMockUp): OwnRow[] {
  const timing: OwnRow[] = [
    ...checks.timing.events.map(
      (row): OwnRow => ({
        key: row.key,
        group: 'Port timing',
        title: row.title,
        unit: 'deg',
        decimals: 1,
        isCrankAngle: true,
        isPlace: false,
        how: 'Mean of both directions, from true TDC.',
        source: 'mean of the means of both directions; JCGM 100:2008 (GUM) for the uncertainty',
        cell: {
          value: row.crank,
          limitValue: row.crank === null ? null : quoted(row.kind, row.edge, row.crank.value),
          judged: row.judged,
        },
      }),
    ),
    ...checks.timing.figures.map(
      (row): OwnRow => ({
        key: row.key,
        group: 'Port timing',
        title: row.title,
        unit: row.unit,
        decimals: 1,
        isCrankAngle: false,
        isPlace: false,
        how: row.how,
        source: row.source,
        cell: { value: row.value, limitValue: row.value?.value ?? null, judged: row.judged },
      }),
    ),
  ];
  const read = checks.rows.map(
    (row): OwnRow => ({
      key: row.key,
      group: groupOfStep[row.stepId],
      title: row.title,
      unit: row.unit,
      decimals: row.decimals,
      isCrankAngle: false,
      isPlace: row.limitsKey !== row.key,
      how: row.how,
      source: row.source,
      cell: { value: row.value, limitValue: row.value?.value ?? null, judged: row.judged },
    }),
  );
  return [...timing, ...areaRows(whole, sizes), ...read];
}

function areaRows(whole: MockUpWhole, { sizes, uncertainties }: SizesOfMockUp): OwnRow[] {
  if (sizes === null) return [];
  const ports: readonly Port[] = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const specifications = specificationsOf(whole);
  const take = uncertainOf(sizes, uncertainties, mockUpFigures);
  return figureItems(sizes).flatMap((item) => {
    const words = areaTitles[item.kind];
    const value = words === undefined ? null : take(item.pick);
    if (words === undefined || value === null) return [];
    return [
      {
        key: item.key,
        group: item.kind === 'squish_velocity' ? ('Squish' as const) : ('Areas and time-areas' as const),
        title: titleOf(item, words.title, ports),
        unit: item.unit,
        decimals: words.decimals,
        isCrankAngle: false,
        isPlace: false,
        how: item.how,
        source: item.source,
        cell: {
          value,
          limitValue: value.value,
          judged: judged(specifications.get(item.key) ?? null, {
            value: value.value,
            sigma: value.sigma,
            repeats: null,
          }),
        },
      },
    ];
  });
}

/** An edge as its kind is quoted; null where it lies on the wrong side of its dead centre. */
function quoted(kind: PortKind, edge: Edge, crankDeg: number): number | null {
  try {
    return quotedEvent(kind, edge, crankDeg);
  } catch (error) {
    if (error instanceof InputError) return null;
    throw error;
  }
}

function titleOf(item: FigureItem, title: string, ports: readonly Port[]): string {
  const port = ports.find(({ portId }) => portId === item.portId);
  return port === undefined ? title : `${port.label}, ${title}`;
}
