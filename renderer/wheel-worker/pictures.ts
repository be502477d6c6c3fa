import type { GreyPicture } from '../../core/wheel/types.ts';
import type { KeptFrame } from './kept-frames.ts';
import { greyFromRgba } from './luma.ts';
import type { EvidencePicture } from './messages.ts';

/** Good enough to be read again to a thousandth of a degree, small enough to keep with every stamp. */
const jpegQuality = 0.92;

/** Makes the picture that is kept with a stamp, in colour and un-mirrored. */
export async function evidenceOf(kept: KeptFrame): Promise<EvidencePicture> {
  const { widthPx, heightPx } = kept;
  const canvas = new OffscreenCanvas(widthPx, heightPx);
  const context = canvas.getContext('2d');
  if (context === null) throw new Error('This browser draws no pictures in a worker.');
  const frame = new VideoFrame(kept.bytes, {
    format: kept.format,
    codedWidth: widthPx,
    codedHeight: heightPx,
    timestamp: 0,
    layout: [...kept.layout],
    colorSpace: kept.colorSpace,
  });
  try {
    if (kept.isMirrored) {
      context.translate(widthPx, 0);
      context.scale(-1, 1);
    }
    context.drawImage(frame, 0, 0);
  } finally {
    frame.close();
  }
  const jpeg = await canvas.convertToBlob({ type: 'image/jpeg', quality: jpegQuality });
  return { jpeg, widthPx, heightPx, takenAtMs: kept.timeMs };
}

/**
 * Grey picture of a JPEG or PNG.
 * @param isMirrored the file shows things as in a mirror, which is undone; kept pictures never do
 * @throws where the bytes are no picture
 */
export async function greyOfPicture(picture: Blob, isMirrored: boolean): Promise<GreyPicture> {
  const bitmap = await createImageBitmap(picture);
  try {
    const { width, height } = bitmap;
    const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true });
    if (context === null) throw new Error('This browser draws no pictures in a worker.');
    if (isMirrored) {
      context.translate(width, 0);
      context.scale(-1, 1);
    }
    context.drawImage(bitmap, 0, 0);
    const grey = new Uint8Array(width * height);
    greyFromRgba(context.getImageData(0, 0, width, height).data, width * 4, width, height, grey);
    return { widthPx: width, heightPx: height, stride: width, data: grey };
  } finally {
    bitmap.close();
  }
}
