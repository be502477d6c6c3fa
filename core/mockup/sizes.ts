/** From a mock-up as stored to the sizes that the planner and all areas work with, and what is missing for the rest. */
import type { MockUpWhole } from '../contract/messages.ts';
import type { Port } from '../contract/parts.ts';
import { type Crank, crankFrom } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import type { MockUpSizes } from '../planner/mock-up-figures.ts';
import type { SizeUncertainties } from '../planner/uncertain-figures.ts';
import { isExhaust, isTransfer } from '../ports/kinds.ts';
import { squishVelocityMax } from '../squish/velocity.ts';
import type { Value } from '../uncertainty/value.ts';
import { asEntered } from './as-entered.ts';
import { clearanceOf } from './clearance.ts';
import type { EdgeDepth } from './edge-depths.ts';
import {
  type FigureGroup,
  type MeasuredSizes,
  type MissingPlace,
  type MissingSize,
  nothingMeasured,
} from './measured-sizes.ts';
import { sizedPorts } from './sized-ports.ts';
import { geometryOf, type TimingResult } from './timing-result.ts';

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
  asMeasured: MeasuredSizes = nothingMeasured,
  speedRpm: number | null = null,
): SizesOfMockUp {
  const missing: MissingSize[] = [];
  const measured = withoutImpossible(asMeasured, missing);
  const nothing = { sizes: null, uncertainties: {}, edgeDepths: [], deckMm: measured.deckMm, missing, remarks: [] };
  if (whole.engine.kind !== 'engine' || whole.barrel.kind !== 'barrel') return nothing;
  const engine = whole.engine.data;
  const barrel = whole.barrel.data;
  const geometry = geometryOf(whole);
  const crank = crankOf(geometry, missing);
  const bore = measured.boreMm ?? asEntered('bore', barrel.boreMm);
  if (bore === null) {
    missing.push({
      group: 'everything',
      portId: null,
      sentence: 'The bore is neither measured nor entered: every volume and area needs it.',
      where: 'barrel',
    });
  }
  if (crank === null || geometry === null || bore === null) return nothing;
  const boreMm = bore.value;
  const speed = speedRpm ?? engine.speedRpm;
  const { ports, edgeDepths } = sizedPorts(barrel.ports, whole, timing, measured, crank, missing);
  const clearance = clearanceOf(whole, measured, boreMm, missing);
  const head = whole.head?.kind === 'head' ? whole.head.data : null;
  const headGasketBoreMm = whole.headGasket?.kind === 'gasket' ? whole.headGasket.data.boreMm : null;
  const crankcase = measured.crankcaseVolumeBdcCc ?? asEntered('crankcase volume', engine.crankcaseVolumeBdcCc);
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
      crankcaseVolumeBdcCc: crankcase?.value,
      deckMm: measured.deckMm?.value,
      ignitionAdvanceDeg: engine.ignitionAdvanceDeg ?? undefined,
    },
    missing,
  );
  tellMissing(sizes, barrel.ports, missing);
  return {
    sizes,
    uncertainties: {
      boreMm: bore.sigma,
      squishMm: measured.squishMm?.sigma,
      clearanceVolumeCc: clearance?.sigma,
      crankcaseVolumeBdcCc: crankcase?.sigma,
      deckMm: measured.deckMm?.sigma,
      edgeDepthMm: Object.fromEntries(edgeDepths.map(({ portId, depthMm }) => [portId, depthMm.sigma])),
    },
    edgeDepths,
    deckMm: measured.deckMm,
    missing,
    remarks: remarksOf(edgeDepths, measured),
  };
}

const mustBePositive = {
  squishMm: ['squish', 'squish'],
  assembledVolumeCc: ['ratios', 'volume filled assembled'],
  crankcaseVolumeBdcCc: ['crankcase_ratio', 'crankcase volume'],
} as const;

/** A gap or volume that comes out as nothing (a plug hole larger than what was poured) counts as not measured. */
function withoutImpossible(measured: MeasuredSizes, missing: MissingSize[]): MeasuredSizes {
  const possible = { ...measured };
  for (const [field, [group, name]] of Object.entries(mustBePositive) as [
    keyof typeof mustBePositive,
    readonly [FigureGroup, string],
  ][]) {
    const value = measured[field]?.value;
    if (value === undefined || value > 0) continue;
    possible[field] = null;
    const sentence = `The ${name} comes out as ${Number(value.toPrecision(4))}, which can't be: look at its readings.`;
    missing.push({ group, portId: null, sentence, where: 'checks' });
  }
  return possible;
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
  const isTold = (group: FigureGroup) => missing.some((one) => one.group === group);
  if (sizes.squishMm === undefined && !isTold('squish')) add('squish', 'The squish is not measured.', 'checks');
  if (sizes.bowlDiameterMm === undefined && !isTold('squish_velocity')) {
    add('squish_velocity', 'The squish velocity needs the diameter of the bowl in the head.', 'head');
  }
  if (sizes.crankcaseVolumeBdcCc === undefined && !isTold('crankcase_ratio')) {
    add('crankcase_ratio', 'The crankcase ratio needs the volume of the crankcase at BDC.', 'engine');
  }
  if (sizes.deckMm === undefined) add('deck', 'The deck is not measured.', 'checks');
  if (sizes.ignitionAdvanceDeg === undefined) {
    add('ignition', 'No ignition advance is entered: its height before TDC follows from it.', 'engine');
  }
}

function remarksOf(edgeDepths: readonly EdgeDepth[], measured: MeasuredSizes): readonly string[] {
  const questions = edgeDepths.flatMap(({ question }) => question ?? []);
  const exact =
    'Stroke, rod centres and window sizes count as exact here. Bore, gasket and volumes entered with a part count to the step to which they are usually read.';
  const volumes =
    measured.assembledVolumeCc === null ? [] : ['The volume over the piston is the one filled by burette, assembled.'];
  return [...questions, ...volumes, exact];
}
