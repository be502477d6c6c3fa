import { notNegative, positive, present, presentOr, refuse } from '../checks.ts';
import { type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { portKindTable } from '../ports/kinds.ts';
import { borderSlack, type Cc, type Mm } from '../units.ts';
import { discVolume } from '../volumes/burette.ts';
import { type MockUpFigures, type MockUpPort, type MockUpSizes, mockUpFigures } from './mock-up-figures.ts';
import { checkedStackChange, type StackChange, squishAfter } from './stack.ts';

/** A planned change: stack, rod, single edges, bowl. */
export interface MockUpChange extends StackChange {
  /** Longer positive; half of it lifts the crown at TDC. */
  readonly strokeChangeMm?: Mm | undefined;
  /** Longer positive. */
  readonly rodLengthChangeMm?: Mm | undefined;
  /** Ground off the deciding edge of a port by its id: a roof goes up, a skirt intake's floor goes down; 0 or more. */
  readonly edgeGroundMm?: Readonly<Record<string, Mm>> | undefined;
  /** Ground off the other edge, which moves no event: a floor goes down, a skirt intake's roof goes up; 0 or more. */
  readonly farEdgeGroundMm?: Readonly<Record<string, Mm>> | undefined;
  /** Squish band recut deeper into the head, its face left alone; 0 or more. */
  readonly squishBandCutMm?: Mm | undefined;
  /** Volume taken out of the bowl, 0 or more. */
  readonly bowlCutCc?: Cc | undefined;
}

type GroundField = 'edgeGroundMm' | 'farEdgeGroundMm';

function groundOff(change: MockUpChange, field: GroundField, portId: string): Mm {
  const name = `${portId} ${field}`;
  return notNegative(name, presentOr(name, change[field]?.[portId], 0));
}

function portAfter(port: MockUpPort, depthChangeMm: Mm, change: MockUpChange): MockUpPort {
  const { control } = portKindTable[port.kind];
  if (control === 'disc' || control === 'reed') return port;
  const ground = groundOff(change, 'edgeGroundMm', port.portId);
  const taller = ground + groundOff(change, 'farEdgeGroundMm', port.portId);
  const before = present(`${port.portId} edgeDepthMm`, port.edgeDepthMm);
  const edgeDepthMm = before + depthChangeMm + (control === 'crown' ? -ground : ground);
  return port.window === undefined || taller === 0
    ? { ...port, edgeDepthMm }
    : { ...port, edgeDepthMm, window: { ...port.window, heightMm: port.window.heightMm + taller } };
}

/** Volume that a deeper band leaves over the piston: a ring between bore and bowl. */
function bandVolume(sizes: MockUpSizes, cutMm: Mm): Cc {
  if (cutMm === 0) return 0;
  const bowl = positive('bowlDiameterMm', present('bowlDiameterMm', sizes.bowlDiameterMm));
  return discVolume(sizes.boreMm, cutMm) - discVolume(bowl, cutMm);
}

/** How far the crown rises at TDC and at BDC by another rod or stroke; with an offset the dead centres move a little. */
function crownRises(before: CrankGeometry, after: CrankGeometry): { atTdcMm: Mm; atBdcMm: Mm } {
  if (before.strokeMm === after.strokeMm && before.rodLengthMm === after.rodLengthMm) return { atTdcMm: 0, atBdcMm: 0 };
  const [old, changed] = [crankFrom(before), crankFrom(after)];
  return { atTdcMm: changed.tdcHeightMm - old.tdcHeightMm, atBdcMm: changed.bdcHeightMm - old.bdcHeightMm };
}

/** Sizes with a change applied, whether or not the parts then go together. */
export function shiftedSizes(sizes: MockUpSizes, change: MockUpChange): MockUpSizes {
  const { cylinderRaiseMm, headGasketChangeMm, topCutMm } = checkedStackChange(change);
  const bowlCut = notNegative('bowlCutCc', presentOr('bowlCutCc', change.bowlCutCc, 0));
  const bandCut = notNegative('squishBandCutMm', presentOr('squishBandCutMm', change.squishBandCutMm, 0));
  const geometry = {
    ...sizes.geometry,
    strokeMm: sizes.geometry.strokeMm + presentOr('strokeChangeMm', change.strokeChangeMm, 0),
    rodLengthMm: sizes.geometry.rodLengthMm + presentOr('rodLengthChangeMm', change.rodLengthChangeMm, 0),
  };
  const { atTdcMm, atBdcMm } = crownRises(sizes.geometry, geometry);
  const gapByBore = cylinderRaiseMm - atTdcMm - topCutMm;
  /** What isn't known before a change isn't known after it. */
  const moved = <K extends ChangingSize>(field: K, by: () => number): Partial<Record<K, number>> => {
    const before = sizes[field];
    return before === undefined ? {} : ({ [field]: before + by() } as Record<K, number>);
  };
  return {
    ...sizes,
    geometry,
    ports: sizes.ports.map((port) => portAfter(port, atTdcMm - cylinderRaiseMm, change)),
    ...moved('squishMm', () => gapByBore + headGasketChangeMm + bandCut),
    // What is cut off the head leaves the crown where it stands in the barrel.
    ...moved('deckMm', () => cylinderRaiseMm - atTdcMm - (change.deckCutMm ?? 0)),
    ...moved('crankcaseVolumeBdcCc', () => discVolume(sizes.boreMm, atBdcMm)),
    ...moved(
      'clearanceVolumeCc',
      () =>
        discVolume(sizes.boreMm, gapByBore) +
        discVolume(sizes.headGasketBoreMm ?? sizes.boreMm, headGasketChangeMm) +
        bandVolume(sizes, bandCut) +
        bowlCut,
    ),
  };
}

type ChangingSize = 'squishMm' | 'deckMm' | 'crankcaseVolumeBdcCc' | 'clearanceVolumeCc';

/** @throws collision where no gap or no volume is left */
export function goingTogether(sizes: MockUpSizes): MockUpSizes {
  const { squishMm, clearanceVolumeCc } = sizes;
  if (squishMm !== undefined) squishAfter(squishMm, 0);
  if (clearanceVolumeCc !== undefined && clearanceVolumeCc <= borderSlack) {
    const allowed = 'greater than 0 cm³ after the change';
    refuse('collision', 'clearanceVolumeCc', clearanceVolumeCc, allowed, 'the parts would touch; take off less.');
  }
  return sizes;
}

/**
 * Sizes of a mock-up after a change; figures of it come from `mockUpFigures` like those of any other.
 * @throws missing, negative, non_positive, collision
 * @source raising the barrel or shortening the rod takes the same off every depth; volumes follow with the bore's area,
 *   the head gasket with the area of its own hole
 */
export function sizesAfter(sizes: MockUpSizes, change: MockUpChange): MockUpSizes {
  if (sizes.squishMm !== undefined) positive('squishMm', sizes.squishMm);
  return goingTogether(shiftedSizes(sizes, change));
}

/** Figures before and after a change, for two columns side by side. */
export interface PlannedEffect {
  readonly before: MockUpFigures;
  readonly after: MockUpFigures;
  readonly sizesAfter: MockUpSizes;
}

/** What a change does to every event, blowdown, area, squish and ratio. @throws as `sizesAfter` and `mockUpFigures` */
export function plannedEffect(sizes: MockUpSizes, change: MockUpChange): PlannedEffect {
  const after = sizesAfter(sizes, change);
  return { before: mockUpFigures(sizes), after: mockUpFigures(after), sizesAfter: after };
}
