import { v7 as newId } from 'uuid';
import type { WheelReading } from '../../core/wheel/types.ts';
import type { FromWorker, ToWorker } from '../wheel-worker/messages.ts';

/** Pictures that are being read again by the worker. */
export interface ReReads {
  /** @param isMirrored the picture is one of a camera that mirrors, as it came */
  read(picture: Blob, state: Uint8Array | null, isMirrored: boolean): Promise<WheelReading>;
  answer(message: Extract<FromWorker, { kind: 're_read_done' }>): void;
  /** Nothing that was asked will be answered any more. */
  giveUp(why: string): void;
}

export function createReReads(send: (message: ToWorker) => void): ReReads {
  const waiting = new Map<string, { resolve(reading: WheelReading): void; reject(error: Error): void }>();
  return {
    read(picture, state, isMirrored) {
      const requestId = newId();
      return new Promise((resolve, reject) => {
        waiting.set(requestId, { resolve, reject });
        send({ kind: 're_read', requestId, picture, isMirrored, state });
      });
    },
    answer({ requestId, reading, detail }) {
      const asked = waiting.get(requestId);
      waiting.delete(requestId);
      if (reading === null) asked?.reject(new Error(detail));
      else asked?.resolve(reading);
    },
    giveUp(why) {
      for (const asked of waiting.values()) asked.reject(new Error(why));
      waiting.clear();
    },
  };
}
