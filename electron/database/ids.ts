import { v7 } from 'uuid';
import type { Id, Time } from '../../core/contract/basics.ts';

/** Gives ids and times. A test passes its own clock. */
export interface IdSource {
  newId(): Id;
  now(): Time;
}

/**
 * Ids whose time part never runs backwards, even where the computer's clock was set back: the order of the
 * change log hangs on it. `now()` stays the plain clock, since a time that is shown should be the time it was.
 * @param lastId newest id made by this workplace so far, or null
 */
export function createIdSource(lastId: Id | null, clock: () => number = Date.now): IdSource {
  // One millisecond on: how far the counter had come inside the last one isn't known after a restart.
  let lastMsecs = lastId === null ? 0 : Number.parseInt(lastId.replaceAll('-', '').slice(0, 12), 16) + 1;
  let seq = 0;
  return {
    newId() {
      const now = clock();
      if (now > lastMsecs) {
        lastMsecs = now;
        seq = 0;
      } else {
        seq += 1;
      }
      return v7({ msecs: lastMsecs, seq });
    },
    now: () => new Date(clock()).toISOString(),
  };
}
