import type { Client } from '../../core/contract/client.ts';
import type { WheelSetupContent } from '../../core/contract/readings.ts';
import type { EvidencePicture } from '../wheel-worker/messages.ts';
import type { NewSetupContent } from './bench-setup-rows.ts';
import { blobToBase64, fromBase64, toBase64 } from './bytes-text.ts';
import type { Outbox } from './outbox.ts';

/**
 * Set-ups on their way to the book and what the reader knows of them on its way back. A state has megabytes: it is
 * written as text only when its turn has come to be sent.
 */
export interface SetupKeeper {
  /** Stores a set-up that was just made; its reference picture gets the id that the content names. */
  keepNew(id: string, content: NewSetupContent, state: Uint8Array, reference: EvidencePicture): void;
  /** Stores the place that goes on with the same pictures; null where the earlier one's state isn't in hand yet. */
  keepFurther(id: string, content: WheelSetupContent, state: Uint8Array | null, earlierId: string): void;
  /** Stores a change; without a state the one in the book goes on. */
  keepChange(id: string, content: WheelSetupContent, state?: Uint8Array): void;
  /** What the reader knew of a kept set-up, or null where the book has nothing or can't be asked. */
  stateOf(id: string): Promise<Uint8Array | null>;
}

export function createSetupKeeper(client: Client, outbox: Outbox): SetupKeeper {
  const put = (send: () => Promise<unknown>): void =>
    outbox.put('The set-up', async () => {
      await send();
    });
  return {
    keepNew(id, content, state, { jpeg, widthPx, heightPx }) {
      put(async () => {
        const bytes = await blobToBase64(jpeg);
        const picture = { id: content.referencePictureId, mime: 'image/jpeg' as const, widthPx, heightPx, bytes };
        return client.call('setup.create', { id, content, readerState: toBase64(state), pictures: [picture] });
      });
    },
    keepFurther(id, content, state, earlierId) {
      put(async () => {
        const kept =
          state === null ? await client.call('setup.readerState', { id: earlierId }) : { readerState: toBase64(state) };
        return client.call('setup.create', { id, content, ...kept, pictures: [] });
      });
    },
    keepChange(id, content, state) {
      put(() => {
        const kept = state === undefined ? {} : { readerState: toBase64(state) };
        return client.call('setup.update', { id, content, ...kept });
      });
    },
    async stateOf(id) {
      const kept = await client.call('setup.readerState', { id }).catch(() => null);
      return kept?.readerState == null ? null : fromBase64(kept.readerState);
    },
  };
}
