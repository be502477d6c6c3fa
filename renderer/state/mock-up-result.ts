import type { PortKind } from '../../core/contract/parts.ts';
import type { Edge } from '../../core/contract/readings.ts';
import { blowdownKey, type FigureRow } from '../../core/mockup/timing-figures.ts';
import type { EventRow, TimingResult } from '../../core/mockup/timing-result.ts';
import type { DiagramPort, TimingDiagramData } from '../drawings/timing-data.ts';

export type { EventRow, FigureRow };
/** A mock-up as its desk screens show it. */
export type MockUpResult = TimingResult;

/** The diagram of a mock-up: its measured edges and the lead of the exhaust. */
export function diagramOf(
  result: MockUpResult,
  ports: readonly { portId: string; label: string; kind: PortKind }[],
): TimingDiagramData {
  const edgeOf = (portId: string, edge: Edge) => {
    const row = result.events.find((one) => one.portId === portId && one.edge === edge);
    if (row === undefined || row.crank === null) return null;
    return {
      crankDeg: row.crank.value,
      expandedDeg: 2 * row.crank.sigma,
      forwardsDeg: row.forwardsDeg,
      backwardsDeg: row.backwardsDeg,
    };
  };
  const titleOf = (port: { portId: string; label: string }, edge: Edge) =>
    result.events.find((one) => one.portId === port.portId && one.edge === edge)?.title ?? `${port.label} ${edge}`;
  const drawn: DiagramPort[] = ports
    .filter((port) => port.kind !== 'intake_reed')
    .map((port) => ({
      portId: port.portId,
      label: port.label,
      kind: port.kind,
      opens: edgeOf(port.portId, 'opens'),
      closes: edgeOf(port.portId, 'closes'),
      edgeTitles: { opens: titleOf(port, 'opens'), closes: titleOf(port, 'closes') },
    }));
  const lead = result.figures.find((figure) => figure.key === blowdownKey)?.value ?? null;
  const exhaust = drawn.filter((port) => port.kind === 'exhaust').flatMap((port) => port.opens?.crankDeg ?? []);
  const from = exhaust.length === 0 ? null : Math.min(...exhaust);
  return {
    ports: drawn,
    blowdown: lead === null || from === null ? null : { fromDeg: from, toDeg: from + lead.value, valueDeg: lead.value },
  };
}
