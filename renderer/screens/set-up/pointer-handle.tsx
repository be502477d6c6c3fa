import { type PointerEvent as ReactPointerEvent, useState } from 'react';
import { arrowStep, type Place } from './rim-shape.ts';

/** The mark of the pointer on the picture; a handle while it is being placed. */
export function PointerHandle({
  at,
  radiusPx,
  quarterTurns,
  toPicture,
  onMove,
}: {
  at: Place;
  radiusPx: number;
  quarterTurns: number;
  toPicture: (event: ReactPointerEvent) => Place | null;
  /** @param isSet the mark was let go here, or Enter was pressed */
  onMove: ((at: Place, isSet: boolean) => void) | undefined;
}) {
  const [isHeld, setIsHeld] = useState(false);
  const [x, y] = at;
  const half = 0.45 * radiusPx;
  const cross = `M ${x - half} ${y} H ${x + half} M ${x} ${y - half} V ${y + half}`;
  if (onMove === undefined) {
    return (
      <g data-testid="pointer-place">
        <circle className="rim-line" cx={x} cy={y} r={half} />
        <path className="rim-line" d={cross} />
      </g>
    );
  }

  function follow(event: ReactPointerEvent, isSet: boolean): void {
    const to = toPicture(event);
    if (isHeld && to !== null) onMove?.(to, isSet);
  }

  return (
    <>
      <path className="rim-line" d={cross} />
      {/* biome-ignore lint/a11y/useSemanticElements: a button can't be drawn inside SVG */}
      <circle
        className="rim-handle"
        data-testid="pointer-handle"
        cx={x}
        cy={y}
        r={radiusPx}
        role="button"
        tabIndex={0}
        aria-label="Mark of the pointer: drag, or move with the arrow keys and press Enter"
        onPointerDown={(event) => {
          setIsHeld(true);
          event.currentTarget.setPointerCapture(event.pointerId);
        }}
        onPointerMove={(event) => follow(event, false)}
        onPointerUp={(event) => {
          follow(event, true);
          setIsHeld(false);
        }}
        onKeyDown={(event) => {
          const step = arrowStep(event.key, event.shiftKey ? 10 : 1, quarterTurns);
          if (step !== null) onMove([x + step[0], y + step[1]], false);
          else if (event.key === 'Enter') onMove(at, true);
          else return;
          event.preventDefault();
        }}
      />
    </>
  );
}
