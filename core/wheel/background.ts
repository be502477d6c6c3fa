import { medianOf } from './bundle.ts';
import { circleToEllipse } from './ellipse.ts';
import type { ImageOps } from './image-ops.ts';
import type { Background } from './state.ts';
import type { CameraCheck, GreyPicture, RimEllipse } from './types.ts';

/** Corners are taken outside this many rim radii: ring, pointer and their shadows don't count as surroundings. */
const clearOfRim = 1.18;
const cornersWanted = 100;
/** Fewer than this prove nothing. */
const cornersNeeded = 8;
/** A corner counts when tracking there and back ends this near to its start, pixels. */
const roundTripPx = 0.5;
/** The camera has moved when the surroundings sit this far off, pixels. */
const movedPx = 1;

/** Remembers corners of the surroundings. */
export function rememberBackground(ops: ImageOps, picture: GreyPicture, rim: RimEllipse): Background {
  const { widthPx, heightPx } = picture;
  const allowed = new Uint8Array(widthPx * heightPx);
  const e = circleToEllipse(rim);
  const det = e.m00 * e.m11 - e.m01 * e.m01;
  const edge = 12;
  for (let y = edge; y < heightPx - edge; y++)
    for (let x = edge; x < widthPx - edge; x++) {
      const dx = x - e.cx;
      const dy = y - e.cy;
      const u = (e.m11 * dx - e.m01 * dy) / det;
      const v = (-e.m01 * dx + e.m00 * dy) / det;
      if (u * u + v * v > clearOfRim * clearOfRim) allowed[y * widthPx + x] = 255;
    }
  const grey = new Uint8Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++)
    grey.set(picture.data.subarray(y * picture.stride, y * picture.stride + widthPx), y * widthPx);
  return { pointsPx: ops.corners(picture, allowed, cornersWanted), widthPx, heightPx, grey };
}

/** A picture at half its size, each pixel the mean of four. */
function halved({ widthPx, heightPx, stride, data }: GreyPicture): GreyPicture {
  const width = widthPx >> 1;
  const height = heightPx >> 1;
  const half = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const top = 2 * y * stride;
    for (let x = 0; x < width; x++) {
      const i = top + 2 * x;
      const sum =
        (data[i] as number) + (data[i + 1] as number) + (data[i + stride] as number) + (data[i + stride + 1] as number);
      half[y * width + x] = (sum + 2) >> 2;
    }
  }
  return { widthPx: width, heightPx: height, stride: width, data: half };
}

/** The remembered picture at half its size, made once a set-up. */
const halfBackgrounds = new WeakMap<Background, GreyPicture>();

function halfOf(background: Background, reference: GreyPicture): GreyPicture {
  const known = halfBackgrounds.get(background);
  if (known !== undefined) return known;
  const half = halved(reference);
  halfBackgrounds.set(background, half);
  return half;
}

/** Live pictures from this width on are compared at half their size: in full it takes the time of two frames. */
const wideLivePx = 1000;

/**
 * The same comparison for live pictures, a quarter of the work: large ones are compared at half their size, where a
 * shift of one pixel is still five times what the corners are tracked to.
 */
export function checkLiveBackground(ops: ImageOps, background: Background, picture: GreyPicture): CameraCheck {
  const { widthPx, heightPx, grey } = background;
  if (widthPx < wideLivePx || picture.widthPx !== widthPx || picture.heightPx !== heightPx)
    return checkBackground(ops, background, picture);
  const reference = halfOf(background, { widthPx, heightPx, stride: widthPx, data: grey });
  // The centre of a pixel at (0, 0) lies at (-0.25, -0.25) among pixels twice as large.
  const pointsPx = background.pointsPx.map((at) => (at - 0.5) / 2);
  return compared(ops, reference, halved(picture), pointsPx, 2);
}

/** Compares a picture's surroundings with the remembered ones; moved tools and rags are outvoted. */
export function checkBackground(ops: ImageOps, background: Background, picture: GreyPicture): CameraCheck {
  const { pointsPx, widthPx, heightPx, grey } = background;
  if (picture.widthPx !== widthPx || picture.heightPx !== heightPx)
    return { state: 'cannot_check', shiftPx: null, corners: 0 };
  return compared(ops, { widthPx, heightPx, stride: widthPx, data: grey }, picture, pointsPx, 1);
}

/** @param pixelPx size of a pixel of both pictures in pixels of the camera */
function compared(
  ops: ImageOps,
  reference: GreyPicture,
  picture: GreyPicture,
  pointsPx: Float32Array,
  pixelPx: number,
): CameraCheck {
  if (pointsPx.length < 2 * cornersNeeded) return { state: 'cannot_check', shiftPx: null, corners: 0 };
  const there = ops.track(reference, picture, pointsPx);
  const seen: number[] = [];
  for (let i = 0; i < there.length; i += 2) if (Number.isFinite(there[i] as number)) seen.push(i);
  const forward = Float32Array.from(seen.flatMap((i) => [there[i] as number, there[i + 1] as number]));
  const back = ops.track(picture, reference, forward);
  const dx: number[] = [];
  const dy: number[] = [];
  seen.forEach((i, k) => {
    const miss = Math.hypot(
      (back[2 * k] as number) - (pointsPx[i] as number),
      (back[2 * k + 1] as number) - (pointsPx[i + 1] as number),
    );
    if (!(miss * pixelPx < roundTripPx)) return;
    dx.push(pixelPx * ((there[i] as number) - (pointsPx[i] as number)));
    dy.push(pixelPx * ((there[i + 1] as number) - (pointsPx[i + 1] as number)));
  });
  if (dx.length < cornersNeeded) return { state: 'cannot_check', shiftPx: null, corners: dx.length };
  const mx = medianOf(dx);
  const my = medianOf(dy);
  // A turn or zoom leaves the median alone: what counts is how far the typical corner has gone.
  const typical = medianOf(dx.map((x, i) => Math.hypot(x, dy[i] as number)));
  const agree = dx.filter((x, i) => Math.hypot(x - mx, (dy[i] as number) - my) < 0.5 + 0.2 * typical).length;
  const shiftPx = Math.max(Math.hypot(mx, my), typical);
  const believable = agree >= Math.max(cornersNeeded / 2, 0.4 * dx.length) || typical > 2;
  return { state: shiftPx > movedPx && believable ? 'moved' : 'still', shiftPx, corners: dx.length };
}
