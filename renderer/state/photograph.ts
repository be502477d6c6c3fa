import { v7 as uuidv7 } from 'uuid';
import type { PictureContent } from '../../core/contract/messages.ts';
import { blobToBase64 } from './bytes-text.ts';

/** Longest side of a kept photograph: marks on a part stay legible, the book stays small. */
const longestSidePx = 2000;
const jpegQuality = 0.85;

/**
 * A picture file as the book keeps it: JPEG, no larger than needed, without the camera's own notes (place, owner).
 * @throws Error with a sentence for the person where the file holds no picture
 */
export async function photographFrom(file: Blob): Promise<PictureContent> {
  const bitmap = await createImageBitmap(file).catch(() => {
    throw new Error('This file is no picture that can be read: save it as JPEG or PNG.');
  });
  try {
    const scale = Math.min(1, longestSidePx / Math.max(bitmap.width, bitmap.height));
    const widthPx = Math.max(1, Math.round(bitmap.width * scale));
    const heightPx = Math.max(1, Math.round(bitmap.height * scale));
    const canvas = new OffscreenCanvas(widthPx, heightPx);
    const context = canvas.getContext('2d');
    if (context === null) throw new Error('The picture could not be drawn here; try a smaller one.');
    context.drawImage(bitmap, 0, 0, widthPx, heightPx);
    const jpeg = await canvas.convertToBlob({ type: 'image/jpeg', quality: jpegQuality });
    return { id: uuidv7(), mime: 'image/jpeg', widthPx, heightPx, bytes: await blobToBase64(jpeg) };
  } finally {
    bitmap.close();
  }
}
