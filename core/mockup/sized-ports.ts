/** Ports of a mock-up with the depths, angles and windows that are known of them. */
import { areaLawFromFloor, areaLawFromRoof, type WindowShape } from '../area/window.ts';
import type { MockUpWhole } from '../contract/messages.ts';
import type { Port } from '../contract/parts.ts';
import type { Crank } from '../crank/geometry.ts';
import { InputError } from '../errors.ts';
import type { MockUpPort } from '../planner/mock-up-figures.ts';
import { discIntakeEvents, quotedEvent } from '../ports/events.ts';
import { portKindTable } from '../ports/kinds.ts';
import { type EdgeDepth, edgeDepthOf } from './edge-depths.ts';
import type { MeasuredSizes, MissingSize } from './measured-sizes.ts';
import type { TimingResult } from './timing-result.ts';

export interface SizedPorts {
  readonly ports: readonly MockUpPort[];
  readonly edgeDepths: readonly EdgeDepth[];
}

/** @param missing gets a sentence for each port, or window, that can't be told */
export function sizedPorts(
  ports: readonly Port[],
  whole: MockUpWhole,
  timing: TimingResult,
  measured: MeasuredSizes,
  crank: Crank,
  missing: MissingSize[],
): SizedPorts {
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
