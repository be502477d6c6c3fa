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
  readonly deckMm?: Mm | undefined;
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
  deckMm: 'deck',
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
  return uncertainOf(sizes, uncertainties, mockUpFigures)(pick);
}

/**
 * Numbers worked out from sizes, each with the uncertainty that the sizes carry into it. The sizes are moved once for
 * all numbers, so that asking for many costs little more than asking for one.
 * @param work what the numbers are taken from; a refusal for sizes a little off leaves that side out
 * @returns takes one number; null where it doesn't exist
 * @throws negative for an uncertainty below 0; what `work` throws for the sizes as they are
 * @source JCGM 100:2008, 5.1.3 note 2
 */
export function uncertainOf<Worked>(
  sizes: MockUpSizes,
  uncertainties: SizeUncertainties,
  work: (sizes: MockUpSizes) => Worked,
): (pick: (worked: Worked) => number | null) => Value | null {
  const moves = movesOf(uncertainties);
  const known = new Map<string, Worked>();
  const at = (by: readonly number[]): Worked => {
    const key = by.join(' ');
    const before = known.get(key);
    if (before !== undefined) return before;
    const worked = work(moves.reduce((now, { apply }, index) => apply(now, by[index] as number), sizes));
    known.set(key, worked);
    return worked;
  };
  const asTheyAre = at(moves.map(() => 0));
  return (pick) => {
    if (pick(asTheyAre) === null) return null;
    // A number that exists for the sizes as measured exists for sizes a little off.
    return propagate((by) => pick(at(by)) as number, moves);
  };
}
