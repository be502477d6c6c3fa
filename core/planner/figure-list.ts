/** Every figure of a mock-up by its key: what tables, sheets and limits call it, and how it is taken. */
import { portKindTable } from '../ports/kinds.ts';
import type { MockUpFigures, MockUpSizes, PortFigures } from './mock-up-figures.ts';

export type FigureKind =
  | 'opens'
  | 'closes'
  | 'duration'
  | 'full_area'
  | 'angle_area'
  | 'time_area'
  | 'specific_time_area'
  | 'blowdown'
  | 'blowdown_time'
  | 'blowdown_time_area'
  | 'blowdown_specific_time_area'
  | 'deck'
  | 'squish'
  | 'squish_velocity'
  | 'clearance_volume'
  | 'full_stroke_ratio'
  | 'trapped_ratio'
  | 'crankcase_ratio'
  | 'ignition_btdc';

export type FigureUnit = 'deg' | 'mm' | 'mm2' | 'deg mm2' | 's mm2' | 's/m' | 'ms' | 'm/s' | 'cm3' | '1';

export interface FigureItem {
  /** As limits name it: `duration:exhaust`, `blowdown`, `squish`. */
  readonly key: string;
  /** Names under which limits of it may be kept; the first that has some counts. */
  readonly limitKeys: readonly string[];
  readonly kind: FigureKind;
  /** Null where it belongs to no single port. */
  readonly portId: string | null;
  readonly unit: FigureUnit;
  /** How it follows, one sentence. */
  readonly how: string;
  readonly source: string;
  /** Null where this mock-up doesn't have it. */
  pick(figures: MockUpFigures): number | null;
}

interface FigureWords {
  readonly unit: FigureUnit;
  readonly how: string;
  readonly source: string;
}

const geometrySource = 'vector loop of the slider-crank with offset; Heywood (1988), 2.2';
const areaSource = 'integral of the open area over the crank angle, split where the area changes its law';

export const figureWords: Readonly<Record<FigureKind, FigureWords>> = {
  opens: {
    unit: 'deg',
    how: 'Crank angle at which the piston edge meets the port edge, opening.',
    source: geometrySource,
  },
  closes: {
    unit: 'deg',
    how: 'Crank angle at which the piston edge meets the port edge, closing.',
    source: geometrySource,
  },
  duration: { unit: 'deg', how: 'From opening forwards to closing.', source: geometrySource },
  full_area: {
    unit: 'mm2',
    how: 'Chord times height, less the corners, of all windows.',
    source: 'strip between the corners plus two circular segments; triangle then strip for a sloping roof',
  },
  angle_area: { unit: 'deg mm2', how: 'Open area of all windows summed over the crank angle.', source: areaSource },
  time_area: { unit: 's mm2', how: 'Angle-area over six times the speed in revolutions a minute.', source: areaSource },
  specific_time_area: {
    unit: 's/m',
    how: 'Time-area over the swept volume: 1 s mm² for each cm³ is 1 s/m.',
    source: areaSource,
  },
  blowdown: {
    unit: 'deg',
    how: 'Opening of the earliest transfer less opening of the earliest exhaust.',
    source: 'definition',
  },
  blowdown_time: { unit: 'ms', how: 'Blowdown angle over six times the speed.', source: 'definition' },
  blowdown_time_area: {
    unit: 's mm2',
    how: 'Time-area of all exhaust windows, each from its own opening to that of the earliest transfer.',
    source: areaSource,
  },
  blowdown_specific_time_area: {
    unit: 's/m',
    how: 'Time-area of the blowdown over the swept volume.',
    source: areaSource,
  },
  deck: {
    unit: 'mm',
    how: 'Crown edge below the top of the barrel at TDC; negative where it stands proud.',
    source: 'definition',
  },
  squish: { unit: 'mm', how: 'Smallest gap between crown and head at TDC.', source: 'definition' },
  squish_velocity: {
    unit: 'm/s',
    how: 'Largest velocity of the gas leaving the band at its inner edge; no heat, no friction, no leak.',
    source: 'mass balance of the band; Heywood (1988), 8.4',
  },
  clearance_volume: { unit: 'cm3', how: 'Volume over the piston at TDC.', source: 'definition' },
  full_stroke_ratio: { unit: '1', how: 'Swept volume plus volume at TDC, over volume at TDC.', source: 'definition' },
  trapped_ratio: {
    unit: '1',
    how: 'As the full-stroke ratio, but swept from the closing of the exhaust.',
    source: 'Blair, Design and Simulation of Two-Stroke Engines, SAE R-161 (1996), chapter 1',
  },
  crankcase_ratio: { unit: '1', how: 'Crankcase volume at TDC over that at BDC.', source: 'definition' },
  ignition_btdc: {
    unit: 'mm',
    how: 'Piston below TDC where the ignition stands; the angle stays, set by the stator.',
    source: geometrySource,
  },
};

