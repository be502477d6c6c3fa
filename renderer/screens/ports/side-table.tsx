import type { Port } from '../../../core/contract/parts.ts';
import { type FigureKind, portFigureKey } from '../../../core/planner/figure-list.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import type { FoundFigure } from '../../state/found-figures.ts';
import { Open } from './asked-figure.tsx';

interface SideTableProps {
  readonly ports: readonly Port[];
  readonly found: ReadonlyMap<string, FoundFigure>;
  readonly shown: ShownSizes;
}

interface Pair {
  readonly drive: Port;
  readonly ignition: Port;
}

function pairsOf(ports: readonly Port[]): readonly Pair[] {
  return ports
    .filter(({ side }) => side === 'drive_side')
    .flatMap((drive) => {
      const ignition = ports.find(({ side, kind }) => side === 'ignition_side' && kind === drive.kind);
      return ignition === undefined ? [] : [{ drive, ignition }];
    });
}

/** Drive side against ignition side: what differs, and by how much. */
export function SideTable({ ports, found, shown }: SideTableProps) {
  const pairs = pairsOf(ports);
  if (pairs.length === 0) return null;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: without a control inside, only so can the keyboard scroll it
    <section className="panel table-scroll" aria-label="Drive side against ignition side" tabIndex={0}>
      <h2>Drive side against ignition side</h2>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Ports</th>
            <th scope="col" className="figure">
              Chord, {shown.lengthUnit}
            </th>
            <th scope="col" className="figure">
              Height, {shown.lengthUnit}
            </th>
            <th scope="col" className="figure">
              Opening, deg
            </th>
            <th scope="col" className="figure">
              Area, {shown.areaUnit}
            </th>
            <th scope="col" className="figure">
              Time-area, s·mm²
            </th>
          </tr>
        </thead>
        <tbody>
          {pairs.map(({ drive, ignition }) => {
            const length = (field: 'widthMm' | 'heightMm') =>
              difference(drive[field], ignition[field], (by) =>
                shown.signed(by * shown.perMm, shown.lengthUnit === 'in' ? 4 : 2),
              );
            const figure = (kind: FigureKind, text: (by: number) => string) =>
              difference(
                found.get(portFigureKey(kind, drive.portId))?.value.value ?? null,
                found.get(portFigureKey(kind, ignition.portId))?.value.value ?? null,
                text,
              );
            return (
              <tr key={drive.portId}>
                <th scope="row">
                  {drive.label} less {ignition.label}
                </th>
                <td className="figure">{length('widthMm')}</td>
                <td className="figure">{length('heightMm')}</td>
                <td className="figure">{figure('opens', (by) => shown.signed(by, 2))}</td>
                <td className="figure">
                  {figure('full_area', (by) => shown.signed(by * shown.perMm ** 2, shown.lengthUnit === 'in' ? 3 : 1))}
                </td>
                <td className="figure">{figure('time_area', (by) => shown.signed(by, 3))}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p className="small muted">
        A positive opening: the drive side opens later. Trade practice looks for no more than 0.2 mm or half a degree
        between the sides; that is a habit, not a limit.
      </p>
    </section>
  );
}

function difference(first: number | null, second: number | null, text: (by: number) => string) {
  return first === null || second === null ? <Open /> : text(first - second);
}
