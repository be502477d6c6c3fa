/** What another figure in a part's own entry means for the mock-ups that use it, if the part itself was changed. */
import type { MockUpWhole } from '../contract/messages.ts';
import type {
  BarrelData,
  EngineData,
  GasketData,
  HeadData,
  MockUp,
  Offset,
  PartContent,
  PistonData,
  Port,
} from '../contract/parts.ts';
import { type MockUpChangeKind, mockUpChangeKinds } from '../planner/void-table.ts';
import { joinStamps } from './stamps.ts';
import { type VoidedReadings, voidPlan } from './void-plan.ts';

/** A figure of a part that differs, and the change of the mock-up that it stands for. */
export interface PartChange {
  readonly kind: MockUpChangeKind;
  /** "Exhaust, width", for a sentence. */
  readonly title: string;
  readonly unit: string;
  readonly before: number;
  /** null where the figure was taken out. */
  readonly after: number | null;
}

/** A figure of one kind of entry; where it isn't said it is null, and saying it for the first time changes nothing. */
interface Figure<T> {
  readonly kind: MockUpChangeKind;
  readonly title: string;
  readonly unit: string;
  readonly of: (entry: T) => number | null;
}

const figure = <T>(
  kind: MockUpChangeKind,
  title: string,
  unit: string,
  of: (entry: T) => number | null,
): Figure<T> => ({ kind, title, unit, of });

/** An offset of nothing has no side. */
const signed = ({ mm, side }: Offset): number => (mm === 0 || side === 'swing_side' ? mm : -mm);

/** A corner without a radius is one that nobody measured. */
const radius = (mm: number): number | null => (mm === 0 ? null : mm);

/*
 * Not listed is what nothing on the bench was read with: speed and ignition advance are what the builder aims at, a
 * piston's gauge height says where to measure, its mass moves no edge.
 */
const engineFigures: readonly Figure<EngineData>[] = [
  figure('bottom_end_changed', 'stroke', 'mm', ({ strokeMm }) => strokeMm),
  figure('bottom_end_changed', 'rod length', 'mm', ({ rodLengthMm }) => rodLengthMm),
  figure('bottom_end_changed', "offset of the cylinder's axis", 'mm', ({ cylinderOffset }) => signed(cylinderOffset)),
  figure('bottom_end_changed', 'crankcase volume', 'cm³', ({ crankcaseVolumeBdcCc }) => crankcaseVolumeBdcCc),
  // The pin sits in the piston, though the entry of the engine holds its offset.
  figure('piston_changed', 'offset of the gudgeon pin', 'mm', ({ pinOffset }) => signed(pinOffset)),
];
const barrelFigures: readonly Figure<BarrelData>[] = [figure('bore_machined', 'bore', 'mm', ({ boreMm }) => boreMm)];
const portFigures: readonly Figure<Port>[] = [
  figure('port_machined', 'width', 'mm', ({ widthMm }) => widthMm),
  figure('port_machined', 'height', 'mm', ({ heightMm }) => heightMm),
  figure('port_machined', 'upper corner radius', 'mm', ({ cornerRadiusTopMm }) => radius(cornerRadiusTopMm)),
  figure('port_machined', 'lower corner radius', 'mm', ({ cornerRadiusBottomMm }) => radius(cornerRadiusBottomMm)),
  figure('port_machined', 'drop of the roof', 'mm', ({ roofDropMm }) => roofDropMm),
  figure('port_machined', 'edge from the top', 'mm', ({ edgeFromDeckMm }) => edgeFromDeckMm),
  figure('port_machined', 'aim around', 'deg', ({ azimuthDeg }) => azimuthDeg),
  figure('port_machined', 'aim upwards', 'deg', ({ elevationDeg }) => elevationDeg),
];
const pistonFigures: readonly Figure<PistonData>[] = [
  figure('piston_changed', 'diameter', 'mm', ({ diameterMm }) => diameterMm),
  figure('piston_changed', 'length of the skirt', 'mm', ({ skirtLengthMm }) => skirtLengthMm),
  figure('piston_changed', 'volume of the dome', 'cm³', ({ domeVolumeCc }) => domeVolumeCc),
];
const headFigures: readonly Figure<HeadData>[] = [
  // A volume doesn't say whether its face or its bowl was cut, so all that hangs on the head counts.
  figure('head_changed', 'volume', 'cm³', ({ volumeCc }) => volumeCc),
  figure('bowl_machined', 'diameter of the bowl', 'mm', ({ bowlDiameterMm }) => bowlDiameterMm),
  figure('bowl_machined', 'taper of the squish band', 'deg', ({ squishBandTaperDeg }) => squishBandTaperDeg),
];
const gasketFigures = (kind: MockUpChangeKind): readonly Figure<GasketData>[] => [
  figure(kind, 'thickness when new', 'mm', ({ thicknessNewMm }) => thicknessNewMm),
  figure(kind, 'thickness, crushed', 'mm', ({ thicknessCrushedMm }) => thicknessCrushedMm),
  figure(kind, 'bore', 'mm', ({ boreMm }) => boreMm),
];

