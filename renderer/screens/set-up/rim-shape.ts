import type { RimEllipse } from '../../../core/wheel/types.ts';

export const rimHandles = ['centre', 'first', 'second'] as const;
export type RimHandle = (typeof rimHandles)[number];

/** A place in the un-mirrored picture, pixels. */
export type Place = readonly [number, number];

export function handlePlace(rim: RimEllipse, handle: RimHandle): Place {
  const [x, y] = rim.centrePx;
  if (handle === 'centre') return [x, y];
  const angle = ((rim.angleDeg + (handle === 'first' ? 0 : 90)) * Math.PI) / 180;
  const half = (handle === 'first' ? rim.fullAxesPx[0] : rim.fullAxesPx[1]) / 2;
  return [x + half * Math.cos(angle), y + half * Math.sin(angle)];
}

/** The outline after a handle was moved: the axis handles change its length and turn both axes. */
export function dragged(rim: RimEllipse, handle: RimHandle, to: Place): RimEllipse {
  if (handle === 'centre') return { ...rim, centrePx: to };
  const dx = to[0] - rim.centrePx[0];
  const dy = to[1] - rim.centrePx[1];
  const full = Math.max(20, 2 * Math.hypot(dx, dy));
  const angle = (Math.atan2(dy, dx) * 180) / Math.PI;
  return handle === 'first'
    ? { ...rim, fullAxesPx: [full, rim.fullAxesPx[1]], angleDeg: angle }
    : { ...rim, fullAxesPx: [rim.fullAxesPx[0], full], angleDeg: angle - 90 };
}

const arrows: Readonly<Record<string, Place>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/**
 * How far an arrow key moves a handle.
 * @param quarterTurns by which the picture is shown turned, so that "up" is up on the screen
 * @returns null for any other key
 */
export function arrowStep(key: string, stepPx: number, quarterTurns: number): Place | null {
  const arrow = arrows[key];
  if (arrow === undefined) return null;
  const turn = (-quarterTurns * Math.PI) / 2;
  const cos = Math.round(Math.cos(turn));
  const sin = Math.round(Math.sin(turn));
  return [stepPx * (cos * arrow[0] - sin * arrow[1]), stepPx * (sin * arrow[0] + cos * arrow[1])];
}

/** The outline after an arrow key moved one of its handles; null for any other key. */
export function nudged(
  rim: RimEllipse,
  handle: RimHandle,
  key: string,
  stepPx: number,
  quarterTurns: number,
): RimEllipse | null {
  const step = arrowStep(key, stepPx, quarterTurns);
  if (step === null) return null;
  const [x, y] = handlePlace(rim, handle);
  return dragged(rim, handle, [x + step[0], y + step[1]]);
}
