import { arc } from 'd3-shape';
import { familyOf } from '../parts/port-words.ts';
import { dashArray, lineStyleOf } from './line-styles.ts';
import { spreadLabels } from './spread-labels.ts';
import {
  type DiagramPort,
  edgeTitleOf,
  openSpanDeg,
  shownAngle,
  spokenAngle,
  type TimingDiagramData,
} from './timing-data.ts';

/** Sizes in drawing units; on paper one unit is one millimetre. */
const width = 196;
const height = 116;
const centreX = width / 2;
const centreY = height / 2;
const rimRadius = 48;
const laneTop = 43;
const laneDeepest = 17;
const labelGap = 8.4;
const laneTextSize = 2.9;

interface TimingDialProps {
  readonly data: TimingDiagramData;
  readonly title: string;
  /** On screen every mark can be reached by keyboard; paper has no keyboard. */
  readonly isInteractive?: boolean;
  /** Width as printed, for instance `170mm`; fills its box where absent. */
  readonly printedWidth?: string;
}

/** Timing diagram as a dial: TDC on top, the crank turning clockwise, one lane a port, its open span drawn. */
export function TimingDial({ data, title, isInteractive = false, printedWidth }: TimingDialProps) {
  const lanes = lanesOf(data.ports);
  const edges = lanes.flatMap(({ port, radius, pitch }) =>
    edgesOf(port).map((edge) => ({ ...edge, port, radius, pitch })),
  );
  return (
    <svg
      className="drawing timing-dial"
      viewBox={`0 0 ${width} ${height}`}
      width={printedWidth}
      role={isInteractive ? 'group' : 'img'}
      aria-label={title}
    >
      {data.blowdown === null ? null : <Blowdown {...data.blowdown} lanes={lanes.length} />}
      {lanes.map((lane) => (
        <Lane key={lane.port.portId} {...lane} />
      ))}
      <Labels edges={edges} isInteractive={isInteractive} />
      <Scale />
    </svg>
  );
}

interface LaneData {
  readonly port: DiagramPort;
  readonly radius: number;
  readonly pitch: number;
}

function lanesOf(ports: readonly DiagramPort[]): readonly LaneData[] {
  const pitch = Math.min(7, (laneTop - laneDeepest) / Math.max(1, ports.length));
  return ports.map((port, index) => ({ port, radius: laneTop - pitch * (index + 0.5), pitch }));
}

function at(angleDeg: number, radius: number): { x: number; y: number } {
  const angle = (angleDeg * Math.PI) / 180;
  return { x: centreX + radius * Math.sin(angle), y: centreY - radius * Math.cos(angle) };
}

function fixed(value: number): string {
  return value.toFixed(2);
}

function line(angleDeg: number, from: number, to: number) {
  const start = at(angleDeg, from);
  const end = at(angleDeg, to);
  return { x1: fixed(start.x), y1: fixed(start.y), x2: fixed(end.x), y2: fixed(end.y) };
}

/** A stroke along a lane from one angle forwards to another. */
function stroke(fromDeg: number, spanDeg: number, radius: number): string {
  const start = at(fromDeg, radius);
  const end = at(fromDeg + spanDeg, radius);
  const isLong = spanDeg > 180 ? 1 : 0;
  return `M${fixed(start.x)} ${fixed(start.y)}A${fixed(radius)} ${fixed(radius)} 0 ${isLong} 1 ${fixed(end.x)} ${fixed(end.y)}`;
}

