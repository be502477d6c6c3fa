import type { Port } from '../../../core/contract/parts.ts';
import type { EdgeDepth } from '../../../core/mockup/edge-depths.ts';
import { type FigureKind, portFigureKey } from '../../../core/planner/figure-list.ts';
import type { MockUpSizes } from '../../../core/planner/mock-up-figures.ts';
import { portKindTable } from '../../../core/ports/kinds.ts';
import { chordToArc } from '../../../core/ports/widths.ts';
import { LineSample } from '../../drawings/line-sample.tsx';
import { figureTitle, shownExpanded, shownFigure, shownLengthU } from '../../parts/figure-words.ts';
import type { ShownSizes } from '../../parts/shown-size.ts';
import type { FoundFigure } from '../../state/found-figures.ts';

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
  const at = speedRpm === null ? '' : ` at ${shown.number(speedRpm, 0)} rpm`;
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
                    <Figure figure={figure} title={figureTitle(figure.item, ports)} shown={shown} onOrigin={onOrigin} />
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
    <Figure
      figure={figure}
      title={figureTitle(figure.item, [port])}
      shown={shown}
      onOrigin={onOrigin}
      isBare={isBare}
    />
  );
}

interface FigureProps {
  readonly figure: FoundFigure;
  readonly title: string;
  readonly shown: ShownSizes;
  readonly onOrigin: (figure: FoundFigure) => void;
  /** The column names the unit. */
  readonly isBare?: boolean;
}

/** A number that can be asked where it comes from, and its U. */
export function Figure({ figure, title, shown, onOrigin, isBare = false }: FigureProps) {
  const { item, value } = figure;
  const text = shownFigure(item, value.value, shown);
  return (
    <>
      <button
        type="button"
        className="number-button"
        aria-label={`${title} ${text}: where does it come from`}
        onClick={() => onOrigin(figure)}
      >
        {isBare ? text.split(' ')[0] : text}
      </button>{' '}
      {value.sigma === 0 ? null : <span className="muted">± {shownExpanded(item, value.sigma, shown)}</span>}
    </>
  );
}

function Open() {
  return <span className="muted">open</span>;
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
export function SideTable({ ports, found, shown }: Pick<TableProps, 'ports' | 'found' | 'shown'>) {
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
