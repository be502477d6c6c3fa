import { layOutWindows, type MapPort, type PortMapLayout } from './port-map-layout.ts';
import { type MapFrame, type MapPiston, MapWindow } from './port-map-window.tsx';
import { spreadLabels } from './spread-labels.ts';

/** Sizes in drawing units; the bore's circumference takes the width between the margins. */
const width = 196;
const leftMargin = 24;
const rightMargin = 4;
const topMargin = 12;
const labelLane = 15;

export interface PortMapData {
  readonly boreMm: number;
  readonly travelMm: number;
  /** Crown edge below the top of the barrel at TDC; null where not measured: the map then starts at the crown. */
  readonly deckMm: number | null;
  readonly ports: readonly MapPort[];
}

interface PortMapProps {
  readonly data: PortMapData;
  readonly title: string;
  /** A length as text with its unit. */
  readonly lengthText: (valueMm: number) => string;
  /** Where the piston stands; absent on paper. */
  readonly piston?: MapPiston | undefined;
  readonly isInteractive?: boolean;
  readonly printedWidth?: string;
}

/** Drawing units in a millimetre of the bore. */
export function portMapScale(boreMm: number): number {
  return (width - leftMargin - rightMargin) / (Math.PI * boreMm);
}

/** Width at which the map is as large as the bore itself, in millimetres. */
export function fullSizeWidthMm(boreMm: number): number {
  return width / portMapScale(boreMm);
}

/** The bore unrolled, seen from inside like a rubbing: exhaust in the middle, drive side left, ignition side right. */
export function PortMap({ data, title, lengthText, piston, isInteractive = false, printedWidth }: PortMapProps) {
  const layout = layOutWindows(data.boreMm, data.ports);
  const scale = portMapScale(data.boreMm);
  const deckMm = data.deckMm ?? 0;
  const highestMm = Math.min(-deckMm, 0, ...data.ports.map(({ topMm }) => topMm));
  const lowestMm = Math.max(data.travelMm, ...data.ports.map(({ topMm, window }) => topMm + window.heightMm));
  const frame: MapFrame = {
    x: (arcMm) => leftMargin + (arcMm - layout.fromMm) * scale,
    y: (depthMm) => topMargin + (depthMm - highestMm) * scale,
    scale,
  };
  const bottom = frame.y(lowestMm) + 2;
  const height = bottom + labelLane;
  return (
    <svg
      className="drawing port-map"
      viewBox={`0 0 ${width} ${height.toFixed(1)}`}
      width={printedWidth}
      role={isInteractive ? 'group' : 'img'}
      aria-label={title}
    >
      <defs>
        <pattern id="piston-hatch" width="2.4" height="2.4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line className="line-faint" x1="0" y1="0" x2="0" y2="2.4" />
        </pattern>
      </defs>
      <Heights
        data={data}
        frame={frame}
        highestMm={highestMm}
        lowestMm={lowestMm}
        bottom={bottom}
        lengthText={lengthText}
      />
      {piston === undefined ? null : <Piston piston={piston} frame={frame} bottom={bottom} />}
      {layout.windows.map((window) => (
        <MapWindow
          key={`${window.port.portId} ${window.index}`}
          placed={window}
          frame={frame}
          piston={piston}
          isInteractive={isInteractive}
          lengthText={lengthText}
        />
      ))}
      <Labels layout={layout} frame={frame} y={bottom} />
      <Sides frame={frame} layout={layout} />
    </svg>
  );
}

function fixed(value: number): string {
  return value.toFixed(2);
}

/** Which way round the map is: drive side, exhaust side and ignition side over it. */
function Sides({ frame, layout }: { frame: MapFrame; layout: PortMapLayout }) {
  const quarter = layout.circumferenceMm / 4;
  const places = [
    [-quarter, 'drive side'],
    [0, 'exhaust side'],
    [quarter, 'ignition side'],
  ] as const;
  return places.map(([arcMm, text]) => (
    <text key={text} className="text-strong" x={fixed(frame.x(arcMm))} y={4.6} textAnchor="middle">
      {text}
    </text>
  ));
}

interface HeightsProps {
  readonly data: PortMapData;
  readonly frame: MapFrame;
  readonly highestMm: number;
  readonly lowestMm: number;
  readonly bottom: number;
  readonly lengthText: (valueMm: number) => string;
}