/** Rim with a tick every 5 degrees, figures every 30, counted from TDC on both sides as builders quote them. */
function Scale() {
  const ticks = Array.from({ length: 72 }, (_, index) => index * 5);
  return (
    <g className="dial-scale">
      <circle className="line-faint" cx={centreX} cy={centreY} r={rimRadius} />
      {ticks.map((angleDeg) => (
        <line
          key={angleDeg}
          className="line-faint"
          {...line(angleDeg, rimRadius - (angleDeg % 30 === 0 ? 3 : angleDeg % 10 === 0 ? 2 : 1), rimRadius)}
        />
      ))}
      {ticks
        .filter((angleDeg) => angleDeg % 30 === 0 && angleDeg % 180 !== 0)
        .map((angleDeg) => {
          const place = at(angleDeg, rimRadius + 3.2);
          return (
            <text key={angleDeg} className="text-faint" x={fixed(place.x)} y={fixed(place.y + 1)} textAnchor="middle">
              {angleDeg <= 180 ? angleDeg : 360 - angleDeg}
            </text>
          );
        })}
      <line className="line-axis" {...line(0, laneTop - 1, rimRadius + 1)} />
      <line className="line-axis" {...line(180, laneTop + 2, rimRadius + 1)} />
      <text className="text-strong" x={centreX} y={centreY - rimRadius - 2.6} textAnchor="middle">
        TDC
      </text>
      <text className="text-strong" x={centreX} y={centreY + rimRadius + 5.2} textAnchor="middle">
        BDC
      </text>
      <text className="text-faint" x={fixed(centreX + 9.5)} y={fixed(centreY - rimRadius - 2.6)}>
        ATDC
      </text>
      <text className="text-faint" x={fixed(centreX - 9.5)} y={fixed(centreY - rimRadius - 2.6)} textAnchor="end">
        BTDC
      </text>
      <path className="line-ink" d={stroke(-50, 100, 11)} />
      <path className="fill-ink" d={arrowHead(50, 11)} />
      <text className="text-faint" x={centreX} y={centreY - 5} textAnchor="middle">
        forwards
      </text>
    </g>
  );
}

/** A small triangle on a circle, pointing clockwise. */
function arrowHead(angleDeg: number, radius: number): string {
  const tip = at(angleDeg + 12, radius);
  const outer = at(angleDeg - 2, radius + 1.5);
  const inner = at(angleDeg - 2, radius - 1.5);
  return `M${fixed(tip.x)} ${fixed(tip.y)}L${fixed(outer.x)} ${fixed(outer.y)}L${fixed(inner.x)} ${fixed(inner.y)}Z`;
}

/** The sector in which the exhaust is open and no transfer is yet. */
function Blowdown({
  fromDeg,
  toDeg,
  valueDeg,
  lanes,
}: {
  fromDeg: number;
  toDeg: number;
  valueDeg: number;
  lanes: number;
}) {
  const inner = laneTop - Math.min(7, (laneTop - laneDeepest) / Math.max(1, lanes)) * lanes - 1;
  const radians = (angle: number) => (angle * Math.PI) / 180;
  const path = arc()({
    innerRadius: inner,
    outerRadius: laneTop + 1,
    startAngle: radians(fromDeg),
    endAngle: radians(toDeg),
  });
  const middle = at((fromDeg + toDeg) / 2, inner - 8.5);
  return (
    <g className="blowdown">
      <path className="fill-wash" transform={`translate(${centreX} ${centreY})`} d={path ?? ''} />
      <text className="text-small" x={fixed(middle.x)} y={fixed(middle.y)} textAnchor="middle">
        blowdown
      </text>
      <text className="text-small text-figure" x={fixed(middle.x)} y={fixed(middle.y + 3.6)} textAnchor="middle">
        {valueDeg.toFixed(1)}°
      </text>
    </g>
  );
}

/** The circle of one port with its open span; its duration stands on the lane, opposite the ends. */
function Lane({ port, radius, pitch }: LaneData) {
  const style = lineStyleOf(port.kind);
  const family = familyOf(port.kind);
  const spanDeg = openSpanDeg(port);
  const thickness = Math.min(3, pitch * 0.5);
  const isAboutTop = family === 'intake';
  const label = at(isAboutTop ? 0 : 180, radius);
  const text = spanDeg === null ? `${port.label}: open span not measured` : `${port.label} ${spanDeg.toFixed(1)}°`;
  const boxWidth = text.length * laneTextSize * 0.54 + 2;
  return (
    <g className="lane">
      <circle className="line-lane" cx={centreX} cy={centreY} r={fixed(radius)} />
      {spanDeg === null || port.opens === null ? null : (
        <>
          <path
            className={`span span-${family}`}
            d={stroke(port.opens.crankDeg, spanDeg, radius)}
            strokeWidth={fixed(thickness)}
            strokeDasharray={dashArray(style, thickness)}
          />
          {style.isDouble ? (
            <path
              className="span-gap"
              d={stroke(port.opens.crankDeg, spanDeg, radius)}
              strokeWidth={fixed(thickness * 0.36)}
            />
          ) : null}
        </>
      )}
      {edgesOf(port).map((edge) => (
        <EdgeMark key={edge.name} edge={edge} radius={radius} pitch={pitch} family={family} />
      ))}
      <rect
        className="fill-surface"
        x={fixed(label.x - boxWidth / 2)}
        y={fixed(label.y - laneTextSize * 0.62)}
        width={fixed(boxWidth)}
        height={fixed(laneTextSize * 1.24)}
      />
      <text className="text-lane" x={fixed(label.x)} y={fixed(label.y + laneTextSize * 0.36)} textAnchor="middle">
        {text}
      </text>
    </g>
  );
}

