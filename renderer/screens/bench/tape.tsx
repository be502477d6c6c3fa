import { useEffect, useRef } from 'react';
import type { RingBand, StraightenedRing } from '../../../core/wheel/types.ts';

/** Something marked on the tape: a rotation of the wheel, with a short word. */
export interface TapeMark {
  readonly key: string;
  readonly rotationDeg: number;
  readonly word: string;
  readonly isWanted: boolean;
}

interface TapeProps {
  readonly listen: (listener: (ring: StraightenedRing) => void, band: RingBand) => () => void;
  readonly rotationDeg: number | null;
  readonly marks: readonly TapeMark[];
  /** Whole ring instead of the part about the hairline. */
  readonly isWhole?: boolean;
}

const opaque = 0xff000000;
const sameInAllColours = 0x010101;
const shownDeg = 80;
/** Camera direction in which the hairline stands: straight up in the picture. */
const hairlineDeg = 270;
/** Nearly twice the pixels that a camera has along the ring: more would only cost time. */
const wholeBand: RingBand = { widthPx: 1600, heightPx: 64 };
const shownBand: RingBand = { widthPx: 640, heightPx: 64, fromDeg: hairlineDeg - shownDeg / 2, spanDeg: shownDeg };

/** The rim itself, straightened and live, with a hairline; what is marked moves with the face. */
export function Tape({ listen, rotationDeg, marks, isWhole = false }: TapeProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const small = document.createElement('canvas');
    let image: ImageData | null = null;
    return listen(
      (ring) => {
        const target = canvas.current?.getContext('2d');
        const source = small.getContext('2d');
        if (target === undefined || target === null || source === null || canvas.current === null) return;
        if (image?.width !== ring.widthPx || image.height !== ring.heightPx) {
          small.width = ring.widthPx;
          small.height = ring.heightPx;
          image = source.createImageData(ring.widthPx, ring.heightPx);
        }
        // A pixel at a time: this is done for every frame.
        const pixels = new Uint32Array(image.data.buffer);
        for (let y = 0; y < ring.heightPx; y += 1) {
          // Rim at the top: the numerals then stand upright.
          const row = y * ring.widthPx;
          const shownRow = (ring.heightPx - 1 - y) * ring.widthPx;
          for (let x = 0; x < ring.widthPx; x += 1) {
            pixels[shownRow + x] = opaque + sameInAllColours * (ring.grey[row + x] ?? 0);
          }
        }
        source.putImageData(image, 0, 0);
        target.drawImage(small, 0, 0, canvas.current.width, canvas.current.height);
      },
      isWhole ? wholeBand : shownBand,
    );
  }, [listen, isWhole]);
  return (
    <div className="tape" role="img" aria-label="The straightened rim, live, with a hairline at the reading">
      <canvas ref={canvas} width={1600} height={isWhole ? 90 : 150} />
      {isWhole ? null : <div className="tape-hairline" />}
      {rotationDeg === null || isWhole
        ? null
        : marks.map((mark) => {
            const away = ((rotationDeg - mark.rotationDeg + 540) % 360) - 180;
            if (Math.abs(away) > shownDeg / 2) return null;
            return (
              <div
                key={mark.key}
                className={`tape-mark ${mark.isWanted ? 'tape-mark-wanted' : ''}`}
                style={{ left: `${50 + (away / shownDeg) * 100}%` }}
              >
                <span>{mark.word}</span>
              </div>
            );
          })}
    </div>
  );
}
