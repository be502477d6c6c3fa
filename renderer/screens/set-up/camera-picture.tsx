import { type CSSProperties, type PointerEvent as ReactPointerEvent, useEffect, useRef, useState } from 'react';
import type { RimEllipse } from '../../../core/wheel/types.ts';
import { Loupe } from './loupe.tsx';
import { PointerHandle } from './pointer-handle.tsx';
import { dragged, handlePlace, nudged, type Place, type RimHandle, rimHandles } from './rim-shape.ts';

interface CameraPictureProps {
  readonly video: HTMLVideoElement;
  readonly size: { readonly widthPx: number; readonly heightPx: number };
  readonly rim: RimEllipse | null;
  readonly isMirrored: boolean;
  readonly quarterTurns: number;
  /** Handles are offered where the outline may be changed. */
  readonly onDrag?: (rim: RimEllipse) => void;
  readonly onDrop?: (rim: RimEllipse) => void;
  /** Where the pointer is marked, or is being marked. */
  readonly pointer?: Place | null;
  /** Moves the mark; offered while it is being placed, the outline's handles aren't then. */
  readonly onPointer?: ((at: Place, isSet: boolean) => void) | undefined;
}

const handleNames: Readonly<Record<RimHandle, string>> = {
  centre: 'Centre of the outline',
  first: 'First axis of the outline',
  second: 'Second axis of the outline',
};

/** The live picture with the rim drawn over it. */
export function CameraPicture({ video, size, rim, isMirrored, quarterTurns, ...rest }: CameraPictureProps) {
  const { onDrag, onDrop, pointer = null, onPointer } = rest;
  const place = useRef<HTMLDivElement>(null);
  const overlay = useRef<SVGSVGElement>(null);
  const [grabbed, setGrabbed] = useState<RimHandle | null>(null);
  /** Handle moved by keys and not yet set down. */
  const [nudgedHandle, setNudgedHandle] = useState<RimHandle | null>(null);
  const hasMoved = useRef(false);
  useEffect(() => {
    place.current?.prepend(video);
    video.style.transform = isMirrored ? 'scaleX(-1)' : '';
    // Moving a video to another place pauses it; a picture is always live.
    void video.play().catch(() => undefined);
  }, [video, isMirrored]);

  function at(event: ReactPointerEvent): readonly [number, number] | null {
    const matrix = overlay.current?.getScreenCTM();
    if (matrix === null || matrix === undefined) return null;
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    return [point.x, point.y];
  }

  function move(event: ReactPointerEvent): void {
    const point = at(event);
    if (grabbed === null || rim === null || point === null) return;
    hasMoved.current = true;
    onDrag?.(dragged(rim, grabbed, point));
  }

  function drop(): void {
    // A mere click on a handle must not begin a new set-up.
    if (grabbed !== null && rim !== null && hasMoved.current) onDrop?.(rim);
    hasMoved.current = false;
    setGrabbed(null);
  }

  function keyOn(handle: RimHandle, key: string, isCoarse: boolean): boolean {
    if (rim === null) return false;
    if (key === 'Enter') {
      if (nudgedHandle !== null) onDrop?.(rim);
      setNudgedHandle(null);
      return true;
    }
    const next = nudged(rim, handle, key, isCoarse ? 10 : 1, quarterTurns);
    if (next === null) return false;
    setNudgedHandle(handle);
    onDrag?.(next);
    return true;
  }

  const isAcross = quarterTurns % 2 === 1;
  const shape = isAcross ? size.heightPx / size.widthPx : size.widthPx / size.heightPx;
  // Never higher than the screen: the whole wheel is seen at once.
  const frame: CSSProperties = { aspectRatio: shape, width: `min(100%, ${(78 * shape).toFixed(1)}vh)` };
  const picture: CSSProperties = {
    // Turned by a quarter, the picture's width is the frame's height.
    width: isAcross ? `${(100 * size.widthPx) / size.heightPx}%` : '100%',
    aspectRatio: `${size.widthPx} / ${size.heightPx}`,
    transform: `translate(-50%, -50%) rotate(${quarterTurns * 90}deg)`,
  };
  const inHand = grabbed ?? nudgedHandle;
  const handlePx = size.widthPx / 56;
  const ofRim = inHand === null || rim === null ? null : handlePlace(rim, inHand);
  const magnified = onPointer === undefined ? ofRim : pointer;
  return (
    <div className="camera-picture" style={frame}>
      <div className="camera-turned" ref={place} style={picture}>
        {rim === null ? null : (
          <svg
            ref={overlay}
            className="camera-overlay"
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
            {onDrag === undefined || onPointer !== undefined
              ? null
              : rimHandles.map((handle) => {
                  const [x, y] = handlePlace(rim, handle);
                  return (
                    // biome-ignore lint/a11y/useSemanticElements: a button can't be drawn inside SVG
                    <circle
                      key={handle}
                      className="rim-handle"
                      data-testid={`rim-${handle}`}
                      cx={x}
                      cy={y}
                      r={handlePx}
                      role="button"
                      tabIndex={0}
                      aria-label={`${handleNames[handle]}: drag, or move with the arrow keys and press Enter`}
                      onPointerDown={(event) => {
                        hasMoved.current = false;
                        setGrabbed(handle);
                        event.currentTarget.setPointerCapture(event.pointerId);
                      }}
                      onKeyDown={(event) => {
                        if (keyOn(handle, event.key, event.shiftKey)) event.preventDefault();
                      }}
                      onBlur={() => setNudgedHandle(null)}
                    />
                  );
                })}
            {pointer === null ? null : (
              <PointerHandle
                at={pointer}
                radiusPx={handlePx}
                quarterTurns={quarterTurns}
                toPicture={at}
                onMove={onPointer}
              />
            )}
          </svg>
        )}
      </div>
      {magnified === null ? null : (
        <Loupe
          video={video}
          at={magnified}
          isMirrored={isMirrored}
          quarterTurns={quarterTurns}
          side={magnified[0] < size.widthPx / 2 ? 'right' : 'left'}
        />
      )}
    </div>
  );
}