interface NamedEdge {
  readonly name: 'opens' | 'closes';
  readonly crankDeg: number;
  readonly expandedDeg: number | null;
  readonly forwardsDeg: number | null;
  readonly backwardsDeg: number | null;
}

function edgesOf(port: DiagramPort): readonly NamedEdge[] {
  return (['opens', 'closes'] as const).flatMap((name) => {
    const edge = port[name];
    return edge === null ? [] : [{ name, ...edge }];
  });
}

/** The edge as a stroke across its lane, its uncertainty as a wedge, the two directions as outer and inner ticks. */
function EdgeMark({ edge, radius, pitch, family }: { edge: NamedEdge; radius: number; pitch: number; family: string }) {
  const half = pitch * 0.42;
  return (
    <g className={`edge edge-${family}`}>
      {edge.expandedDeg === null ? null : (
        <path
          className="edge-uncertainty"
          d={stroke(edge.crankDeg - edge.expandedDeg, 2 * edge.expandedDeg, radius)}
          strokeWidth={fixed(pitch * 0.8)}
        />
      )}
      <line className="edge-line" {...line(edge.crankDeg, radius - half, radius + half)} />
      {edge.forwardsDeg === null ? null : (
        <line className="edge-direction" {...line(edge.forwardsDeg, radius + half * 0.5, radius + half * 1.15)} />
      )}
      {edge.backwardsDeg === null ? null : (
        <line className="edge-direction" {...line(edge.backwardsDeg, radius - half * 1.15, radius - half * 0.5)} />
      )}
    </g>
  );
}

interface PlacedEdge extends NamedEdge {
  readonly port: DiagramPort;
  readonly radius: number;
  readonly pitch: number;
}

/** What each edge reads, in two columns beside the dial, led to by a thin line. */
function Labels({ edges, isInteractive }: { edges: readonly PlacedEdge[]; isInteractive: boolean }) {
  return (['after', 'before'] as const).map((side) => {
    const own = edges
      .filter((edge) => edge.crankDeg % 360 < 180 === (side === 'after'))
      .map((edge) => ({
        edge,
        from: at(edge.crankDeg, edge.radius + edge.pitch * 0.5),
        // Leaders leave the rim in the order of their angles, so that none crosses another.
        rim: at(edge.crankDeg, rimRadius + 1.5),
      }))
      .sort((a, b) => a.rim.y - b.rim.y);
    const places = spreadLabels(
      own.map(({ rim }) => rim.y),
      labelGap,
      8,
      height - 6,
    );
    const direction = side === 'after' ? 1 : -1;
    const textX = centreX + direction * (rimRadius + 11);
    return (
      <g key={side}>
        {own.map(({ edge, from, rim }, index) => {
          const y = places[index] ?? rim.y;
          const spoken = `${edgeTitleOf(edge.port, edge.name)}, ${spokenAngle(edge.crankDeg)}${
            edge.expandedDeg === null ? '' : `, plus or minus ${edge.expandedDeg.toFixed(2)} deg`
          }`;
          return (
            <g
              key={`${edge.port.portId} ${edge.name}`}
              className="dial-label"
              tabIndex={isInteractive ? 0 : undefined}
              role={isInteractive ? 'img' : undefined}
              aria-label={isInteractive ? spoken : undefined}
            >
              <title>{spoken}</title>
              <path
                className="line-leader"
                d={`M${fixed(from.x)} ${fixed(from.y)}L${fixed(rim.x)} ${fixed(rim.y)}L${fixed(textX - direction * 3)} ${fixed(y)}H${fixed(textX - direction)}`}
              />
              <text
                className="text-small"
                x={fixed(textX)}
                y={fixed(y - 0.7)}
                textAnchor={side === 'after' ? 'start' : 'end'}
              >
                {edgeTitleOf(edge.port, edge.name)}
              </text>
              <text
                className="text-figure"
                x={fixed(textX)}
                y={fixed(y + 3)}
                textAnchor={side === 'after' ? 'start' : 'end'}
              >
                {shownAngle(edge.crankDeg)}
                {edge.expandedDeg === null ? '' : ` ± ${edge.expandedDeg.toFixed(2)}`}
              </text>
            </g>
          );
        })}
      </g>
    );
  });
}
