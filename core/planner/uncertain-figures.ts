import { propagate, type UncertainInput } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import type { Cc, Deg, Mm } from '../units.ts';
import { type MockUpFigures, type MockUpSizes, mockUpFigures } from './mock-up-figures.ts';

/** Standard uncertainties of a mock-up's sizes; what is absent counts as known exactly. */
export interface SizeUncertainties {
  readonly strokeMm?: Mm | undefined;
  readonly rodLengthMm?: Mm | undefined;
  readonly offsetMm?: Mm | undefined;
  readonly boreMm?: Mm | undefined;
  readonly squishMm?: Mm | undefined;
  readonly clearanceVolumeCc?: Cc | undefined;
  readonly bowlDiameterMm?: Mm | undefined;
  readonly squishTaperDeg?: Deg | undefined;
  readonly crankcaseVolumeBdcCc?: Cc | undefined;
  /** Of the deciding edge's depth, by port id. */
  readonly edgeDepthMm?: Readonly<Record<string, Mm>> | undefined;
}

interface Move extends UncertainInput {
  readonly apply: (sizes: MockUpSizes, by: number) => MockUpSizes;
}

const crankSizes = { strokeMm: 'stroke', rodLengthMm: 'rod length', offsetMm: 'offset' } as const;
const otherSizes = {
  boreMm: 'bore',
  squishMm: 'squish',
  clearanceVolumeCc: 'clearance volume',
  bowlDiameterMm: 'bowl diameter',
  squishTaperDeg: 'taper of the squish band',
  crankcaseVolumeBdcCc: 'crankcase volume',
} as const;

function move(name: string, sigma: number, apply: Move['apply']): Move {
  return { name, value: 0, sigma, degreesOfFreedom: null, route: 'propagated', apply };
}

function entriesOf<K extends string>(names: Readonly<Record<K, string>>): [K, string][] {
  return Object.entries(names) as [K, string][];
}

function movesOf(uncertainties: SizeUncertainties): Move[] {
  const ofCrank = entriesOf(crankSizes).map(([field, name]) =>
    move(name, uncertainties[field] ?? 0, (sizes, by) => ({
      ...sizes,
      geometry: { ...sizes.geometry, [field]: (sizes.geometry[field] ?? 0) + by },
    })),
  );
  const ofOthers = entriesOf(otherSizes).map(([field, name]) =>
    move(name, uncertainties[field] ?? 0, (sizes, by) => {
      const before = sizes[field];
      return before === undefined ? sizes : { ...sizes, [field]: before + by };
    }),
  );
  const ofPorts = Object.entries(uncertainties.edgeDepthMm ?? {}).map(([portId, sigma]) =>
    move(`height of ${portId}`, sigma, (sizes, by) => ({
      ...sizes,
      ports: sizes.ports.map((port) =>
        port.portId === portId && port.edgeDepthMm !== undefined
          ? { ...port, edgeDepthMm: port.edgeDepthMm + by }
          : port,
      ),
    })),
  );
  return [...ofCrank, ...ofOthers, ...ofPorts].filter(({ sigma }) => sigma !== 0);
}

/**
 * One figure of a mock-up with the uncertainty that its sizes carry into it: a duration, a time-area, a ratio.
 * @param pick takes the figure; null where this mock-up doesn't have it
 * @returns null where the figure doesn't exist
 * @throws negative for an uncertainty below 0, and as `mockUpFigures`
 * @source JCGM 100:2008, 5.1.3 note 2
 */
export function uncertainFigure(
  sizes: MockUpSizes,
  uncertainties: SizeUncertainties,
  pick: (figures: MockUpFigures) => number | null,
): Value | null {
  if (pick(mockUpFigures(sizes)) === null) return null;
  const moves = movesOf(uncertainties);
  return propagate((by) => {
    const moved = moves.reduce((now, { apply }, index) => apply(now, by[index] as number), sizes);
    // A figure that exists for the sizes as measured exists for sizes a little off.
    return pick(mockUpFigures(moved)) as number;
  }, moves);
}
