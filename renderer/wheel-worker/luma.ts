import type { GreyPicture } from '../../core/wheel/types.ts';

/** All planes of a frame, and where its grey plane lies. */
export interface FrameBytes {
  readonly bytes: Uint8Array<ArrayBuffer>;
  readonly format: VideoPixelFormat;
  readonly layout: readonly PlaneLayout[];
  readonly colorSpace: VideoColorSpaceInit;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Grey rows: a view on the Y plane, or made from the colours where the frame has none. */
  readonly greyBytes: Uint8Array<ArrayBuffer>;
  readonly greyStride: number;
  readonly isMirrored: boolean;
}

/** Formats whose first plane is the grey picture. */
const lumaFirst: ReadonlySet<string> = new Set(['I420', 'I420A', 'I422', 'I444', 'NV12']);

/**
 * Copies a frame into memory.
 * @param reuse an earlier frame whose buffers may be overwritten
 */
export async function takeBytes(frame: VideoFrame, isMirrored: boolean, reuse: FrameBytes | null): Promise<FrameBytes> {
  const rect = frame.visibleRect;
  const widthPx = rect?.width ?? frame.codedWidth;
  const heightPx = rect?.height ?? frame.codedHeight;
  const source = frame.format;
  if (source !== null && lumaFirst.has(source)) {
    const size = frame.allocationSize();
    const bytes = fitting(reuse?.bytes, size);
    const layout = await frame.copyTo(bytes);
    const [luma] = layout;
    if (luma === undefined) throw new Error('The camera frame has no planes.');
    const plane = bytes.subarray(luma.offset, luma.offset + luma.stride * heightPx);
    const common = {
      bytes,
      format: source,
      layout,
      colorSpace: frame.colorSpace.toJSON(),
      widthPx,
      heightPx,
      isMirrored,
    };
    if (!isMirrored) return { ...common, greyBytes: plane, greyStride: luma.stride };
    const flipped = fitting(reuse?.isMirrored === true ? reuse.greyBytes : undefined, widthPx * heightPx);
    flipRows(plane, luma.stride, widthPx, heightPx, flipped);
    return { ...common, greyBytes: flipped, greyStride: widthPx };
  }
  // Packed colours, or a format that the browser doesn't name: it converts to RGBA by itself.
  const options = { format: 'RGBA' } as VideoFrameCopyToOptions;
  const bytes = fitting(reuse?.bytes, frame.allocationSize(options));
  const layout = await frame.copyTo(bytes, options);
  const grey = fitting(reuse?.greyBytes, widthPx * heightPx);
  greyFromRgba(bytes, layout[0]?.stride ?? widthPx * 4, widthPx, heightPx, grey);
  const common = {
    bytes,
    format: 'RGBA' as const,
    layout,
    colorSpace: frame.colorSpace.toJSON(),
    widthPx,
    heightPx,
    isMirrored,
    greyStride: widthPx,
  };
  if (isMirrored) flipRows(grey.slice(), widthPx, widthPx, heightPx, grey);
  return { ...common, greyBytes: grey };
}

export function greyOfBytes(frame: FrameBytes): GreyPicture {
  return { widthPx: frame.widthPx, heightPx: frame.heightPx, stride: frame.greyStride, data: frame.greyBytes };
}

function fitting(old: Uint8Array<ArrayBuffer> | undefined, size: number): Uint8Array<ArrayBuffer> {
  return old !== undefined && old.length === size ? old : new Uint8Array(size);
}

/** Left and right exchanged, so that "clockwise" always means the un-mirrored picture. */
export function flipRows(
  from: Uint8Array,
  fromStride: number,
  widthPx: number,
  heightPx: number,
  into: Uint8Array,
): void {
  for (let y = 0; y < heightPx; y += 1) {
    const row = y * fromStride;
    const end = y * widthPx + widthPx - 1;
    for (let x = 0; x < widthPx; x += 1) into[end - x] = from[row + x] ?? 0;
  }
}

/**
 * Luma of packed RGBA pixels with the weights of ITU-R BT.601, the ones of JPEG pictures.
 * @source ITU-R BT.601-7, section 2.5.1
 */
export function greyFromRgba(
  rgba: Uint8Array | Uint8ClampedArray,
  stride: number,
  widthPx: number,
  heightPx: number,
  into: Uint8Array,
): void {
  for (let y = 0; y < heightPx; y += 1) {
    let at = y * stride;
    const row = y * widthPx;
    for (let x = 0; x < widthPx; x += 1, at += 4) {
      // Integer weights of 0.299, 0.587 and 0.114 in 1/65536, with half a step for rounding.
      into[row + x] =
        (19595 * (rgba[at] ?? 0) + 38470 * (rgba[at + 1] ?? 0) + 7471 * (rgba[at + 2] ?? 0) + 32768) >> 16;
    }
  }
}
