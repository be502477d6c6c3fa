import { scaleLinear } from 'd3-scale';
import type { KeyboardEvent, PointerEvent } from 'react';
import type { OpeningPoint } from '../../core/area/open-area.ts';
import type { PortKind } from '../../core/contract/parts.ts';
import { familyOf } from '../parts/port-words.ts';
import { dashArray, lineStyleOf } from './line-styles.ts';
import { shownAngle } from './timing-data.ts';

const width = 196;
const height = 92;
const leftMargin = 17;
const rightMargin = 5;
const topMargin = 9;
const bottomMargin = 12;

/** The open area of one port over a turn, from TDC to TDC. */
export interface AreaSeries {
  readonly portId: string;
  readonly label: string;
  readonly kind: PortKind;
  readonly points: readonly OpeningPoint[];
}

export interface AreaChartData {
  readonly series: readonly AreaSeries[];
  /** From the first exhaust opening to the first transfer opening; null where there is none. */
  readonly blowdown: { readonly fromDeg: number; readonly toDeg: number } | null;
}

interface AreaChartProps {
  readonly data: AreaChartData;
  readonly title: string;
  /** From mm² to the unit shown, and its name. */
  readonly areaFactor: number;
  readonly areaUnit: string;
  readonly decimalMark?: 'point' | 'comma';
  /** Crank angle asked about, 0 to 360; absent on paper. */
  readonly cursor?: {
    readonly crankDeg: number;
    readonly spoken: string;
    readonly onChange: (crankDeg: number) => void;
  };
  readonly printedWidth?: string;
}

/** Open area of every port against the crank angle. The cursor follows the mouse held down, and the arrow keys. */
export function AreaChart({
  data,
  title,
  areaFactor,
  areaUnit,
  decimalMark = 'point',
  cursor,
  printedWidth,
}: AreaChartProps) {
  const most = Math.max(1, ...data.series.flatMap(({ points }) => points.map(({ areaMm2 }) => areaMm2)));
  const x = scaleLinear([0, 360], [leftMargin, width - rightMargin]);
  const y = scaleLinear([0, most * areaFactor * 1.06], [height - bottomMargin, topMargin]);
  const edges = edgesOf(data);
  return (
    <svg
      className="drawing area-chart"
      viewBox={`0 0 ${width} ${height}`}
      width={printedWidth}
      role={cursor === undefined ? 'img' : 'group'}
      aria-label={title}
    >
      {data.blowdown === null ? null : (
        <g>
          <rect
            className="fill-wash"
            x={fixed(x(data.blowdown.fromDeg))}
            width={fixed(Math.max(0, x(data.blowdown.toDeg) - x(data.blowdown.fromDeg)))}
            y={topMargin}
            height={height - topMargin - bottomMargin}
          />
          <text
            className="text-small"
            x={fixed((x(data.blowdown.fromDeg) + x(data.blowdown.toDeg)) / 2)}
            y={topMargin - 1.4}
            textAnchor="middle"
          >
            blowdown
          </text>
        </g>
      )}
      <Axes x={x} y={y} areaUnit={areaUnit} decimalMark={decimalMark} />
      {data.series.map((series) => (
        <Course key={series.portId} series={series} x={x} y={y} areaFactor={areaFactor} />
      ))}
      {cursor === undefined ? null : <Cursor {...cursor} x={x} edges={edges} />}
    </svg>
  );
}

type Scale = (value: number) => number;

function fixed(value: number): string {
  return value.toFixed(2);
}

interface AxesProps {
  readonly x: Scale;
  readonly y: ReturnType<typeof scaleLinear<number, number>>;
  readonly areaUnit: string;
  readonly decimalMark: 'point' | 'comma';
}

function Axes({ x, y, areaUnit, decimalMark }: AxesProps) {
  const tickText = y.tickFormat(5, 'f');
  const marked = (area: number) => (decimalMark === 'comma' ? tickText(area).replace('.', ',') : tickText(area));
  return (
    <g>
      {Array.from({ length: 13 }, (_, index) => index * 30).map((angleDeg) => (
        <g key={angleDeg}>
          <line
            className={angleDeg % 180 === 0 ? 'line-axis' : 'line-grid'}
            x1={fixed(x(angleDeg))}
            x2={fixed(x(angleDeg))}
            y1={topMargin}
            y2={height - bottomMargin}
          />
          <text
            className={angleDeg % 180 === 0 ? 'text-strong' : 'text-faint'}
            x={fixed(x(angleDeg))}
            y={height - bottomMargin + 4.6}
            textAnchor="middle"
          >
            {angleDeg % 360 === 0 ? 'TDC' : angleDeg === 180 ? 'BDC' : angleDeg < 180 ? angleDeg : 360 - angleDeg}
          </text>
        </g>
      ))}
      <text className="text-faint" x={fixed(x(90))} y={height - 2.6} textAnchor="middle">
        ATDC, downstroke
      </text>
      <text className="text-faint" x={fixed(x(270))} y={height - 2.6} textAnchor="middle">
        BTDC, upstroke
      </text>
      {y.ticks(5).map((area) => (
        <g key={area}>
          <line
            className="line-grid"
            x1={leftMargin}
            x2={width - rightMargin}
            y1={fixed(y(area))}
            y2={fixed(y(area))}
          />
          {area === 0 ? null : (
            <text className="text-faint" x={leftMargin - 1.5} y={fixed(y(area) + 1)} textAnchor="end">
              {marked(area)}
            </text>
          )}
        </g>
      ))}
      <text className="text-faint" x={leftMargin - 1.5} y={topMargin - 3} textAnchor="end">
        {areaUnit}
      </text>
    </g>
  );
}

