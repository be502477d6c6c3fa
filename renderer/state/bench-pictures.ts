import type { Client } from '../../core/contract/client.ts';
import type { EvidencePicture } from '../wheel-worker/messages.ts';
import { blobToBase64, fromBase64 } from './bytes-text.ts';

/** Pictures of stamps: the latest are at hand, older ones are asked for. */
export interface BenchPictures {
  remember(pictureId: string, jpeg: Blob): void;
  get(pictureId: string): Promise<Blob>;
}

const picturesRemembered = 60;

export function createBenchPictures(client: Client): BenchPictures {
  const pictures = new Map<string, Blob>();
  function remember(pictureId: string, jpeg: Blob): void {
    pictures.set(pictureId, jpeg);
    const [oldest] = pictures.keys();
    if (pictures.size > picturesRemembered && oldest !== undefined) pictures.delete(oldest);
  }
  return {
    remember,
    async get(pictureId) {
      const known = pictures.get(pictureId);
      if (known !== undefined) return known;
      const row = await client.call('picture.get', { id: pictureId });
      const blob = new Blob([fromBase64(row.bytes)], { type: row.mime });
      remember(pictureId, blob);
      return blob;
    },
  };
}

/** A picture as it is sent to be kept. */
export async function pictureRow(id: string, picture: EvidencePicture) {
  const { jpeg, widthPx, heightPx } = picture;
  return { id, mime: 'image/jpeg' as const, widthPx, heightPx, bytes: await blobToBase64(jpeg) };
}
