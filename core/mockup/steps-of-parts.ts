/** Steps at loose parts, from the box to the torque. */
import { feeler, micrometer, type Position, quantity, type Step, sides, step } from './step-shape.ts';

const heights: readonly Position[] = [
  { id: 'top', title: 'top' },
  { id: 'middle', title: 'middle' },
  { id: 'bottom', title: 'bottom' },
];
const places: readonly Position[] = ['1', '2', '3', '4'].map((id) => ({ id, title: `place ${id}` }));

const noted = { instruments: [], usualStep: null, lower: 1, upper: 1 } as const;
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

export const partSteps: readonly Step[] = [
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
];
