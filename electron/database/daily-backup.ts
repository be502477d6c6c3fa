import { isDailyDue, makeBackup, removeUnfinished, thinBackups } from './backup.ts';
import type { BookHolder } from './holder.ts';

/** The first look comes when the start is over, so that the list is on the screen before the disk is busy. */
const firstLookMs = 20_000;
const lookEveryMs = 3_600_000;

export interface DailyBackups {
  /** One look: makes the day's backup if it is missing, then thins out. */
  look(now?: Date): Promise<void>;
  /** Why the latest backup of the day could not be made, for the person to read; null where all is well. */
  problem(): string | null;
  stop(): void;
}

/**
 * Backs the book up once a day while the program runs; a failure is told and tried again an hour later.
 * @param tell shows a sentence on the page
 */
export function startDailyBackups(
  books: BookHolder,
  { log, tell }: { log: (sentence: string) => void; tell: (sentence: string) => void },
): DailyBackups {
  let problem: string | null = null;
  async function look(now: Date = new Date()): Promise<void> {
    if (books.problem() !== null || books.book().readOnlyReason !== null) return;
    // Nobody waits for a look: whatever goes wrong in it has to be told here.
    try {
      if (!isDailyDue(books.path, now)) return;
      await makeBackup(books.book().database, books.path, 'daily', { at: now });
      thinBackups(books.path);
      problem = null;
    } catch (error) {
      const reason = error instanceof Error ? error.message : String(error);
      log(`the daily backup failed: ${reason}`);
      const sentence = `Today's backup was not made. ${reason}`;
      // The same trouble every hour is told once.
      if (sentence !== problem) tell(sentence);
      problem = sentence;
    }
  }
  removeUnfinished(books.path);
  const first = setTimeout(() => void look(), firstLookMs);
  const next = setInterval(() => void look(), lookEveryMs);
  first.unref();
  next.unref();
  return {
    look,
    problem: () => problem,
    stop() {
      clearTimeout(first);
      clearInterval(next);
    },
  };
}
