/** The whole mock-up as ordered steps: what is read at each, where, and with what. How to do it: step-guidance.ts. */
import type { Port } from '../contract/parts.ts';
import type { ReadingGroup } from '../planner/void-table.ts';
import { portKindTable } from '../ports/kinds.ts';

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

const one: readonly Position[] = [{ id: '', title: '' }];
const heights: readonly Position[] = [
  { id: 'top', title: 'top' },
  { id: 'middle', title: 'middle' },
  { id: 'bottom', title: 'bottom' },
];
const sides: readonly Position[] = [
  { id: 'drive_side', title: 'drive side' },
  { id: 'ignition_side', title: 'ignition side' },
];
/** Squish positions by their angle: 0 = exhaust side, clockwise seen from above. */
const quarters: readonly Position[] = [
  { id: '0', title: 'exhaust side' },
  { id: '90', title: 'right, looking towards the exhaust' },
  { id: '180', title: 'opposite the exhaust' },
  { id: '270', title: 'left, looking towards the exhaust' },
];
const places: readonly Position[] = ['1', '2', '3', '4'].map((id) => ({ id, title: `place ${id}` }));

type Optional = 'repeats' | 'need' | 'isDifference' | 'positions' | 'unit';
type Described = Omit<StepQuantity, Optional> & Partial<Pick<StepQuantity, Optional>>;

const unitOf: Readonly<Record<ReadingKind, string>> = {
  length: 'mm',
  angle: 'deg',
  volume: 'cm3',
  plain: '',
  words: '',
  picture: '',
};

function quantity(described: Described): StepQuantity {
  return {
    repeats: 1,
    need: 'each',
    isDifference: false,
    positions: one,
    unit: unitOf[described.kind],
    ...described,
  };
}

const noted = { instruments: [], usualStep: null, lower: 1, upper: 1 } as const;
const feeler = { kind: 'length', instruments: ['feeler_gauges'], usualStep: 0.05 } as const;
const micrometer = { kind: 'length', instruments: ['micrometer'], usualStep: 0.01 } as const;
const burette = {
  kind: 'volume',
  instruments: ['burette'],
  usualStep: 0.1,
  isDifference: true,
  repeats: 3,
} as const;
const torque = { kind: 'plain', unit: 'N·m', instruments: ['other'], usualStep: 1, lower: 0.5, upper: 300 } as const;

const bore = {
  kind: 'length',
  instruments: ['bore_gauge', 'micrometer'],
  usualStep: 0.01,
  lower: 10,
  upper: 200,
  positions: heights,
  repeats: 2,
  group: 'bore',
} as const;

const flatness = { ...feeler, usualStep: 0.01, lower: 0, upper: 2 } as const;

function step(
  id: StepId,
  title: string,
  quantities: readonly StepQuantity[],
  more: Partial<Pick<Step, 'place' | 'isOneEnough'>> = {},
): Step {
  return { id, title, place: 'checks', isOneEnough: false, quantities, ...more };
}

