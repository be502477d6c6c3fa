import { useEffect, useRef } from 'react';

const magnified = 3;
const sizePx = 168;

/** The picture about one point, three times as large, so that a handle can be set to the pixel. */
export function Loupe({
  video,
  at,
  isMirrored,
  quarterTurns,
  side,
}: {
  video: HTMLVideoElement;
  at: readonly [number, number];
  isMirrored: boolean;
  quarterTurns: number;
  side: 'left' | 'right';
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const [x, y] = at;
  useEffect(() => {
    let handle = 0;
    const draw = (): void => {
      const context = canvas.current?.getContext('2d');
      if (context !== null && context !== undefined && video.videoWidth > 0) {
        context.setTransform(1, 0, 0, 1, 0, 0);
        context.fillRect(0, 0, sizePx, sizePx);
        context.translate(sizePx / 2, sizePx / 2);
        context.rotate((quarterTurns * Math.PI) / 2);
        context.scale(magnified, magnified);
        context.translate(-x, -y);
        if (isMirrored) {
          // The camera's own picture is mirrored; the point is one of the un-mirrored picture.
          context.translate(video.videoWidth, 0);
          context.scale(-1, 1);
        }
        context.drawImage(video, 0, 0);
      }
      handle = requestAnimationFrame(draw);
    };
    draw();
    return () => cancelAnimationFrame(handle);
  }, [video, x, y, isMirrored, quarterTurns]);
  return (
    <div className={`loupe loupe-${side}`} data-testid="loupe">
      <canvas ref={canvas} width={sizePx} height={sizePx} />
    </div>
  );
}