type PortPick = (port: PortFigures) => number | null;

const portPicks: readonly (readonly [FigureKind, PortPick])[] = [
  ['opens', (port) => port.opensAtdcDeg],
  ['closes', (port) => port.closesAtdcDeg],
  ['duration', (port) => port.durationDeg],
  ['full_area', (port) => port.fullAreaMm2],
  ['angle_area', (port) => port.timeArea?.angleAreaDegMm2 ?? null],
  ['time_area', (port) => port.timeArea?.timeAreaSMm2 ?? null],
  ['specific_time_area', (port) => port.timeArea?.specificTimeAreaSPerM ?? null],
];

const commonPicks: readonly (readonly [FigureKind, FigureItem['pick']])[] = [
  ['blowdown', ({ blowdown }) => blowdown?.blowdownDeg ?? null],
  ['blowdown_time', ({ blowdown }) => blowdown?.blowdownTimeMs ?? null],
  ['blowdown_time_area', ({ blowdown }) => blowdown?.timeArea?.timeAreaSMm2 ?? null],
  ['blowdown_specific_time_area', ({ blowdown }) => blowdown?.timeArea?.specificTimeAreaSPerM ?? null],
  ['deck', ({ deckMm }) => deckMm],
  ['squish', ({ squishMm }) => squishMm],
  ['squish_velocity', ({ squishVelocity }) => squishVelocity?.maxSquishVelocityMps ?? null],
  ['clearance_volume', ({ clearanceVolumeCc }) => clearanceVolumeCc],
  ['full_stroke_ratio', ({ fullStrokeRatio }) => fullStrokeRatio],
  ['trapped_ratio', ({ trappedRatio }) => trappedRatio],
  ['crankcase_ratio', (figures) => figures.crankcaseRatio],
  ['ignition_btdc', ({ ignitionBtdcMm }) => ignitionBtdcMm],
];

/** Where the checks keep limits under names of their own. */
const limitKeysOf: Readonly<Partial<Record<FigureKind, readonly string[]>>> = {
  squish: ['squish_minimum', 'squish'],
  deck: ['deck_mean', 'deck'],
  ignition_btdc: ['ignition_mm'],
};

/** Figures of a mock-up in the order of its tables: port by port, then what belongs to all of them. */
export function figureItems(sizes: MockUpSizes): readonly FigureItem[] {
  const ofPorts = sizes.ports
    .filter(({ kind }) => portKindTable[kind].edges.length > 0)
    .flatMap(({ portId }) =>
      portPicks.map(
        ([kind, pick]): FigureItem => ({
          key: portFigureKey(kind, portId),
          limitKeys: [portFigureKey(kind, portId)],
          kind,
          portId,
          ...figureWords[kind],
          pick: (figures) => {
            const port = figures.ports.find((one) => one.portId === portId);
            return port === undefined ? null : pick(port);
          },
        }),
      ),
    );
  const ofAll = commonPicks.map(
    ([kind, pick]): FigureItem => ({
      key: kind,
      limitKeys: limitKeysOf[kind] ?? [kind],
      kind,
      portId: null,
      ...figureWords[kind],
      pick,
    }),
  );
  return [...ofPorts, ...ofAll];
}

/** Edges are named port first, as the bench names them; figures of a port by what they are. */
export function portFigureKey(kind: FigureKind, portId: string): string {
  return kind === 'opens' || kind === 'closes' ? `event:${portId}:${kind}` : `${kind}:${portId}`;
}
