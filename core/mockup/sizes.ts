/** From a mock-up as stored to the sizes that the planner and all areas work with, and what is missing for the rest. */
import type { WindowShape } from '../area/window.ts';
import { areaLawFromFloor, areaLawFromRoof } from '../area/window.ts';
import type { MockUpWhole } from '../contract/messages.ts';
import type { PartOf, Port } from '../contract/parts.ts';
import { type Crank, crankFrom } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import type { MockUpPort, MockUpSizes } from '../planner/mock-up-figures.ts';
import type { SizeUncertainties } from '../planner/uncertain-figures.ts';
import { discIntakeEvents, quotedEvent } from '../ports/events.ts';
import { isExhaust, isTransfer, portKindTable } from '../ports/kinds.ts';
import { squishVelocityMax } from '../squish/velocity.ts';
import { propagate } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import type { Cc, Mm } from '../units.ts';
import { clearanceVolume } from '../volumes/ratio.ts';
import { type EdgeDepth, edgeDepthOf } from './edge-depths.ts';
import { geometryOf, type TimingResult } from './timing-result.ts';

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

export interface SizesOfMockUp {
  /** Null where not one figure can be worked out. */
  readonly sizes: MockUpSizes | null;
  readonly uncertainties: SizeUncertainties;
  readonly edgeDepths: readonly EdgeDepth[];
  readonly deckMm: Value | null;
  readonly missing: readonly MissingSize[];
  /** What the figures rest on, to be shown with them. */
  readonly remarks: readonly string[];
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

/**
 * Sizes of a mock-up for the planner.
 *
 * An edge that was read by angle gets its depth from there; one that wasn't, from its height and the deck. Where the
 * deck governs it is the other way round. `mockUpFigures(sizes)` doesn't refuse what comes out.
 * @param timing of the same mock-up
 * @param speedRpm instead of the engine's own speed
 */
export function sizesOf(
  whole: MockUpWhole,
  timing: TimingResult,
  measured: MeasuredSizes = nothingMeasured,
  speedRpm: number | null = null,
): SizesOfMockUp {
  const missing: MissingSize[] = [];
  const nothing = { sizes: null, uncertainties: {}, edgeDepths: [], deckMm: measured.deckMm, missing, remarks: [] };
  if (whole.engine.kind !== 'engine' || whole.barrel.kind !== 'barrel') return nothing;
  const engine = whole.engine.data;
  const barrel = whole.barrel.data;
  const geometry = geometryOf(whole);
  const crank = crankOf(geometry, missing);
  const boreMm = measured.boreMm?.value ?? barrel.boreMm;
  if (boreMm === null) {
    missing.push({
      group: 'everything',
      portId: null,
      sentence: 'The bore is neither measured nor entered: every volume and area needs it.',
      where: 'barrel',
    });
  }
  if (crank === null || geometry === null || boreMm === null) return nothing;
  const speed = speedRpm ?? engine.speedRpm;
  const { ports, edgeDepths } = portsOf(barrel.ports, whole, timing, measured, crank, missing);
  const clearance = clearanceOf(whole, measured, boreMm, missing);
  const head = whole.head?.kind === 'head' ? whole.head.data : null;
  const headGasketBoreMm = whole.headGasket?.kind === 'gasket' ? whole.headGasket.data.boreMm : null;
  const crankcase = measured.crankcaseVolumeBdcCc?.value ?? engine.crankcaseVolumeBdcCc;
  const sizes = withPossibleBand(
    {
      geometry,
      boreMm,
      ports,
      speedRpm: speed ?? undefined,
      squishMm: measured.squishMm?.value,
      clearanceVolumeCc: clearance?.value,
      headGasketBoreMm: headGasketBoreMm ?? undefined,
      bowlDiameterMm: head?.bowlDiameterMm ?? undefined,
      squishTaperDeg: head?.squishBandTaperDeg,
      crankcaseVolumeBdcCc: crankcase ?? undefined,
      deckMm: measured.deckMm?.value,
      ignitionAdvanceDeg: engine.ignitionAdvanceDeg ?? undefined,
    },
    missing,
  );
  tellMissing(sizes, barrel.ports, missing);
  return {
    sizes,
    uncertainties: {
      boreMm: measured.boreMm?.sigma,
      squishMm: measured.squishMm?.sigma,
      clearanceVolumeCc: clearance?.sigma,
      crankcaseVolumeBdcCc: measured.crankcaseVolumeBdcCc?.sigma,
      deckMm: measured.deckMm?.sigma,
      edgeDepthMm: Object.fromEntries(edgeDepths.map(({ portId, depthMm }) => [portId, depthMm.sigma])),
    },
    edgeDepths,
    deckMm: measured.deckMm,
    missing,
    remarks: remarksOf(edgeDepths, measured),
  };
}

function crankOf(geometry: ReturnType<typeof geometryOf>, missing: MissingSize[]): Crank | null {
  if (geometry === null) return null;
  try {
    return crankFrom(geometry);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    missing.push({ group: 'everything', portId: null, sentence: error.message, where: 'engine' });
    return null;
  }
}

interface FoundPorts {
  readonly ports: readonly MockUpPort[];
  readonly edgeDepths: readonly EdgeDepth[];
}

function portsOf(
  ports: readonly Port[],
  whole: MockUpWhole,
  timing: TimingResult,
  measured: MeasuredSizes,
  crank: Crank,
  missing: MissingSize[],
): FoundPorts {
  const found: MockUpPort[] = [];
  const edgeDepths: EdgeDepth[] = [];
  const sources = {
    crank,
    timing,
    deckMm: measured.deckMm,
    portHeightsMm: measured.portHeightsMm,
    skirtLengthMm: whole.piston?.kind === 'piston' ? whole.piston.data.skirtLengthMm : null,
    heightsGovern: whole.mockUp.governs === 'deck_dimension',
  };
  for (const port of ports) {
    const { control } = portKindTable[port.kind];
    const common = { portId: port.portId, kind: port.kind, windowCount: port.windowCount };
    if (control === 'reed') {
      found.push(common);
    } else if (control === 'disc') {
      const disc = discOf(port, timing, missing);
      if (disc !== null) found.push({ ...common, disc });
    } else {
      const depth = edgeDepthOf(port, sources);
      if (typeof depth === 'string') {
        missing.push({ group: 'events', portId: port.portId, sentence: depth, where: 'bench' });
      } else {
        edgeDepths.push(depth);
        const window = windowOf(port, missing);
        found.push({ ...common, edgeDepthMm: depth.depthMm.value, ...(window === null ? {} : { window }) });
      }
    }
  }
  return { ports: found, edgeDepths };
}

function discOf(port: Port, timing: TimingResult, missing: MissingSize[]): MockUpPort['disc'] | null {
  const crankDeg = (edge: 'opens' | 'closes') =>
    timing.events.find((row) => row.portId === port.portId && row.edge === edge)?.crank?.value;
  const opens = crankDeg('opens');
  const closes = crankDeg('closes');
  const add = (sentence: string): null => {
    missing.push({ group: 'events', portId: port.portId, sentence, where: 'bench' });
    return null;
  };
  if (opens === undefined || closes === undefined) return add(`${port.label}: its edges are not read yet.`);
  try {
    const openBtdcDeg = quotedEvent(port.kind, 'opens', opens);
    const closeAtdcDeg = quotedEvent(port.kind, 'closes', closes);
    discIntakeEvents(openBtdcDeg, closeAtdcDeg);
    return { openBtdcDeg, closeAtdcDeg };
  } catch (error) {
    if (error instanceof InputError) return add(`${port.label}: ${error.message}`);
    throw error;
  }
}

/** The window of a port as the area laws take it; null, and said, where it can't be one. */
function windowOf(port: Port, missing: MissingSize[]): WindowShape | null {
  const add = (sentence: string): null => {
    missing.push({ group: 'time_areas', portId: port.portId, sentence, where: 'barrel' });
    return null;
  };
  const { widthMm, heightMm } = port;
  if (widthMm === null || heightMm === null) {
    const what = widthMm === null && heightMm === null ? 'width and height' : widthMm === null ? 'width' : 'height';
    return add(`${port.label}: the ${what} of its window ${what.includes('and') ? 'are' : 'is'} not entered.`);
  }
  const window: WindowShape = {
    widthMm,
    heightMm,
    radiusTopMm: port.cornerRadiusTopMm,
    radiusBottomMm: port.cornerRadiusBottomMm,
    roofDropMm: port.roofDropMm,
  };
  try {
    if (portKindTable[port.kind].control === 'skirt') areaLawFromFloor(window);
    else areaLawFromRoof(window);
    return window;
  } catch (error) {
    if (error instanceof InputError) return add(`${port.label}: ${error.message}`);
    throw error;
  }
}

/** Volume over the piston at TDC: as filled, else put together from head, gasket, deck and dome. */
export function clearanceOf(
  whole: MockUpWhole,
  measured: MeasuredSizes,
  boreMm: Mm,
  missing: MissingSize[],
): Value | null {
  if (measured.assembledVolumeCc !== null) return measured.assembledVolumeCc;
  const known = (value: number | null | undefined): Value | null =>
    value === null || value === undefined ? null : { value, sigma: 0, degreesOfFreedom: null, contributions: [] };
  const head = measured.headVolumeCc ?? known(whole.head?.kind === 'head' ? whole.head.data.volumeCc : null);
  const gasket = measured.headGasketMm ?? known(whole.mockUp.headGasketMm);
  const dome = measured.domeVolumeCc ?? known(whole.piston?.kind === 'piston' ? whole.piston.data.domeVolumeCc : null);
  const deck = measured.deckMm;
  const gaps: readonly (readonly [Value | null, string, MissingPlace])[] = [
    [head, 'the head volume', 'checks'],
    [gasket, 'the head gasket as fitted (0 where there is none)', 'mock_up'],
    [deck, 'the deck', 'checks'],
    [dome, "the volume of the piston's dome (0 for a flat crown)", 'piston'],
  ];
  const open = gaps.filter(([value]) => value === null);
  if (head === null || gasket === null || deck === null || dome === null) {
    const names = open.map(([, name]) => name);
    const last = names.pop() ?? '';
    const list = names.length === 0 ? last : `${names.join(', ')} and ${last}`;
    missing.push({
      group: 'ratios',
      portId: null,
      sentence: `The volume over the piston at TDC needs ${list}, or the assembled engine filled by burette.`,
      where: open[0]?.[2] ?? 'checks',
    });
    return null;
  }
  const gasketBoreMm = (whole.headGasket?.kind === 'gasket' ? whole.headGasket.data.boreMm : null) ?? boreMm;
  try {
    return propagate(
      ([headVolumeCc = 0, gasketThicknessMm = 0, deckClearanceMm = 0, domeVolumeCc = 0]): Cc =>
        clearanceVolume({ headVolumeCc, boreMm, gasketBoreMm, gasketThicknessMm, deckClearanceMm, domeVolumeCc }),
      [
        { name: 'head volume', ...head, route: 'propagated' },
        { name: 'head gasket', ...gasket, route: 'propagated' },
        { name: 'deck', ...deck, route: 'propagated' },
        { name: 'dome', ...dome, route: 'propagated' },
      ],
    );
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    missing.push({ group: 'ratios', portId: null, sentence: error.message, where: 'checks' });
    return null;
  }
}

/** A bowl that doesn't fit the bore or the volume leaves only the squish velocity out, and says why. */
function withPossibleBand(sizes: MockUpSizes, missing: MissingSize[]): MockUpSizes {
  const { squishMm, clearanceVolumeCc, bowlDiameterMm, speedRpm } = sizes;
  if (
    squishMm === undefined ||
    clearanceVolumeCc === undefined ||
    bowlDiameterMm === undefined ||
    speedRpm === undefined
  ) {
    return sizes;
  }
  try {
    squishVelocityMax({
      ...sizes,
      squishMm,
      clearanceVolumeCc,
      bowlDiameterMm,
      speedRpm,
      taperDeg: sizes.squishTaperDeg,
    });
    return sizes;
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    missing.push({
      group: 'squish_velocity',
      portId: null,
      sentence: `No squish velocity: ${error.message}`,
      where: 'head',
    });
    return { ...sizes, bowlDiameterMm: undefined };
  }
}

function tellMissing(sizes: MockUpSizes, ports: readonly Port[], missing: MissingSize[]): void {
  const add = (group: FigureGroup, sentence: string, where: MissingPlace) =>
    missing.push({ group, portId: null, sentence, where });
  if (sizes.speedRpm === undefined) {
    add('time_areas', 'No speed is entered: time-areas and squish velocity are worked out for one speed.', 'engine');
  }
  if (!ports.some(({ kind }) => isExhaust(kind)) || !ports.some(({ kind }) => isTransfer(kind))) {
    add('blowdown', 'Blowdown needs an exhaust and a transfer in the list of ports.', 'barrel');
  }
  if (sizes.squishMm === undefined) add('squish', 'The squish is not measured.', 'checks');
  if (sizes.bowlDiameterMm === undefined && !missing.some(({ group }) => group === 'squish_velocity')) {
    add('squish_velocity', 'The squish velocity needs the diameter of the bowl in the head.', 'head');
  }
  if (sizes.crankcaseVolumeBdcCc === undefined) {
    add('crankcase_ratio', 'The crankcase ratio needs the volume of the crankcase at BDC.', 'engine');
  }
  if (sizes.deckMm === undefined) add('deck', 'The deck is not measured.', 'checks');
  if (sizes.ignitionAdvanceDeg === undefined) {
    add('ignition', 'No ignition advance is entered: its height before TDC follows from it.', 'engine');
  }
}

function remarksOf(edgeDepths: readonly EdgeDepth[], measured: MeasuredSizes): readonly string[] {
  const questions = edgeDepths.flatMap(({ question }) => question ?? []);
  const exact = 'Stroke, rod centres, window sizes and volumes entered with a part count as exact here.';
  const volumes =
    measured.assembledVolumeCc === null ? [] : ['The volume over the piston is the one filled by burette, assembled.'];
  return [...questions, ...volumes, exact];
}

/** The part of a mock-up where a missing size is entered, for a link. */
export function partFor(
  whole: MockUpWhole,
  where: MissingPlace,
): PartOf<'engine' | 'barrel' | 'piston' | 'head'> | null {
  switch (where) {
    case 'engine':
    case 'barrel':
    case 'piston':
    case 'head': {
      const part = whole[where];
      return part === null || part.kind === 'gasket' ? null : part;
    }
    default:
      return null;
  }
}
