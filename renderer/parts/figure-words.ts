import type { Port } from '../../core/contract/parts.ts';
import { edgeTitle } from '../../core/mockup/run-order.ts';
import type { FigureItem, FigureKind, FigureUnit } from '../../core/planner/figure-list.ts';
import { routeWords } from '../../core/provenance.ts';
import type { Value } from '../../core/uncertainty/value.ts';
import { shownAngle } from '../drawings/timing-data.ts';
import type { Origin } from './origin-panel.tsx';
import type { ShownSizes } from './shown-size.ts';
import { writtenUnit } from './unit-words.ts';

/** What a figure of one port is called behind the port's label, and a figure of the whole by itself. */
export const figureTitles: Readonly<Record<FigureKind, string>> = {
  opens: 'opens',
  closes: 'closes',
  duration: 'duration',
  full_area: 'area of the windows',
  angle_area: 'angle-area',
  time_area: 'time-area',
  specific_time_area: 'specific time-area',
  blowdown: 'Blowdown',
  blowdown_time: 'Blowdown, time',
  blowdown_time_area: 'Blowdown, time-area',
  blowdown_specific_time_area: 'Blowdown, specific time-area',
  deck: 'Deck (crown below barrel top)',
  squish: 'Squish, smallest',
  squish_velocity: 'Squish velocity, largest',
  clearance_volume: 'Volume over the piston at TDC',
  full_stroke_ratio: 'Ratio, full-stroke',
  trapped_ratio: 'Ratio, trapped',
  crankcase_ratio: 'Ratio, crankcase',
  ignition_btdc: 'Ignition, piston before TDC',
};

/** "Exhaust opens", "Transfers open", "Exhaust, duration", "Squish, smallest". */
export function figureTitle(item: Pick<FigureItem, 'kind' | 'portId'>, ports: readonly Port[]): string {
  const title = figureTitles[item.kind];
  if (item.portId === null) return title;
  const port = ports.find(({ portId }) => portId === item.portId);
  if (item.kind !== 'opens' && item.kind !== 'closes') return `${port?.label ?? item.portId}, ${title}`;
  return port === undefined ? `${item.portId} ${title}` : edgeTitle(port, item.kind);
}

/** Places of figures; lengths and areas follow Preferences, time-areas stay metric as the trade has them. */
const unitDecimals: Readonly<Record<FigureUnit, number>> = {
  deg: 1,
  mm: 2,
  mm2: 0,
  'deg mm2': 0,
  's mm2': 3,
  's/m': 5,
  ms: 3,
  'm/s': 1,
  cm3: 2,
  '1': 2,
};

function isAngleOfEdge(kind: FigureKind): boolean {
  return kind === 'opens' || kind === 'closes';
}

/** A figure with its unit, or an angle with its dead centre. */
export function shownFigure(item: Pick<FigureItem, 'kind' | 'unit'>, value: number, sizes: ShownSizes): string {
  if (isAngleOfEdge(item.kind)) return marked(shownAngle(value), sizes);
  if (item.unit === 'mm') return sizes.length(value);
  if (item.unit === 'mm2') return sizes.area(value);
  return `${sizes.number(value, unitDecimals[item.unit])} ${writtenUnit(item.unit)}`.trim();
}

/** U = 2 u of a figure in the unit of the figure, with as many places as it takes to show it at all. */
export function shownExpanded(item: Pick<FigureItem, 'unit'>, sigma: number, sizes: ShownSizes): string {
  if (item.unit === 'mm') return shownLengthU(sigma, sizes);
  if (item.unit === 'mm2') return sizes.bareArea(2 * sigma);
  const decimals = unitDecimals[item.unit];
  return sizes.number(2 * sigma, placesFor(2 * sigma, item.unit === 'deg' ? decimals + 1 : decimals));
}

/** U = 2 u of a difference; empty where it is smaller than the last place shown. */
export function shownDifferenceU(item: Pick<FigureItem, 'unit'>, sigma: number, sizes: ShownSizes): string {
  const text = shownDifference(item, 2 * sigma, sizes).replace('+', '');
  return /[1-9]/.test(text) ? text : '';
}

/** U = 2 u of a length. */
export function shownLengthU(sigmaMm: number, sizes: ShownSizes): string {
  return sizes.bareLength(2 * sigmaMm, placesFor(2 * sigmaMm, 2));
}

/** Two places more at the most: what is smaller still may show as zeros. */
function placesFor(value: number, usual: number): number {
  return [usual, usual + 1].find((places) => value >= 0.95 * 10 ** -places) ?? usual + 2;
}

/** A difference with its sign. */
export function shownDifference(item: Pick<FigureItem, 'unit'>, value: number, sizes: ShownSizes): string {
  if (item.unit === 'mm') return sizes.signed(value * sizes.perMm, sizes.lengthUnit === 'in' ? 4 : 2);
  if (item.unit === 'mm2') return sizes.signed(value * sizes.perMm ** 2, sizes.lengthUnit === 'in' ? 3 : 0);
  const decimals = unitDecimals[item.unit];
  return sizes.signed(value, item.unit === 'deg' ? decimals + 1 : decimals);
}

function marked(text: string, sizes: ShownSizes): string {
  return sizes.number(0.5, 1).includes(',') ? text.replace('.', ',') : text;
}

interface OriginInput {
  readonly item: FigureItem;
  readonly title: string;
  readonly value: Value;
  readonly sizes: ShownSizes;
  /** What the figure rests on: heights and where they come from, parts. */
  readonly rests: Origin['readings'];
  readonly remarks: readonly string[];
}

/** Where a figure comes from, for the side panel. */
export function originOfFigure({ item, title, value, sizes, rests, remarks }: OriginInput): Origin {
  const routes = [
    ...new Set(value.contributions.filter(({ effect }) => effect !== 0).map(({ route }) => routeWords[route])),
  ];
  const expanded = shownExpanded(item, value.sigma, sizes);
  return {
    title,
    value: `${shownFigure(item, value.value, sizes)} ± ${expanded}`,
    how: item.how,
    source: item.source,
    uncertaintyRoute:
      value.sigma === 0
        ? 'Every size behind it counts as exact here.'
        : `U = k u with k = 2, ${routes.join('; ')}: each size is moved by its own uncertainty (JCGM 100:2008, 5.1.3).`,
    readings: rests,
    contributions: value.contributions
      .filter(({ effect }) => effect !== 0)
      .toSorted((a, b) => Math.abs(b.effect) - Math.abs(a.effect))
      .map(({ from, effect, route }) => ({
        what: from,
        standardUncertainty: shownExpanded(item, Math.abs(effect) / 2, sizes),
        why: routeWords[route],
      })),
    remarks,
  };
}
