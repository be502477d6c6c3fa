import { v7 } from 'uuid';
import type { Id, Time } from '../../core/contract/basics.ts';

/** Gives ids and times. A test passes its own clock. */
export interface IdSource {
  newId(): Id;
  now(): Time;
}

/**
 * Ids and times that never run backwards, even where the computer's clock was set back: the order of the change log,
 * of marks and of corrections hangs on them. What the clock showed when a reading was taken stands in the reading.
 * @param last newest entry of this workplace so far, or null
 */
export function createIdSource(last: { id: Id; madeAt: Time } | null, clock: () => number = Date.now): IdSource {
  // One millisecond on: how far the counter had come inside the last one isn't known after a restart.
  let idMsecs = last === null ? 0 : Number.parseInt(last.id.replaceAll('-', '').slice(0, 12), 16) + 1;
  let nowMsecs = last === null ? 0 : Date.parse(last.madeAt);
  let seq = 0;
  return {
    newId() {
      const now = clock();
      if (now > idMsecs) {
        idMsecs = now;
        seq = 0;
      } else {
        seq += 1;
      }
      return v7({ msecs: idMsecs, seq });
    },
    now() {
      nowMsecs = Math.max(nowMsecs, clock());
      return new Date(nowMsecs).toISOString();
    },
  };
}