/** Edge of the unrolled wall, top of the barrel, crown at the dead centres, and how deep they lie. */
function Heights({ data, frame, highestMm, bottom, lengthText }: HeightsProps) {
  const left = leftMargin;
  const right = width - rightMargin;
  const lines = [
    ...(data.deckMm === null ? [] : [{ text: 'barrel top', depthMm: -data.deckMm, isAxis: true }]),
    { text: 'crown, TDC', depthMm: 0, isAxis: false },
    { text: 'crown, BDC', depthMm: data.travelMm, isAxis: false },
  ].toSorted((a, b) => a.depthMm - b.depthMm);
  const fromTop = (depthMm: number) => depthMm + (data.deckMm ?? 0);
  const places = spreadLabels(
    lines.map(({ depthMm }) => frame.y(depthMm)),
    7.4,
    5,
    bottom + 4,
  );
  return (
    <g className="map-heights">
      <line className="line-ink" x1={left} x2={left} y1={fixed(frame.y(highestMm))} y2={fixed(bottom)} />
      <line className="line-ink" x1={right} x2={right} y1={fixed(frame.y(highestMm))} y2={fixed(bottom)} />
      {lines.map(({ text, depthMm, isAxis }, index) => {
        const y = frame.y(depthMm);
        const labelY = places[index] ?? y;
        return (
          <g key={text}>
            <line
              className={isAxis ? 'line-axis' : 'line-faint'}
              strokeDasharray={isAxis ? undefined : '2 1.2'}
              x1={left}
              x2={right}
              y1={fixed(y)}
              y2={fixed(y)}
            />
            <path className="line-leader" d={`M${left} ${fixed(y)}L${left - 2} ${fixed(labelY)}`} />
            <text className="text-faint" x={left - 2.6} y={fixed(labelY)} textAnchor="end">
              {text}
            </text>
            <text className="text-small" x={left - 2.6} y={fixed(labelY + 3.1)} textAnchor="end">
              {lengthText(fromTop(depthMm))}
            </text>
          </g>
        );
      })}
    </g>
  );
}

/** The piston over the map, hatched, at the angle that is asked about. */
function Piston({ piston, frame, bottom }: { piston: MapPiston; frame: MapFrame; bottom: number }) {
  const y = frame.y(piston.crownMm);
  const end = piston.skirtMm === null ? bottom : Math.min(bottom, frame.y(piston.skirtMm));
  return (
    <g className="map-piston">
      <rect
        className="piston-wall"
        x={leftMargin}
        y={fixed(y)}
        width={width - leftMargin - rightMargin}
        height={fixed(Math.max(0, end - y))}
      />
      <line className="line-piston" x1={leftMargin} x2={width - rightMargin} y1={fixed(y)} y2={fixed(y)} />
      <text className="text-figure" x={width - rightMargin} y={4.6} textAnchor="end">
        {piston.text}
      </text>
    </g>
  );
}

const labelCharacters = 1.55;
const lineHeight = 3.3;

/** What each window is called, under the map, led to by a thin line. */
function Labels({ layout, frame, y }: { layout: PortMapLayout; frame: MapFrame; y: number }) {
  const ordered = layout.windows.toSorted((a, b) => a.centreMm - b.centreMm);
  return ordered.map(({ port, index, centreMm, developedMm }, position) => {
    const before = ordered[position - 1];
    const after = ordered[position + 1];
    const room = Math.min(
      before === undefined ? 40 : (centreMm - before.centreMm) * frame.scale,
      after === undefined ? 40 : (after.centreMm - centreMm) * frame.scale,
    );
    const lines = wrapped(port.label, Math.max(6, Math.floor(room / labelCharacters) - 1));
    const x = frame.x(centreMm);
    const floor = frame.y(port.topMm + port.window.heightMm);
    return (
      <g key={`${port.portId} ${index}`} className="map-label" data-width={developedMm.toFixed(1)}>
        <line className="line-leader" x1={fixed(x)} x2={fixed(x)} y1={fixed(floor + 0.6)} y2={fixed(y + 1)} />
        {lines.map((line, row) => (
          <text key={line} className="text-small" x={fixed(x)} y={fixed(y + 4 + row * lineHeight)} textAnchor="middle">
            {line}
          </text>
        ))}
      </g>
    );
  });
}

/** A label broken at its words into at most three lines; what is too long for a line is cut there. */
export function wrapped(label: string, characters: number): readonly string[] {
  const lines: string[] = [];
  for (const word of label.split(' ')) {
    const last = lines.at(-1);
    if (last !== undefined && `${last} ${word}`.length <= characters) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines.slice(0, 3).map((line) => (line.length > characters + 3 ? `${line.slice(0, characters)}…` : line));
}
