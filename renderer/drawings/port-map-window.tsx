import { familyOf } from '../parts/port-words.ts';
import { dashArray, lineStyleOf } from './line-styles.ts';
import type { MapPort, PlacedWindow } from './port-map-layout.ts';

/** Scales of the map. */
export interface MapFrame {
  /** From the arc along the bore and the depth below the crown at TDC to drawing units. */
  readonly x: (arcMm: number) => number;
  readonly y: (depthMm: number) => number;
  readonly scale: number;
}

/** Where the piston stands: crown edge and skirt edge below the crown's TDC position. */
export interface MapPiston {
  readonly crownMm: number;
  /** Null where the length of the skirt isn't known. */
  readonly skirtMm: number | null;
  /** "crown at 92.0 ATDC". */
  readonly text: string;
}

function fixed(value: number): string {
  return value.toFixed(2);
}

interface WindowProps {
  readonly placed: PlacedWindow;
  readonly frame: MapFrame;
  readonly piston: MapPiston | undefined;
  readonly isInteractive: boolean;
  readonly lengthText: (valueMm: number) => string;
}

/** One window: outline in the line of its kind, what of it is open, the edge that decides. */
export function MapWindow({ placed, frame, piston, isInteractive, lengthText }: WindowProps) {
  const { port, index } = placed;
  const family = familyOf(port.kind);
  const style = lineStyleOf(port.kind);
  const outline = windowPath(placed, frame);
  const floorMm = port.topMm + port.window.heightMm;
  const x = frame.x(placed.centreMm);
  const edgeY = frame.y(port.decidedBy === 'roof' ? port.topMm : floorMm);
  const half = (placed.developedMm * frame.scale) / 2;
  // The id of a port is free text, which an address inside the page can't hold.
  const clipId = `open-${port.portId.replaceAll(/[^\w-]/g, '_')}-${index}`;
  const open = openPart(port, piston);
  const spoken = [
    port.windowCount > 1 ? `${port.label}, window ${index + 1} of ${port.windowCount}` : port.label,
    `chord ${lengthText(port.window.chordMm)}`,
    `developed ${lengthText(placed.developedMm)}`,
    `height ${lengthText(port.window.heightMm)}`,
    port.opensText,
  ]
    .filter((part) => part !== '')
    .join(', ');
  return (
    <g
      className={`map-window map-window-${family}`}
      tabIndex={isInteractive ? 0 : undefined}
      role={isInteractive ? 'img' : undefined}
      aria-label={isInteractive ? spoken : undefined}
    >
      <title>{spoken}</title>
      {open === null ? null : (
        <>
          <clipPath id={clipId}>
            <rect
              x={fixed(x - half - 1)}
              width={fixed(2 * half + 2)}
              y={fixed(frame.y(open.fromMm))}
              height={fixed(Math.max(0, (open.toMm - open.fromMm) * frame.scale))}
            />
          </clipPath>
          <path className="window-open" d={outline} clipPath={`url(#${clipId})`} />
        </>
      )}
      <path
        className={`span span-${family} window-outline`}
        d={outline}
        strokeWidth={style.isDouble ? '1.5' : '0.8'}
        strokeDasharray={dashArray(style, 1.2)}
      />
      {style.isDouble ? <path className="span-gap" d={outline} strokeWidth="0.6" /> : null}
      <line
        className="edge-line"
        x1={fixed(x - half * 0.5)}
        x2={fixed(x + half * 0.5)}
        y1={fixed(edgeY)}
        y2={fixed(edgeY)}
      />
      {port.opensText === '' ? null : (
        <text
          className="text-small map-opens"
          x={fixed(x)}
          y={fixed(port.decidedBy === 'roof' ? edgeY - 1.6 : edgeY - 2)}
          textAnchor="middle"
        >
          {port.opensText}
        </text>
      )}
    </g>
  );
}

/** The stretch of heights that the piston leaves free; null where it covers the window, or none is drawn. */
function openPart(port: MapPort, piston: MapPiston | undefined): { fromMm: number; toMm: number } | null {
  if (piston === undefined) return null;
  const floorMm = port.topMm + port.window.heightMm;
  if (port.decidedBy === 'roof') {
    return piston.crownMm <= port.topMm ? null : { fromMm: port.topMm, toMm: Math.min(floorMm, piston.crownMm) };
  }
  const { skirtMm } = piston;
  return skirtMm === null || skirtMm >= floorMm ? null : { fromMm: Math.max(port.topMm, skirtMm), toMm: floorMm };
}

/** Outline of a window, with its rounded corners or its peaked roof. */
function windowPath({ port, centreMm, developedMm }: PlacedWindow, frame: MapFrame): string {
  const { window, topMm } = port;
  const x0 = frame.x(centreMm - developedMm / 2);
  const x1 = frame.x(centreMm + developedMm / 2);
  const y0 = frame.y(topMm);
  const y1 = frame.y(topMm + window.heightMm);
  if (window.roofDropMm > 0) {
    const yDrop = frame.y(topMm + window.roofDropMm);
    return `M${fixed(x0)} ${fixed(yDrop)}L${fixed((x0 + x1) / 2)} ${fixed(y0)}L${fixed(x1)} ${fixed(yDrop)}V${fixed(y1)}H${fixed(x0)}Z`;
  }
  const top = Math.min(window.radiusTopMm * frame.scale, (x1 - x0) / 2);
  const bottom = Math.min(window.radiusBottomMm * frame.scale, (x1 - x0) / 2);
  const corner = (radius: number, x: number, y: number) =>
    radius === 0 ? '' : `A${fixed(radius)} ${fixed(radius)} 0 0 1 ${fixed(x)} ${fixed(y)}`;
  return [
    `M${fixed(x0 + top)} ${fixed(y0)}H${fixed(x1 - top)}`,
    corner(top, x1, y0 + top),
    `V${fixed(y1 - bottom)}`,
    corner(bottom, x1 - bottom, y1),
    `H${fixed(x0 + bottom)}`,
    corner(bottom, x0, y1 - bottom),
    `V${fixed(y0 + top)}`,
    corner(top, x0 + top, y0),
    'Z',
  ].join('');
}
