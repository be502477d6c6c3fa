import type { Port } from '../../../core/contract/parts.ts';
import type { EdgeDepth } from '../../../core/mockup/edge-depths.ts';
import { type FigureKind, portFigureKey } from '../../../core/planner/figure-list.ts';
import type { MockUpSizes } from '../../../core/planner/mock-up-figures.ts';
import { portKindTable } from '../../../core/ports/kinds.ts';
import { chordToArc } from '../../../core/ports/widths.ts';
import { LineSample } from '../../drawings/line-sample.tsx';
import { figureTitle, shownLengthU } from '../../parts/figure-words.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import type { FoundFigure } from '../../state/found-figures.ts';
import { AskedFigure, Open } from './asked-figure.tsx';

interface TableProps {
  readonly ports: readonly Port[];
  readonly sizes: MockUpSizes;
  readonly found: ReadonlyMap<string, FoundFigure>;
  readonly edgeDepths: readonly EdgeDepth[];
  readonly shown: ShownSizes;
  readonly onOrigin: (figure: FoundFigure) => void;
}

const routeTitles: Readonly<Record<EdgeDepth['by'], string>> = {
  duration: 'from its duration',
  opening: 'from its opening',
  closing: 'from its closing',
  height: 'from its height and the deck',
};

/** Sizes of the windows as they are cut, and how high they sit. */
export function WindowTable({ ports, sizes, found, edgeDepths, shown, onOrigin }: TableProps) {
  const { lengthUnit } = shown;
  return (
    <section className="panel table-scroll" aria-label="Windows">
      <h2>Windows</h2>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Port</th>
            <th scope="col" className="figure">
              Windows
            </th>
            <th scope="col" className="figure">
              Chord, {lengthUnit}
            </th>
            <th scope="col" className="figure">
              Developed, {lengthUnit}
            </th>
            <th scope="col" className="figure">
              Height, {lengthUnit}
            </th>
            <th scope="col" className="figure">
              Edge below crown at TDC, {lengthUnit}
            </th>
            <th scope="col">Found</th>
            <th scope="col" className="figure">
              Area of all, {shown.areaUnit}
            </th>
          </tr>
        </thead>
        <tbody>
          {ports
            .filter(({ kind }) => portKindTable[kind].hasAreaLaw)
            .map((port) => {
              const depth = edgeDepths.find(({ portId }) => portId === port.portId);
              return (
                <tr key={port.portId}>
                  <th scope="row">
                    <LineSample kind={port.kind} />
                    {port.label}
                  </th>
                  <td className="figure">{port.windowCount}</td>
                  <td className="figure">{port.widthMm === null ? <Open /> : shown.bareLength(port.widthMm)}</td>
                  <td className="figure">
                    {port.widthMm === null || port.widthMm > sizes.boreMm ? (
                      <Open />
                    ) : (
                      shown.bareLength(chordToArc(sizes.boreMm, port.widthMm).arcMm)
                    )}
                  </td>
                  <td className="figure">{port.heightMm === null ? <Open /> : shown.bareLength(port.heightMm)}</td>
                  <td className="figure">
                    {depth === undefined ? (
                      <Open />
                    ) : (
                      <>
                        {shown.bareLength(depth.depthMm.value)}{' '}
                        <span className="muted">± {shownLengthU(depth.depthMm.sigma, shown)}</span>
                      </>
                    )}
                  </td>
                  <td className="muted">{depth === undefined ? '' : routeTitles[depth.by]}</td>
                  <td className="figure">
                    <FigureCell found={found} kind="full_area" port={port} shown={shown} onOrigin={onOrigin} isBare />
                  </td>
                </tr>
              );
            })}
        </tbody>
      </table>
    </section>
  );
}

const areaColumns: readonly FigureKind[] = ['angle_area', 'time_area', 'specific_time_area'];

/** Events and areas over the angle and over time, at the speed above. */
export function AreaTable({
  ports,
  found,
  shown,
  onOrigin,
  speedRpm,
}: Omit<TableProps, 'sizes' | 'edgeDepths'> & { speedRpm: number | null }) {
  const at = speedRpm === null ? '' : ` at ${shown.number(speedRpm, 0)} rev/min`;
  return (
    <section className="panel table-scroll" aria-label="Areas over the angle and over time">
      <h2>Areas over the angle and over time{at}</h2>
      <table className="table">
        <thead>
          <tr>
            <th scope="col">Port</th>
            <th scope="col" className="figure">
              Opens
            </th>
            <th scope="col" className="figure">
              Duration, deg
            </th>
            <th scope="col" className="figure">
              Angle-area, deg·mm²
            </th>
            <th scope="col" className="figure">
              Time-area, s·mm²
            </th>
            <th scope="col" className="figure">
              Specific time-area, s·mm²/cm³
            </th>
          </tr>
        </thead>
        <tbody>
          {ports
            .filter(({ kind }) => portKindTable[kind].edges.length > 0)
            .map((port) => (
              <tr key={port.portId}>
                <th scope="row">
                  <LineSample kind={port.kind} />
                  {port.label}
                </th>
                {(['opens', 'duration', ...areaColumns] as const).map((kind) => (
                  <td key={kind} className="figure">
                    <FigureCell
                      found={found}
                      kind={kind}
                      port={port}
                      shown={shown}
                      onOrigin={onOrigin}
                      isBare={kind !== 'opens'}
                    />
                  </td>
                ))}
              </tr>
            ))}
        </tbody>
      </table>
      <p className="small muted">
        Time-areas are quoted in s·mm² and s·mm²/cm³ whatever the unit of lengths, as the trade has them. Effective
        areas count no flow coefficient.
      </p>
    </section>
  );
}

const blowdownKinds = ['blowdown', 'blowdown_time', 'blowdown_time_area', 'blowdown_specific_time_area'] as const;

/** What the exhaust lets out before the first transfer opens. */
export function BlowdownTable({
  ports,
  found,
  shown,
  onOrigin,
}: Pick<TableProps, 'ports' | 'found' | 'shown' | 'onOrigin'>) {
  return (
    <section className="panel" aria-label="Blowdown">
      <h2>Blowdown</h2>
      <table className="table">
        <tbody>
          {blowdownKinds.map((kind) => {
            const figure = found.get(kind);
            return (
              <tr key={kind}>
                <th scope="row">{blowdownTitles[kind]}</th>
                <td className="figure">
                  {figure === undefined ? (
                    <Open />
                  ) : (
                    <AskedFigure
                      figure={figure}
                      title={figureTitle(figure.item, ports)}
                      shown={shown}
                      onOrigin={onOrigin}
                    />
                  )}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <p className="small muted">All exhaust windows, each from its own opening to that of the earliest transfer.</p>
    </section>
  );
}

const blowdownTitles = {
  blowdown: 'Angle',
  blowdown_time: 'Time',
  blowdown_time_area: 'Time-area',
  blowdown_specific_time_area: 'Specific time-area',
} as const;

function FigureCell({
  found,
  kind,
  port,
  shown,
  onOrigin,
  isBare,
}: Pick<TableProps, 'found' | 'shown' | 'onOrigin'> & { kind: FigureKind; port: Port; isBare: boolean }) {
  const figure = found.get(portFigureKey(kind, port.portId));
  if (figure === undefined) return <Open />;
  return (
    <AskedFigure
      figure={figure}
      title={figureTitle(figure.item, [port])}
      shown={shown}
      onOrigin={onOrigin}
      isBare={isBare}
    />
  );
}
