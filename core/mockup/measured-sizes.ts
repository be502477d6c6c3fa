/** Sizes of a mock-up as measured, and how what is missing among them is told. */
import type { Value } from '../uncertainty/value.ts';

/** Sizes read with instruments; null where not measured. A part's own entry counts where nothing was read. */
export interface MeasuredSizes {
  readonly boreMm: Value | null;
  readonly deckMm: Value | null;
  /** Smallest squish gap. */
  readonly squishMm: Value | null;
  readonly headVolumeCc: Value | null;
  readonly domeVolumeCc: Value | null;
  /** Over the piston at TDC, assembled and filled. */
  readonly assembledVolumeCc: Value | null;
  readonly headGasketMm: Value | null;
  readonly crankcaseVolumeBdcCc: Value | null;
  /** Deciding edges below the top of the barrel, by port id. */
  readonly portHeightsMm: Readonly<Record<string, Value>>;
}

/** Figures that are missing together. */
export type FigureGroup =
  | 'everything'
  | 'events'
  | 'time_areas'
  | 'blowdown'
  | 'squish'
  | 'squish_velocity'
  | 'ratios'
  | 'crankcase_ratio'
  | 'deck'
  | 'ignition';

/** Where the builder can give what is missing. */
export type MissingPlace = 'bench' | 'checks' | 'engine' | 'barrel' | 'piston' | 'head' | 'mock_up';

export interface MissingSize {
  readonly group: FigureGroup;
  /** Null where it concerns more than one port. */
  readonly portId: string | null;
  /** What is missing and what it is for, one sentence. */
  readonly sentence: string;
  readonly where: MissingPlace;
}

/** Nothing read with instruments. */
export const nothingMeasured: MeasuredSizes = {
  boreMm: null,
  deckMm: null,
  squishMm: null,
  headVolumeCc: null,
  domeVolumeCc: null,
  assembledVolumeCc: null,
  headGasketMm: null,
  crankcaseVolumeBdcCc: null,
  portHeightsMm: {},
};
