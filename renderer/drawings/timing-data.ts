import type { PortKind } from '../../core/contract/parts.ts';
import { wrapTurn } from '../../core/units.ts';

/** One edge as the diagram shows it. All angles are crank angles, degrees forwards from true TDC, 0 to 360. */
export interface DiagramEdge {
  readonly crankDeg: number;
  /** U = 2 u; null where it isn't known. */
  readonly expandedDeg: number | null;
  /** Mean turning forwards and backwards, where read. */
  readonly forwardsDeg: number | null;
  readonly backwardsDeg: number | null;
}

/** One port, or a group of ports read as one. An edge that wasn't measured is null. */
export interface DiagramPort {
  readonly portId: string;
  readonly label: string;
  readonly kind: PortKind;
  readonly opens: DiagramEdge | null;
  readonly closes: DiagramEdge | null;
  /** What its edges are called, "Transfers open"; label and edge put together where absent. */
  readonly edgeTitles?: { readonly opens: string; readonly closes: string };
}

/** What an edge of a port is called. */
export function edgeTitleOf(port: DiagramPort, edge: 'opens' | 'closes'): string {
  return port.edgeTitles?.[edge] ?? `${port.label} ${edge}`;
}

export interface TimingDiagramData {
  readonly ports: readonly DiagramPort[];
  /** Lead of the exhaust over the first transfer, from core; drawn only where given. */
  readonly blowdown: { readonly fromDeg: number; readonly toDeg: number; readonly valueDeg: number } | null;
}

/** Forwards from the opening to the closing; null while one of them is missing. */
export function openSpanDeg(port: DiagramPort): number | null {
  if (port.opens === null || port.closes === null) return null;
  return wrapTurn(port.closes.crankDeg - port.opens.crankDeg);
}

/** "91.6 ATDC" for the half turn after TDC, "92.1 BTDC" for the one before. */
export function shownAngle(crankDeg: number, decimals = 1): string {
  const angle = wrapTurn(crankDeg);
  // 0.04 BTDC would read "360.0 ATDC" or "-0.0 BTDC" if the half were chosen after rounding.
  return angle <= 180 ? `${angle.toFixed(decimals)} ATDC` : `${(360 - angle).toFixed(decimals)} BTDC`;
}

/** "91.6 deg after TDC": the long form, for a first sight and for read-out. */
export function spokenAngle(crankDeg: number, decimals = 1): string {
  const angle = wrapTurn(crankDeg);
  return angle <= 180
    ? `${angle.toFixed(decimals)} deg after TDC`
    : `${(360 - angle).toFixed(decimals)} deg before TDC`;
}
