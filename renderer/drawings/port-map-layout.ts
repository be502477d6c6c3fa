import type { PortKind, PortSide } from '../../core/contract/parts.ts';
import { chordToArc } from '../../core/ports/widths.ts';

/** A window as it is cut into the bore. */
export interface MapWindowShape {
  readonly chordMm: number;
  readonly heightMm: number;
  readonly radiusTopMm: number;
  readonly radiusBottomMm: number;
  /** Drop of a peaked roof. */
  readonly roofDropMm: number;
}

/** A port for the map. Heights count downwards from the crown edge at TDC. */
export interface MapPort {
  readonly portId: string;
  readonly label: string;
  readonly kind: PortKind;
  readonly side: PortSide;
  readonly windowCount: number;
  readonly window: MapWindowShape;
  /** Highest point of the roof. */
  readonly topMm: number;
  /** What opens it: the roof, uncovered by the crown, or the floor, uncovered by the skirt. */
  readonly decidedBy: 'roof' | 'floor';
  /** "opens 91.6 ATDC", or empty. */
  readonly opensText: string;
}

/** One window in its place on the unrolled bore. */
export interface PlacedWindow {
  readonly port: MapPort;
  readonly index: number;
  /** Middle, along the unrolled bore from the middle of the exhaust side; to the right is clockwise seen from above. */
  readonly centreMm: number;
  /** Along the unrolled bore. */
  readonly developedMm: number;
}

export interface PortMapLayout {
  readonly circumferenceMm: number;
  /** Where the bore is cut open: left end of the map. */
  readonly fromMm: number;
  readonly windows: readonly PlacedWindow[];
  /** True where the windows together need more room than the bore has. */
  readonly isTooWide: boolean;
}

/** Drawn between two windows of one port that share the middle; the width of a bridge isn't stored. */
const bridgeMm = 2;

/** From the exhaust to the rear, as ports lie on most barrels. */
const orderOnSide: Readonly<Record<PortKind, number>> = {
  exhaust: 0,
  auxiliary_exhaust: 1,
  transfer_main: 2,
  transfer_secondary: 3,
  boost: 4,
  intake_skirt: 5,
  intake_disc: 5,
  intake_reed: 5,
};

interface Item {
  readonly port: MapPort;
  readonly index: number;
  readonly widthMm: number;
}

/**
 * Lays windows round the bore by kind and side: exhaust in the middle, transfers either side of it, boost or intake
 * opposite. Where on the bore a window lies isn't measured, so gaps are shared out evenly.
 */
export function layOutWindows(boreMm: number, ports: readonly MapPort[]): PortMapLayout {
  const circumferenceMm = Math.PI * boreMm;
  const half = circumferenceMm / 2;
  const hasIntake = ports.some(({ kind }) => kind === 'intake_skirt');
  const front: Item[] = [];
  const rear: Item[] = [];
  const sides: Readonly<Record<'drive_side' | 'ignition_side', Item[]>> = { drive_side: [], ignition_side: [] };
  for (const port of ports) {
    const widthMm = chordToArc(boreMm, Math.min(port.window.chordMm, boreMm)).arcMm;
    for (let index = 0; index < port.windowCount; index += 1) {
      const item = { port, index, widthMm };
      const isOdd = port.windowCount % 2 === 1 && index === port.windowCount - 1;
      if (port.side === 'drive_side' || port.side === 'ignition_side') sides[port.side].push(item);
      else if (!isOdd) sides[index % 2 === 0 ? 'drive_side' : 'ignition_side'].push(item);
      else if (port.kind === 'exhaust') front.push(item);
      else if (port.kind === 'intake_skirt' || !hasIntake) rear.push(item);
      else sides.ignition_side.push(item);
    }
  }
  const frontMm = Math.max(bridgeMm, ...front.map(({ widthMm }) => widthMm)) / 2;
  const rearMm = Math.max(bridgeMm, ...rear.map(({ widthMm }) => widthMm)) / 2;
  const placed: PlacedWindow[] = [...front.map((item) => at(item, 0)), ...rear.map((item) => at(item, half))];
  let isTooWide = false;
  for (const [side, direction] of [
    ['ignition_side', 1],
    ['drive_side', -1],
  ] as const) {
    const items = sides[side].toSorted((a, b) => orderOnSide[a.port.kind] - orderOnSide[b.port.kind]);
    const { centres, isTight } = shareOut(items, frontMm, half - rearMm);
    isTooWide ||= isTight;
    placed.push(...items.map((item, index) => at(item, direction * (centres[index] ?? 0))));
  }
  // The bore is cut open beside the rear window, so that none is drawn in halves.
  const fromMm = -half + rearMm + bridgeMm;
  return {
    circumferenceMm,
    fromMm,
    windows: placed.map((window) =>
      window.centreMm < fromMm ? { ...window, centreMm: window.centreMm + circumferenceMm } : window,
    ),
    isTooWide,
  };
}

function at({ port, index, widthMm }: Item, centreMm: number): PlacedWindow {
  return { port, index, centreMm, developedMm: widthMm };
}

/** Middles of windows between two ends: halves of a bridged port beside its end, all others with even gaps. */
function shareOut(
  items: readonly Item[],
  fromMm: number,
  toMm: number,
): { centres: readonly number[]; isTight: boolean } {
  const atFront = items.filter(({ port }) => port.kind === 'exhaust').length;
  const atRear = items.filter(({ port }) => port.kind === 'intake_skirt').length;
  const used = items.reduce((sum, { widthMm }) => sum + widthMm, 0);
  const shared = items.length - atFront - atRear;
  const bridges = Math.max(0, atFront - 1) + Math.max(0, atRear - 1);
  const left = toMm - fromMm - used - bridges * bridgeMm;
  const gapMm = left / (shared + 1);
  const centres: number[] = [];
  let position = fromMm;
  for (const [index, { widthMm }] of items.entries()) {
    const isFirstRear = index === items.length - atRear;
    if (index > 0 && index < atFront) position += bridgeMm;
    else if (index >= atFront && (index < items.length - atRear || isFirstRear)) position += gapMm;
    else if (index > items.length - atRear) position += bridgeMm;
    centres.push(position + widthMm / 2);
    position += widthMm;
  }
  return { centres, isTight: left < 0 };
}
