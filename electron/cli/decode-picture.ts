import { readFile } from 'node:fs/promises';
import { extname } from 'node:path';
import sharp from 'sharp';
import type { GreyPicture } from '../../core/wheel/types.ts';

/** A picture file that can't be used; the message says why and how to mend it. */
export class PictureError extends Error {}

const readable = new Set(['jpeg', 'png']);

/**
 * Decodes a JPEG or PNG file to luma as a camera's Y plane has it (BT.601 weights, full range); orientation tags are applied.
 * @throws PictureError for files that are missing, damaged or of another format
 */
export async function decodePicture(path: string): Promise<GreyPicture> {
  let bytes: Buffer;
  try {
    bytes = await readFile(path);
  } catch {
    throw new PictureError(`${path} can't be opened. Check the name and that the file may be read.`);
  }
  let format: string | undefined;
  try {
    format = (await sharp(bytes).metadata()).format;
  } catch {
    format = undefined;
  }
  if (format === undefined || !readable.has(format)) throw new PictureError(otherFormat(path, format));
  try {
    const { data, info } = await sharp(bytes)
      .rotate()
      .flatten({ background: '#000000' })
      .toColourspace('srgb')
      .raw({ depth: 'uchar' })
      .toBuffer({ resolveWithObject: true });
    return lumaOf(data, info.width, info.height, info.channels);
  } catch {
    throw new PictureError(`${path} is damaged: it can't be decoded. Copy it again from the camera or take another.`);
  }
}

function otherFormat(path: string, format: string | undefined): string {
  const name = format ?? (extname(path).slice(1) || 'no known format');
  return `${path} is ${name === 'no known format' ? 'in no known format' : `a ${name.toUpperCase()} file`}; only JPEG and PNG are read. Save it as PNG from any picture viewer, or run: ffmpeg -i "${path}" "${path}.png"`;
}

function lumaOf(data: Buffer, widthPx: number, heightPx: number, channels: number): GreyPicture {
  const luma = new Uint8Array(widthPx * heightPx);
  if (channels < 3) for (let i = 0; i < luma.length; i++) luma[i] = data[i * channels] as number;
  else
    for (let i = 0, o = 0; i < luma.length; i++, o += channels)
      luma[i] =
        (0.299 * (data[o] as number) + 0.587 * (data[o + 1] as number) + 0.114 * (data[o + 2] as number) + 0.5) | 0;
  return { widthPx, heightPx, stride: widthPx, data: luma };
}
