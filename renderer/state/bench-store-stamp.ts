import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { ReadingContent } from '../../core/contract/readings.ts';
import type { EvidencePicture } from '../wheel-worker/messages.ts';
import { type BenchPictures, pictureRow } from './bench-pictures.ts';

/**
 * A stamp on its way into the book, with the pictures of wheel and port as one message.
 * @returns sends it; called again after a failure it sends the same
 */
export function stampSender(
  client: Client,
  pictures: BenchPictures,
  content: ReadingContent,
  picture: EvidencePicture | null,
  secondPicture: Promise<EvidencePicture | null>,
): () => Promise<void> {
  // Named once: a new try must send the same.
  const secondId = newId();
  return async () => {
    const second = await secondPicture;
    const secondPictureId = second === null ? null : secondId;
    const sent = [];
    if (picture !== null && content.pictureId !== null) sent.push(await pictureRow(content.pictureId, picture));
    if (second !== null && secondPictureId !== null) {
      sent.push(await pictureRow(secondPictureId, second));
      pictures.remember(secondPictureId, second.jpeg);
    }
    await client.call('reading.add', { reading: { ...content, secondPictureId }, pictures: sent });
  };
}
