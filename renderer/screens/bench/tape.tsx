import { useEffect, useRef } from 'react';
import type { StraightenedRing } from '../../../core/wheel/types.ts';

/** Something marked on the tape: a rotation of the wheel, with a short word. */
export interface TapeMark {
  readonly key: string;
  readonly rotationDeg: number;
  readonly word: string;
  readonly isWanted: boolean;
}

interface TapeProps {
  readonly listen: (listener: (ring: StraightenedRing) => void) => () => void;
  readonly rotationDeg: number | null;
  readonly marks: readonly TapeMark[];
  /** Whole ring instead of the part about the hairline. */
  readonly isWhole?: boolean;
}

const shownDeg = 80;
/** Camera direction in which the hairline stands: straight up in the picture. */
const hairlineDeg = 270;

/** The rim itself, straightened and live, with a hairline; what is marked moves with the face. */
export function Tape({ listen, rotationDeg, marks, isWhole = false }: TapeProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    const small = document.createElement('canvas');
    let image: ImageData | null = null;
    return listen((ring) => {
      const target = canvas.current?.getContext('2d');
      const source = small.getContext('2d');
      if (target === undefined || target === null || source === null || canvas.current === null) return;
      if (image?.width !== ring.widthPx || image.height !== ring.heightPx) {
        small.width = ring.widthPx;
        small.height = ring.heightPx;
        image = source.createImageData(ring.widthPx, ring.heightPx);
        image.data.fill(255);
      }
      const { data } = image;
      for (let y = 0; y < ring.heightPx; y += 1) {
        // Rim at the top: the numerals then stand upright.
        const row = y * ring.widthPx;
        const shownRow = (ring.heightPx - 1 - y) * ring.widthPx;
        for (let x = 0; x < ring.widthPx; x += 1) {
          const grey = ring.grey[row + x] ?? 0;
          const at = (shownRow + x) * 4;
          data[at] = grey;
          data[at + 1] = grey;
          data[at + 2] = grey;
        }
      }
      source.putImageData(image, 0, 0);
      const { width, height } = canvas.current;
      if (isWhole) {
        target.drawImage(small, 0, 0, width, height);
        return;
      }
      const perDeg = ring.widthPx / 360;
      const from = (hairlineDeg - shownDeg / 2) * perDeg;
      const first = Math.min(ring.widthPx - from, shownDeg * perDeg);
      const share = first / (shownDeg * perDeg);
      target.drawImage(small, from, 0, first, ring.heightPx, 0, 0, width * share, height);
      if (share < 1) {
        const rest = shownDeg * perDeg - first;
        target.drawImage(small, 0, 0, rest, ring.heightPx, width * share, 0, width * (1 - share), height);
      }
    });
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
