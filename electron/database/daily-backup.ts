import { isDailyDue, makeBackup, thinBackups } from './backup.ts';
import type { BookHolder } from './holder.ts';

/** The first look comes when the start is over, so that the list is on the screen before the disk is busy. */
const firstLookMs = 20_000;
const lookEveryMs = 3_600_000;

export interface DailyBackups {
  /** One look: makes the day's backup if it is missing, then thins out. */
  look(now?: Date): Promise<void>;
  stop(): void;
}

/** Backs the book up once a day while the program runs; a failure is logged and tried again an hour later. */
export function startDailyBackups(books: BookHolder, log: (sentence: string) => void): DailyBackups {
  async function look(now: Date = new Date()): Promise<void> {
    if (books.problem() !== null || books.book().readOnlyReason !== null || !isDailyDue(books.path, now)) return;
    try {
      await makeBackup(books.book().database, books.path, 'daily', now);
      thinBackups(books.path);
    } catch (error) {
      log(`the daily backup failed: ${error instanceof Error ? error.message : String(error)}`);
    }
  }
  const first = setTimeout(() => void look(), firstLookMs);
  const next = setInterval(() => void look(), lookEveryMs);
  first.unref();
  next.unref();
  return {
    look,
    stop() {
      clearTimeout(first);
      clearInterval(next);
    },
  };
}
