import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { MarkKind, ReadingMark } from '../../core/contract/readings.ts';
import { localMark, marksStored } from './local-rows.ts';
import type { Outbox } from './outbox.ts';

export interface MarkKeeperTools {
  readonly client: Client;
  readonly outbox: Outbox;
  whole(): MockUpWhole | null;
  /** Marks of this page that are on their way, latest last. */
  localMarks(): readonly ReadingMark[];
  setLocalMarks(localMarks: readonly ReadingMark[]): void;
  now(): Date;
  /** Whether this reading is shown but not yet in the outbox: its marks must come after it. */
  isStillRead?(readingId: string): boolean;
}

/** Marks readings at once on the screen, and in the book as soon as it can be reached. */
export interface MarkKeeper {
  mark(readingIds: readonly string[], kind: MarkKind, reason: string): void;
  /** The reading has gone into the outbox: its marks follow. */
  readingSent(readingId: string): void;
  /** The reading won't be kept after all: its marks would only be refused. */
  readingDropped(readingId: string): void;
}

const reasonLength = 300;

export function createMarkKeeper(tools: MarkKeeperTools): MarkKeeper {
  const { client, outbox, whole, localMarks, setLocalMarks, now, isStillRead = () => false } = tools;
  /** Marks of readings that aren't in the outbox yet. */
  let held: ReadingMark[] = [];

  function send(marks: readonly ReadingMark[]): void {
    const [first] = marks;
    if (first === undefined) return;
    const { mark, reason } = first;
    outbox.put('A mark', async () => {
      const readingIds = marks.map(({ readingId }) => readingId);
      const stored = await client.call('reading.mark', { readingIds, mark, reason });
      setLocalMarks(marksStored(localMarks(), marks, stored, whole()));
    });
  }

  function takeHeld(readingId: string): ReadingMark[] {
    const its = held.filter((mark) => mark.readingId === readingId);
    held = held.filter((mark) => mark.readingId !== readingId);
    return its;
  }

  return {
    mark(readingIds, kind, reason) {
      const at = now().toISOString();
      const made = readingIds.map((id) => localMark(newId(), id, kind, reason.slice(0, reasonLength), at));
      setLocalMarks([...localMarks(), ...made]);
      held = [...held, ...made.filter(({ readingId }) => isStillRead(readingId))];
      send(made.filter((mark) => !held.includes(mark)));
    },
    readingSent(readingId) {
      for (const mark of takeHeld(readingId)) send([mark]);
    },
    readingDropped(readingId) {
      const dropped = new Set(takeHeld(readingId));
      if (dropped.size > 0) setLocalMarks(localMarks().filter((mark) => !dropped.has(mark)));
    },
  };
}