/** Every step in the order of the job; a photograph and whatever `need` calls `none` may stay away. */
export const steps: readonly Step[] = [
  step('box_check', 'Box check', [
    quantity({ id: 'marks', title: 'Marks, grade letters, oversize', kind: 'words', group: 'marks', ...noted }),
    quantity({ id: 'photograph', title: 'Photograph', kind: 'picture', group: 'marks', need: 'none', ...noted }),
    quantity({
      id: 'room_temperature',
      title: 'Room temperature',
      kind: 'plain',
      unit: '°C',
      group: null,
      instruments: ['other'],
      usualStep: 1,
      lower: -40,
      upper: 60,
    }),
  ]),
  step('flatness', 'Flatness', [
    quantity({
      id: 'flatness_barrel',
      title: 'Flatness of the barrel',
      group: 'flatness_barrel',
      positions: [
        { id: 'top', title: 'top face' },
        { id: 'foot', title: 'foot' },
      ],
      ...flatness,
    }),
    quantity({
      id: 'flatness_case',
      title: 'Flatness of the case mouth',
      group: 'flatness_case',
      ...flatness,
    }),
    quantity({
      id: 'flatness_head',
      title: 'Flatness of the head',
      group: 'flatness_head',
      ...flatness,
    }),
  ]),
  step('bore_and_piston', 'Bore and piston', [
    quantity({ id: 'bore_along_pin', title: 'Bore along the pin', ...bore }),
    quantity({ id: 'bore_across_pin', title: 'Bore across the pin', ...bore }),
    quantity({
      id: 'piston_diameter',
      title: "Piston at the maker's height",
      ...micrometer,
      lower: 10,
      upper: 200,
      repeats: 3,
      group: 'piston_diameter',
    }),
  ]),
  step('clearance', 'Piston clearance', [
    quantity({
      id: 'clearance_by_feeler',
      title: 'Long feeler down the skirt, light drag',
      ...feeler,
      usualStep: 0.01,
      lower: 0.01,
      upper: 1,
      need: 'none',
      repeats: 3,
      group: 'piston_clearance',
    }),
  ]),
  step('ring_end_gap', 'Ring end gap', [
    quantity({
      id: 'ring_end_gap',
      title: 'End gap, top ring',
      ...feeler,
      lower: 0.02,
      upper: 3,
      repeats: 3,
      group: 'ring_end_gap',
      need: 'any',
      positions: [
        { id: 'upper', title: 'above the exhaust' },
        { id: 'lower', title: 'below the ports' },
      ],
    }),
    quantity({
      id: 'second_ring_end_gap',
      title: 'End gap, second ring',
      ...feeler,
      lower: 0.02,
      upper: 3,
      repeats: 3,
      group: 'ring_end_gap',
      need: 'none',
    }),
    quantity({
      id: 'ring_side_clearance',
      title: 'Side clearance of a plain ring in its groove',
      ...feeler,
      usualStep: 0.01,
      lower: 0,
      upper: 1,
      group: 'ring_end_gap',
      need: 'none',
    }),
  ]),
  step('crank', 'Crank', [
    quantity({
      id: 'crank_run_out',
      title: 'Run-out, full swing',
      kind: 'length',
      instruments: ['dial_gauge'],
      usualStep: 0.01,
      lower: 0,
      upper: 2,
      positions: sides,
      group: 'crank_run_out',
    }),
    quantity({
      id: 'rod_side_clearance',
      title: 'Rod side clearance at the big end',
      ...feeler,
      lower: 0,
      upper: 3,
      group: 'rod_side_clearance',
    }),
  ]),
  step('stroke_and_rod', 'Stroke and rod', [
    quantity({
      id: 'stroke',
      title: 'Stroke, TDC to BDC',
      kind: 'length',
      instruments: ['dial_gauge', 'depth_gauge'],
      usualStep: 0.02,
      lower: 10,
      upper: 200,
      repeats: 3,
      group: 'stroke',
    }),
    quantity({
      id: 'rod_length',
      title: 'Rod, eye centre to eye centre',
      kind: 'length',
      instruments: ['caliper', 'micrometer'],
      usualStep: 0.05,
      lower: 20,
      upper: 500,
      need: 'none',
      repeats: 3,
      group: 'rod_length',
    }),
  ]),
  step('gaskets', 'Gasket thickness', [
    ...(['base', 'head'] as const).flatMap((place) =>
      (['new', 'crushed'] as const).map((state) =>
        quantity({
          id: `${place}_gasket_${state}`,
          title: `${place === 'base' ? 'Base' : 'Head'} gasket, ${state === 'new' ? 'new' : 'crushed by one torque'}`,
          ...micrometer,
          lower: 0.05,
          upper: 20,
          need: place === 'base' && state === 'crushed' ? 'any' : 'none',
          positions: places,
          group: `${place}_gasket_thickness`,
        }),
      ),
    ),
  ]),
  step('torque', 'Torque', [
    quantity({ id: 'torque_barrel', title: 'Barrel nuts', ...torque, group: 'torque' }),
    quantity({ id: 'torque_head', title: 'Head nuts', ...torque, group: 'torque', need: 'none' }),
  ]),
  step('true_tdc', 'True TDC', [], { place: 'bench' }),
  step(
    'port_events',
    'Port events, both directions',
    [
      quantity({
        id: 'zeroed_duration',
        title: 'Duration by zeroing at the opening',
        kind: 'angle',
        instruments: ['degree_wheel'],
        usualStep: 0.5,
        lower: 1,
        upper: 359,
        positions: 'each_port',
        need: 'none',
        repeats: 3,
        group: 'port_events',
        isDifference: true,
      }),
    ],
    { place: 'bench' },
  ),
  step('squish', 'Squish', [
    quantity({
      id: 'squish',
      title: 'Squish gap by solder',
      ...micrometer,
      lower: 0.05,
      upper: 10,
      positions: quarters,
      repeats: 3,
      group: 'squish',
    }),
  ]),
  step(
    'head_volume',
    'Head volume',
    [
      quantity({
        id: 'head_poured',
        title: 'Poured into the head on its plate',
        ...burette,
        lower: 0.5,
        upper: 500,
        group: 'head_volume',
      }),
      quantity({
        id: 'plate_hole_volume',
        title: "Volume of the plate's filling hole",
        kind: 'volume',
        instruments: ['burette', 'other'],
        usualStep: 0.05,
        lower: 0,
        upper: 20,
        need: 'none',
        group: null,
      }),
      quantity({
        id: 'assembled_poured',
        title: 'Poured into the assembled engine at TDC',
        ...burette,
        lower: 0.5,
        upper: 500,
        group: 'assembled_volume',
      }),
      quantity({
        id: 'plug_hole_volume',
        title: 'Volume of the plug hole',
        kind: 'volume',
        instruments: ['burette', 'other'],
        usualStep: 0.05,
        lower: 0,
        upper: 20,
        need: 'none',
        group: null,
      }),
      quantity({
        id: 'dome_depth',
        title: 'Depth of the crown edge for the dome',
        kind: 'length',
        instruments: ['depth_gauge'],
        usualStep: 0.02,
        lower: 0.1,
        upper: 50,
        need: 'none',
        group: 'dome_volume',
      }),
      quantity({
        id: 'dome_poured',
        title: 'Poured on to the crown at that depth',
        ...burette,
        lower: 0.1,
        upper: 500,
        need: 'none',
        group: 'dome_volume',
      }),
      quantity({
        id: 'crankcase_poured',
        title: 'Crankcase at BDC',
        ...burette,
        usualStep: 1,
        lower: 5,
        upper: 3000,
        need: 'none',
        group: 'crankcase_volume',
      }),
    ],
    { isOneEnough: true },
  ),
  step('deck_and_heights', 'Deck and port heights', [
    quantity({
      id: 'deck',
      title: 'Deck, minus where proud',
      kind: 'length',
      instruments: ['depth_gauge', 'feeler_gauges'],
      usualStep: 0.02,
      lower: -20,
      upper: 50,
      positions: sides,
      repeats: 3,
      group: 'deck',
    }),
    quantity({
      id: 'port_height',
      title: 'Deciding edge below the top of the barrel',
      kind: 'length',
      instruments: ['caliper', 'height_gauge'],
      usualStep: 0.05,
      lower: 0,
      upper: 200,
      positions: 'each_port',
      need: 'none',
      repeats: 3,
      group: 'port_heights',
    }),
  ]),
  step(
    'ignition',
    'Ignition',
    [
      quantity({
        id: 'ignition_mm',
        title: 'Firing point, piston before TDC',
        kind: 'length',
        instruments: ['dial_gauge'],
        usualStep: 0.01,
        lower: 0,
        upper: 30,
        repeats: 3,
        group: 'ignition',
      }),
      quantity({
        id: 'plug_hole_slant',
        title: 'Slant of the plug hole from the bore axis',
        kind: 'angle',
        instruments: ['other'],
        usualStep: 1,
        lower: 0,
        upper: 60,
        need: 'none',
        group: null,
      }),
      quantity({
        id: 'ignition_deg',
        title: 'Firing point, before TDC on the wheel',
        kind: 'angle',
        instruments: ['degree_wheel'],
        usualStep: 0.5,
        lower: 0,
        upper: 90,
        repeats: 3,
        group: 'ignition',
      }),
    ],
    { isOneEnough: true },
  ),
];

