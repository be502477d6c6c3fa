import { join } from 'node:path';
import Sqlite, { type Database } from 'better-sqlite3';

export interface InstanceLock {
  release(): void;
}

/**
 * Makes sure that one Portsight at a time works in a data folder. The lock is a write lock of SQLite on a small file
 * of its own: the system takes it back whichever way the process ends, so a crash leaves no stale lock behind.
 * @returns `not_possible` where the folder can't be written: nothing needs protecting then
 */
export function takeInstanceLock(folder: string): InstanceLock | 'held_by_another' | 'not_possible' {
  let database: Database;
  try {
    database = new Sqlite(join(folder, 'instance.lock'), { timeout: 0 });
  } catch {
    return 'not_possible';
  }
  try {
    database.pragma('locking_mode = EXCLUSIVE');
    database.pragma('journal_mode = MEMORY');
    database.exec('BEGIN EXCLUSIVE');
    return {
      release() {
        database.close();
      },
    };
  } catch (error) {
    database.close();
    if (error instanceof Sqlite.SqliteError && error.code.startsWith('SQLITE_BUSY')) return 'held_by_another';
    return 'not_possible';
  }
}
