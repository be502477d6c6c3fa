import { type PointerEvent as ReactPointerEvent, useEffect, useRef } from 'react';
import type { RimEllipse } from '../../../core/wheel/types.ts';

interface CameraPictureProps {
  readonly video: HTMLVideoElement;
  readonly size: { readonly widthPx: number; readonly heightPx: number };
  readonly rim: RimEllipse | null;
  readonly isMirrored: boolean;
  readonly quarterTurns: number;
  /** Handles are offered where the outline may be changed. */
  readonly onDrag?: (rim: RimEllipse) => void;
  readonly onDrop?: (rim: RimEllipse) => void;
}

type Handle = 'centre' | 'first' | 'second';

const handleNames: Readonly<Record<Handle, string>> = {
  centre: 'Centre of the outline',
  first: 'First axis of the outline',
  second: 'Second axis of the outline',
};

/** The live picture with the rim drawn over it. */
export function CameraPicture({ video, size, rim, isMirrored, quarterTurns, onDrag, onDrop }: CameraPictureProps) {
  const place = useRef<HTMLDivElement>(null);
  const overlay = useRef<SVGSVGElement>(null);
  const grabbed = useRef<Handle | null>(null);
  useEffect(() => {
    place.current?.prepend(video);
    // Moving a video to another place pauses it; a picture is always live.
    void video.play().catch(() => undefined);
  }, [video]);

  function at(event: ReactPointerEvent): readonly [number, number] | null {
    const matrix = overlay.current?.getScreenCTM();
    if (matrix === null || matrix === undefined) return null;
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [point.x, point.y];
  }

  function move(event: ReactPointerEvent): void {
    const point = at(event);
    if (grabbed.current === null || rim === null || point === null) return;
    onDrag?.(dragged(rim, grabbed.current, point));
  }

  function drop(): void {
    if (grabbed.current !== null && rim !== null) onDrop?.(rim);
    grabbed.current = null;
  }

  function nudge(handle: Handle, key: string, isCoarse: boolean): boolean {
    const step = isCoarse ? 10 : 1;
    const way = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[key];
    if (way === undefined || rim === null) return false;
    const from = handlePlace(rim, handle);
    onDrag?.(dragged(rim, handle, [from[0] + (way[0] ?? 0), from[1] + (way[1] ?? 0)]));
    return true;
  }

  const transform = `rotate(${quarterTurns * 90}deg) scaleX(${isMirrored ? -1 : 1})`;
  return (
    <div
      className="camera-picture"
      ref={place}
      style={{ aspectRatio: `${size.widthPx} / ${size.heightPx}`, transform }}
    >
      {rim === null ? null : (
        <svg
          ref={overlay}
          className="camera-overlay"
          style={{ transform: `scaleX(${isMirrored ? -1 : 1})` }}
          viewBox={`0 0 ${size.widthPx} ${size.heightPx}`}
          aria-label="Outline of the wheel"
          onPointerMove={move}
          onPointerUp={drop}
        >
          <ellipse
            className="rim-line"
            data-testid="rim"
            cx={rim.centrePx[0]}
            cy={rim.centrePx[1]}
            rx={rim.fullAxesPx[0] / 2}
            ry={rim.fullAxesPx[1] / 2}
            transform={`rotate(${rim.angleDeg} ${rim.centrePx[0]} ${rim.centrePx[1]})`}
          />
          {onDrag === undefined
            ? null
            : (['centre', 'first', 'second'] as const).map((handle) => {
                const [x, y] = handlePlace(rim, handle);
                return (
                  // biome-ignore lint/a11y/useSemanticElements: a button can't be drawn inside SVG
                  <circle
                    key={handle}
                    className="rim-handle"
                    cx={x}
                    cy={y}
                    r={12}
                    role="button"
                    tabIndex={0}
                    aria-label={`${handleNames[handle]}: drag, or move with the arrow keys and press Enter`}
                    onPointerDown={(event) => {
                      grabbed.current = handle;
                      event.currentTarget.setPointerCapture(event.pointerId);
                    }}
                    onPointerMove={move}
                    onPointerUp={drop}
                    onKeyDown={(event) => {
                      if (nudge(handle, event.key, event.shiftKey)) event.preventDefault();
                      else if (event.key === 'Enter') {
                        event.preventDefault();
                        onDrop?.(rim);
                      }
                    }}
                  />
                );
              })}
        </svg>
      )}
    </div>
  );
}

function handlePlace(rim: RimEllipse, handle: Handle): readonly [number, number] {
  const [x, y] = rim.centrePx;
  if (handle === 'centre') return [x, y];
  const angle = ((rim.angleDeg + (handle === 'first' ? 0 : 90)) * Math.PI) / 180;
  const half = (handle === 'first' ? rim.fullAxesPx[0] : rim.fullAxesPx[1]) / 2;
  return [x + half * Math.cos(angle), y + half * Math.sin(angle)];
}

/** The outline after a handle was moved: the axis handles change its length and turn both axes. */
export function dragged(rim: RimEllipse, handle: Handle, to: readonly [number, number]): RimEllipse {
  if (handle === 'centre') return { ...rim, centrePx: to };
  const dx = to[0] - rim.centrePx[0];
  const dy = to[1] - rim.centrePx[1];
  const full = Math.max(20, 2 * Math.hypot(dx, dy));
  const angle = (Math.atan2(dy, dx) * 180) / Math.PI;
  return handle === 'first'
    ? { ...rim, fullAxesPx: [full, rim.fullAxesPx[1]], angleDeg: angle }
    : { ...rim, fullAxesPx: [rim.fullAxesPx[0], full], angleDeg: angle - 90 };
}
