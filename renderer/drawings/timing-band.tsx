import { scaleLinear } from 'd3-scale';
import { familyOf } from '../parts/port-words.ts';
import { dashArray, lineStyleOf } from './line-styles.ts';
import { type DiagramPort, openSpanDeg, shownAngle, spokenAngle } from './timing-data.ts';

const width = 184;
const labelWidth = 34;
const rightMargin = 8;
const headHeight = 12;
const rowHeight = 9;

/** One row: a port of one mock-up. Rows of the same group stand close together, for comparing. */
export interface BandRow {
  readonly key: string;
  /** Left of the row; the port's label, or the mock-up's short name inside a group. */
  readonly title: string;
  readonly port: DiagramPort;
  /** True for the first row of a group. */
  readonly isNewGroup: boolean;
}

interface TimingBandProps {
  readonly rows: readonly BandRow[];
  readonly title: string;
  readonly isInteractive?: boolean;
  readonly printedWidth?: string;
}

/** The same as the dial, unrolled: one turn from TDC over BDC to TDC, left to right as the crank turns forwards. */
export function TimingBand({ rows, title, isInteractive = false, printedWidth }: TimingBandProps) {
  const x = scaleLinear([0, 360], [labelWidth, width - rightMargin]);
  const tops = topsOf(rows);
  const height = headHeight + tops.total + 4;
  return (
    <svg
      className="drawing timing-band"
      viewBox={`0 0 ${width} ${height.toFixed(1)}`}
      width={printedWidth}
      role={isInteractive ? 'group' : 'img'}
      aria-label={title}
    >
      <g className="band-scale">
        {Array.from({ length: 37 }, (_, index) => index * 10).map((angleDeg) => (
          <line
            key={angleDeg}
            className={angleDeg % 180 === 0 ? 'line-axis' : angleDeg % 30 === 0 ? 'line-faint' : 'line-grid'}
            x1={fixed(x(angleDeg))}
            x2={fixed(x(angleDeg))}
            y1={headHeight - (angleDeg % 30 === 0 ? 2 : 1)}
            y2={height - 2}
          />
        ))}
        {Array.from({ length: 13 }, (_, index) => index * 30).map((angleDeg) => (
          <text
            key={angleDeg}
            className={angleDeg % 180 === 0 ? 'text-strong' : 'text-faint'}
            x={fixed(x(angleDeg))}
            y={headHeight - 4}
            textAnchor="middle"
          >
            {angleDeg % 360 === 0 ? 'TDC' : angleDeg === 180 ? 'BDC' : angleDeg < 180 ? angleDeg : 360 - angleDeg}
          </text>
        ))}
        <text className="text-faint" x={fixed(x(90))} y={3.4} textAnchor="middle">
          ATDC, downstroke
        </text>
        <text className="text-faint" x={fixed(x(270))} y={3.4} textAnchor="middle">
          BTDC, upstroke
        </text>
      </g>
      {rows.map((row, index) => (
        <Row key={row.key} row={row} y={headHeight + (tops.tops[index] ?? 0)} x={x} isInteractive={isInteractive} />
      ))}
    </svg>
  );
}

function topsOf(rows: readonly BandRow[]): { tops: readonly number[]; total: number } {
  const tops: number[] = [];
  let total = 0;
  for (const [index, row] of rows.entries()) {
    if (row.isNewGroup && index > 0) total += 3;
    tops.push(total);
    total += rowHeight;
  }
  return { tops, total };
}

function fixed(value: number): string {
  return value.toFixed(2);
}

interface RowProps {
  readonly row: BandRow;
  readonly y: number;
  readonly x: (angleDeg: number) => number;
  readonly isInteractive: boolean;
}

function Row({ row, y, x, isInteractive }: RowProps) {
  const { port } = row;
  const family = familyOf(port.kind);
  const style = lineStyleOf(port.kind);
  const middle = y + rowHeight * 0.62;
  const thickness = 2.4;
  const spanDeg = openSpanDeg(port);
  return (
    <g className="band-row">
      <text className="text-row" x={labelWidth - 3} y={fixed(middle + 1.1)} textAnchor="end">
        {row.title}
      </text>
      <line className="line-lane" x1={fixed(x(0))} x2={fixed(x(360))} y1={fixed(middle)} y2={fixed(middle)} />
      {spanDeg === null || port.opens === null
        ? null
        : piecesOf(port.opens.crankDeg, spanDeg).map(([from, to]) => (
            <g key={from}>
              <line
                className={`span span-${family}`}
                x1={fixed(x(from))}
                x2={fixed(x(to))}
                y1={fixed(middle)}
                y2={fixed(middle)}
                strokeWidth={thickness}
                strokeDasharray={dashArray(style, thickness)}
              />
              {style.isDouble ? (
                <line
                  className="span-gap"
                  x1={fixed(x(from))}
                  x2={fixed(x(to))}
                  y1={fixed(middle)}
                  y2={fixed(middle)}
                  strokeWidth={fixed(thickness * 0.36)}
                />
              ) : null}
            </g>
          ))}
      {(['opens', 'closes'] as const).map((name) => {
        const edge = port[name];
        if (edge === null) return null;
        const place = x(edge.crankDeg);
        const spoken = `${row.title}, ${port.label} ${name}, ${spokenAngle(edge.crankDeg)}${
          edge.expandedDeg === null ? '' : `, plus or minus ${edge.expandedDeg.toFixed(2)} deg`
        }`;
        // Figures stand outside the span, so that the duration has the room inside.
        const isOutsideLeft = (name === 'opens') === edge.crankDeg < 300;
        return (
          <g
            key={name}
            className={`edge edge-${family}`}
            tabIndex={isInteractive ? 0 : undefined}
            role={isInteractive ? 'img' : undefined}
            aria-label={isInteractive ? spoken : undefined}
          >
            <title>{spoken}</title>
            {edge.expandedDeg === null ? null : (
              <line
                className="edge-uncertainty"
                x1={fixed(x(edge.crankDeg - edge.expandedDeg))}
                x2={fixed(x(edge.crankDeg + edge.expandedDeg))}
                y1={fixed(middle)}
                y2={fixed(middle)}
                strokeWidth={4.6}
              />
            )}
            <line
              className="edge-line"
              x1={fixed(place)}
              x2={fixed(place)}
              y1={fixed(middle - 2.6)}
              y2={fixed(middle + 2.6)}
            />
            <text
              className="text-figure text-over-line"
              x={fixed(place + (isOutsideLeft ? -1.4 : 1.4))}
              y={fixed(middle - 1.8)}
              textAnchor={isOutsideLeft ? 'end' : 'start'}
            >
              {shownAngle(edge.crankDeg)}
            </text>
          </g>
        );
      })}
      {spanDeg === null || port.opens === null ? null : (
        <text
          className="text-figure text-over-line"
          x={fixed(x(family === 'intake' ? 6 : 180))}
          y={fixed(middle - 2)}
          textAnchor={family === 'intake' ? 'start' : 'middle'}
        >
          {spanDeg.toFixed(1)}°
        </text>
      )}
    </g>
  );
}

/** A span that runs over TDC is drawn in two pieces. */
function piecesOf(fromDeg: number, spanDeg: number): readonly (readonly [number, number])[] {
  const end = fromDeg + spanDeg;
  return end <= 360
    ? [[fromDeg, end]]
    : [
        [fromDeg, 360],
        [0, end - 360],
      ];
}