const stepById = new Map(steps.map((entry) => [entry.id, entry]));
const quantityById = new Map(steps.flatMap((entry) => entry.quantities.map((described) => [described.id, described])));

export function stepOf(id: StepId): Step {
  // Every id of the list has its step; a test holds the two together.
  return stepById.get(id) as Step;
}

/** The step quantity of that id, or null for readings that no step knows (imported, of a later version). */
export function stepQuantity(id: string): StepQuantity | null {
  return quantityById.get(id) ?? null;
}

/** Where a quantity is read on a barrel with these ports. */
export function positionsOf(described: StepQuantity, ports: readonly Port[]): readonly Position[] {
  if (described.positions !== 'each_port') return described.positions;
  return ports
    .filter((port) => portKindTable[port.kind].edges.length > 0)
    .map((port) => ({ id: port.portId, title: port.label }));
}

/** Name of a reading place: "Bore along the pin, top". */
export function placeTitle(described: StepQuantity, position: Position): string {
  return position.title === '' ? described.title : `${described.title}, ${position.title}`;
}

/**
 * Quantity under which a step that was passed over is kept as a reading: its position is the step's id, its note the
 * reason. Striking that reading takes the step up again, so a skip is undone and redone like any reading.
 */
export const skippedQuantity = 'step_skipped';

/** Quantity under which a change of a part or a cut of a face is kept; its position names the change. */
export const changeQuantity = 'part_changed';