function differences<T>(figures: readonly Figure<T>[], before: T, after: T, owner = ''): PartChange[] {
  return figures.flatMap(({ kind, title, unit, of }) => {
    const [was, is] = [of(before), of(after)];
    return was === null || was === is ? [] : [{ kind, title: `${owner}${title}`, unit, before: was, after: is }];
  });
}

/** The crank angles of cylinders that both entries have; one that is added was never read at. */
function crankDifferences(before: EngineData, after: EngineData): PartChange[] {
  return before.crankPhasesDeg.flatMap((was, at) => {
    const is = after.crankPhasesDeg[at];
    const title = `crank angle of ${before.cylinderNames[at] || `cylinder ${at + 1}`}`;
    return is === undefined || is === was
      ? []
      : [{ kind: 'bottom_end_changed', title, unit: 'deg', before: was, after: is }];
  });
}

/** Sizes of ports that both entries have; to list a port, or to take it off the list, grinds nothing. */
function portDifferences(before: BarrelData, after: BarrelData): PartChange[] {
  return before.ports.flatMap((was) => {
    const is = after.ports.find(({ portId }) => portId === was.portId);
    return is === undefined ? [] : differences(portFigures, was, is, `${was.label}, `);
  });
}

/**
 * Figures that differ between two entries of one part and that something may have been read with.
 * @param gasketKinds what a gasket is in the mock-up in question; from its entry where left out
 * @returns in the order of the entry; empty where the part as such would be the same
 */
export function changesOfPart(
  before: PartContent,
  after: PartContent,
  gasketKinds?: readonly MockUpChangeKind[],
): PartChange[] {
  if (before.kind === 'engine' && after.kind === 'engine') {
    return [...differences(engineFigures, before.data, after.data), ...crankDifferences(before.data, after.data)];
  }
  if (before.kind === 'barrel' && after.kind === 'barrel') {
    return [...differences(barrelFigures, before.data, after.data), ...portDifferences(before.data, after.data)];
  }
  if (before.kind === 'piston' && after.kind === 'piston') {
    return differences(pistonFigures, before.data, after.data);
  }
  if (before.kind === 'head' && after.kind === 'head') return differences(headFigures, before.data, after.data);
  if (before.kind === 'gasket' && after.kind === 'gasket') {
    const kinds = gasketKinds ?? [gasketKind(before.data.place)];
    return kinds.flatMap((kind) => differences(gasketFigures(kind), before.data, after.data));
  }
  return [];
}

const gasketKind = (place: GasketData['place']): MockUpChangeKind =>
  place === 'base' ? 'base_gasket_changed' : 'head_gasket_changed';

/** Does the mock-up use the part, in whatever place? */
export function usesPart(mockUp: MockUp, partId: string): boolean {
  const { engineId, barrelId, pistonId, headId, baseGasketId, headGasketId } = mockUp;
  return [engineId, barrelId, pistonId, headId, baseGasketId, headGasketId].includes(partId);
}

/** What one mock-up would lose by a change of a part. */
export interface PartVoids {
  readonly mockUpId: string;
  readonly mockUpName: string;
  /** Who measures this job: stands on the entry of the change. */
  readonly measuredBy: string;
  readonly changes: readonly PartChange[];
  /** Kinds of `changes`, each once, in the order of the void table. */
  readonly kinds: readonly MockUpChangeKind[];
  readonly plan: readonly VoidedReadings[];
}

/**
 * What becomes void in the mock-ups that use a part, if the part itself was changed.
 * @param wholes mock-ups with their readings; those that don't use the part are passed over
 * @returns only mock-ups in which something still counts and falls; empty where there is nothing to ask about
 */
export function partVoids(
  partId: string,
  before: PartContent,
  after: PartContent,
  wholes: readonly MockUpWhole[],
): PartVoids[] {
  return wholes.flatMap(({ mockUp, build, readings, marks }) => {
    if (!usesPart(mockUp, partId)) return [];
    // Where a gasket lies is the mock-up's word: the same sheet may be cut for either place.
    const places = (['base', 'head'] as const).filter((place) =>
      place === 'base' ? mockUp.baseGasketId === partId : mockUp.headGasketId === partId,
    );
    const changes = changesOfPart(before, after, places.map(gasketKind));
    const kinds = mockUpChangeKinds.filter((kind) => changes.some((change) => change.kind === kind));
    const plan = voidPlan(kinds, joinStamps(readings, marks));
    const { id: mockUpId, name: mockUpName } = mockUp;
    return plan.length === 0 ? [] : [{ mockUpId, mockUpName, measuredBy: build.measuredBy, changes, kinds, plan }];
  });
}

/** "stroke 54.5 mm before, 54 mm now; rod length 110 mm before, not said now". */
export function partChangesInWords(changes: readonly PartChange[]): string {
  const texts = changes.map(
    ({ title, unit, before, after }) =>
      `${title} ${before} ${unit} before, ${after === null ? 'not said' : `${after} ${unit}`} now`,
  );
  return [...new Set(texts)].join('; ');
}