function Course({ series, x, y, areaFactor }: { series: AreaSeries; x: Scale; y: Scale; areaFactor: number }) {
  const style = lineStyleOf(series.kind);
  const at = ({ crankDeg, areaMm2 }: OpeningPoint) => `${fixed(x(crankDeg))} ${fixed(y(areaMm2 * areaFactor))}`;
  // While a port is shut its line would hide the axis and the other lines on it.
  const path = series.points
    .flatMap((point, index) => {
      const before = series.points[index - 1];
      if (before === undefined || (before.areaMm2 === 0 && point.areaMm2 === 0)) return [];
      const isJoined = index > 1 && !((series.points[index - 2]?.areaMm2 ?? 0) === 0 && before.areaMm2 === 0);
      return [isJoined ? `L${at(point)}` : `M${at(before)}L${at(point)}`];
    })
    .join('');
  return (
    <g>
      <title>{series.label}</title>
      <path
        className={`span span-${familyOf(series.kind)}`}
        d={path}
        strokeWidth={style.isDouble ? '1.7' : '0.9'}
        strokeDasharray={dashArray(style, 1.3)}
        strokeLinejoin="round"
      />
      {style.isDouble ? <path className="span-gap" d={path} strokeWidth="0.6" strokeLinejoin="round" /> : null}
    </g>
  );
}

/** Angles where a port begins or ends to be open, for jumping from one to the next. */
function edgesOf(data: AreaChartData): readonly number[] {
  const found = data.series.flatMap(({ points }) =>
    points
      .filter(
        ({ areaMm2 }, index) =>
          areaMm2 === 0 && ((points[index + 1]?.areaMm2 ?? 0) > 0 || (points[index - 1]?.areaMm2 ?? 0) > 0),
      )
      .map(({ crankDeg }) => crankDeg),
  );
  return [...new Set(found)].toSorted((a, b) => a - b);
}

interface CursorProps {
  readonly crankDeg: number;
  readonly spoken: string;
  readonly onChange: (crankDeg: number) => void;
  readonly x: Scale;
  readonly edges: readonly number[];
}

function Cursor({ crankDeg, spoken, onChange, x, edges }: CursorProps) {
  const place = (event: PointerEvent<SVGGElement>) => {
    const box = event.currentTarget.ownerSVGElement?.getBoundingClientRect();
    if (box === undefined || box.width === 0) return;
    const at = ((event.clientX - box.left) / box.width) * width;
    const angle = ((at - leftMargin) / (width - leftMargin - rightMargin)) * 360;
    onChange(Math.round(Math.min(360, Math.max(0, angle)) * 2) / 2);
  };
  const onKeyDown = (event: KeyboardEvent) => {
    const next = cursorAfter(event.key, crankDeg, event.shiftKey, edges);
    if (next === null) return;
    event.preventDefault();
    onChange(next);
  };
  const line = x(crankDeg);
  const isRight = crankDeg > 300;
  return (
    <g
      className="area-cursor"
      role="slider"
      tabIndex={0}
      aria-label="Crank angle"
      aria-valuemin={0}
      aria-valuemax={360}
      aria-valuenow={Number(crankDeg.toFixed(2))}
      aria-valuetext={spoken}
      onKeyDown={onKeyDown}
      onPointerDown={(event) => {
        event.currentTarget.setPointerCapture(event.pointerId);
        place(event);
      }}
      onPointerMove={(event) => {
        if (event.buttons > 0) place(event);
      }}
    >
      <rect
        className="area-cursor-field"
        x={leftMargin}
        y={topMargin}
        width={width - leftMargin - rightMargin}
        height={height - topMargin - bottomMargin}
      />
      <line
        className="line-cursor"
        x1={fixed(line)}
        x2={fixed(line)}
        y1={topMargin - 2}
        y2={height - bottomMargin + 1}
      />
      <text
        className="text-figure area-cursor-text"
        x={fixed(line + (isRight ? -1.5 : 1.5))}
        y={topMargin + 3}
        textAnchor={isRight ? 'end' : 'start'}
      >
        {shownAngle(crankDeg)}
      </text>
    </g>
  );
}

/**
 * Where a key takes the cursor.
 * @param isFar true with the shift key: ten times as far
 * @returns null where the key means nothing here
 */
export function cursorAfter(key: string, crankDeg: number, isFar: boolean, edges: readonly number[]): number | null {
  const within = (angle: number) => Math.min(360, Math.max(0, angle));
  const step = isFar ? 10 : 1;
  switch (key) {
    case 'ArrowRight':
    case 'ArrowUp':
      return within(crankDeg + step);
    case 'ArrowLeft':
    case 'ArrowDown':
      return within(crankDeg - step);
    case 'PageUp':
      return edges.find((edge) => edge > crankDeg + 1e-6) ?? 360;
    case 'PageDown':
      return edges.findLast((edge) => edge < crankDeg - 1e-6) ?? 0;
    case 'Home':
      return 0;
    case 'End':
      return 360;
    default:
      return null;
  }
}
