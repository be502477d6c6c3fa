/** What the drawings of the ports need, from a mock-up and its sizes. */
import { openingCourse, type PortOpening, portOpening } from '../../core/area/open-area.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { Port } from '../../core/contract/parts.ts';
import { crankFrom } from '../../core/crank/geometry.ts';
import type { MockUpFigures, MockUpPort, MockUpSizes } from '../../core/planner/mock-up-figures.ts';
import { portKindTable } from '../../core/ports/kinds.ts';
import type { AreaChartData } from './area-chart.tsx';
import type { PortMapData } from './port-map.tsx';
import type { MapPort } from './port-map-layout.ts';
import { shownAngle } from './timing-data.ts';

/** Spacing of the drawn course; areas themselves are integrated, not summed from it. */
const courseStepDeg = 1;

export interface OpeningOfPort {
  readonly port: Port;
  readonly opening: PortOpening;
}

/** Ports whose windows and heights are known, with how they open. */
export function openingsOf(ports: readonly Port[], sizes: MockUpSizes): readonly OpeningOfPort[] {
  const crank = crankFrom(sizes.geometry);
  return sizes.ports.flatMap((sized) => {
    const port = ports.find(({ portId }) => portId === sized.portId);
    const opening = openingOf(crank, sized);
    return port === undefined || opening === null ? [] : [{ port, opening }];
  });
}

function openingOf(crank: ReturnType<typeof crankFrom>, port: MockUpPort): PortOpening | null {
  const { control } = portKindTable[port.kind];
  const { edgeDepthMm, window, windowCount } = port;
  if ((control !== 'crown' && control !== 'skirt') || edgeDepthMm === undefined || window === undefined) return null;
  return portOpening(crank, { control, edgeDepthMm, window, windowCount });
}

export function areaChartData(openings: readonly OpeningOfPort[], figures: MockUpFigures): AreaChartData {
  const { blowdown } = figures;
  const opens = (portId: string) => figures.ports.find((one) => one.portId === portId)?.opensAtdcDeg ?? null;
  const from = blowdown === null ? null : opens(blowdown.exhaustPortId);
  return {
    series: openings.map(({ port, opening }) => ({
      portId: port.portId,
      label: port.label,
      kind: port.kind,
      points: openingCourse(opening, courseStepDeg),
    })),
    blowdown:
      blowdown === null || from === null || blowdown.blowdownDeg <= 0
        ? null
        : { fromDeg: from, toDeg: from + blowdown.blowdownDeg },
  };
}

export interface DrawnMap {
  readonly data: PortMapData;
  /** Labels of ports that have no place on the map yet. */
  readonly notDrawn: readonly string[];
}

export function portMapData(whole: MockUpWhole, sizes: MockUpSizes, figures: MockUpFigures): DrawnMap {
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  const skirtMm = skirtLengthOf(whole);
  const drawn = ports.flatMap((port) => mapPort(port, sizes, figures, skirtMm) ?? []);
  return {
    data: { boreMm: sizes.boreMm, travelMm: figures.travelMm, deckMm: sizes.deckMm ?? null, ports: drawn },
    notDrawn: ports
      .filter(({ kind, portId }) => portKindTable[kind].hasAreaLaw && !drawn.some((one) => one.portId === portId))
      .map(({ label }) => label),
  };
}

/** From the crown edge to the lower edge of the skirt; null where not entered. */
export function skirtLengthOf(whole: MockUpWhole): number | null {
  return whole.piston?.kind === 'piston' ? whole.piston.data.skirtLengthMm : null;
}

function mapPort(port: Port, sizes: MockUpSizes, figures: MockUpFigures, skirtMm: number | null): MapPort | null {
  const sized = sizes.ports.find(({ portId }) => portId === port.portId);
  const decidedBy = portKindTable[port.kind].decidedBy;
  if (sized?.window === undefined || sized.edgeDepthMm === undefined || decidedBy === null) return null;
  const { window, edgeDepthMm } = sized;
  // A skirt intake is counted from the skirt; on the bore it lies lower by the skirt's length.
  if (decidedBy === 'floor' && skirtMm === null) return null;
  const topMm = decidedBy === 'roof' ? edgeDepthMm : edgeDepthMm + (skirtMm ?? 0) - window.heightMm;
  const opens = figures.ports.find(({ portId }) => portId === port.portId)?.opensAtdcDeg ?? null;
  return {
    portId: port.portId,
    label: port.label,
    kind: port.kind,
    side: port.side,
    windowCount: port.windowCount,
    window: {
      chordMm: window.widthMm,
      heightMm: window.heightMm,
      radiusTopMm: window.radiusTopMm ?? 0,
      radiusBottomMm: window.radiusBottomMm ?? 0,
      roofDropMm: window.roofDropMm ?? 0,
    },
    topMm,
    decidedBy,
    opensText: opens === null ? '' : shownAngle(opens),
  };
}
