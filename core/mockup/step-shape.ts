/** What a step of the mock-up and a quantity read at it are made of. */
import type { ReadingGroup } from '../planner/void-table.ts';

export const stepIds = [
  'box_check',
  'flatness',
  'bore_and_piston',
  'clearance',
  'ring_end_gap',
  'crank',
  'stroke_and_rod',
  'gaskets',
  'torque',
  'true_tdc',
  'port_events',
  'squish',
  'head_volume',
  'deck_and_heights',
  'ignition',
] as const;
export type StepId = (typeof stepIds)[number];

/** How a reading is entered: a length, angle or volume with its unit, a plain number, words, or a photograph. */
export type ReadingKind = 'length' | 'angle' | 'volume' | 'plain' | 'words' | 'picture';

/** Kinds of hand instrument; the instrument list uses the same names. */
export type HandInstrument =
  | 'feeler_gauges'
  | 'micrometer'
  | 'bore_gauge'
  | 'caliper'
  | 'depth_gauge'
  | 'dial_gauge'
  | 'height_gauge'
  | 'burette'
  | 'degree_wheel'
  | 'other';

export interface Position {
  /** Stored with the reading. */
  readonly id: string;
  readonly title: string;
}

/** A quantity that is read with an instrument or noted, at one place or several. */
export interface StepQuantity {
  readonly id: string;
  readonly title: string;
  readonly kind: ReadingKind;
  /** Unit of the stored value; empty for words and pictures. */
  readonly unit: string;
  /** Where it is read; `each_port`: once for every port with edges. */
  readonly positions: readonly Position[] | 'each_port';
  /** `each`: the step wants every position, `any`: one position is enough, `none`: read where it helps. */
  readonly need: 'each' | 'any' | 'none';
  /** Readings at each place that bench habit asks for. */
  readonly repeats: number;
  /** Readings that become void together with these; null where nothing voids them. */
  readonly group: ReadingGroup | null;
  readonly instruments: readonly HandInstrument[];
  /** Step of the instrument to start from, in the unit; always shown and editable beside the field. */
  readonly usualStep: number | null;
  /** What can be at all, in the unit; a slip of the decimal point falls outside. */
  readonly lower: number;
  readonly upper: number;
  /** How the number comes about, where its title doesn't say it; empty otherwise. */
  readonly hint: string;
  /** True where the value is a difference of two readings of the scale, as with a burette. */
  readonly isDifference: boolean;
}

export interface Step {
  readonly id: StepId;
  readonly title: string;
  /** Where it is done: on a card of Checks, or at the wheel. */
  readonly place: 'checks' | 'bench';
  readonly quantities: readonly StepQuantity[];
  /** True where one of the wanted quantities is enough: two ways lead to the same figure. */
  readonly isOneEnough: boolean;
}

const onePlace: readonly Position[] = [{ id: '', title: '' }];

/** Both ends of the crank and of the pin. */
export const sides: readonly Position[] = [
  { id: 'drive_side', title: 'drive side' },
  { id: 'ignition_side', title: 'ignition side' },
];

type Optional = 'repeats' | 'need' | 'isDifference' | 'positions' | 'unit' | 'hint';
type Described = Omit<StepQuantity, Optional> & Partial<Pick<StepQuantity, Optional>>;

const unitOf: Readonly<Record<ReadingKind, string>> = {
  length: 'mm',
  angle: 'deg',
  volume: 'cm3',
  plain: '',
  words: '',
  picture: '',
};

/** A quantity with what most of them have in common filled in. */
export function quantity(described: Described): StepQuantity {
  return {
    repeats: 1,
    need: 'each',
    isDifference: false,
    hint: '',
    positions: onePlace,
    unit: unitOf[described.kind],
    ...described,
  };
}

/** A step that is done on its card of Checks and wants all that it lists, unless told otherwise. */
export function step(
  id: StepId,
  title: string,
  quantities: readonly StepQuantity[],
  more: Partial<Pick<Step, 'place' | 'isOneEnough'>> = {},
): Step {
  return { id, title, place: 'checks', isOneEnough: false, quantities, ...more };
}

/** Read with feeler blades. */
export const feeler = { kind: 'length', instruments: ['feeler_gauges'], usualStep: 0.05 } as const;

/** Read with a micrometer. */
export const micrometer = { kind: 'length', instruments: ['micrometer'], usualStep: 0.01 } as const;
