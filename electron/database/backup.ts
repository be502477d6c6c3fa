import { mkdirSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { Database } from 'better-sqlite3';

/** Folder of the backups beside the book. */
export function backupFolder(bookPath: string): string {
  return join(dirname(bookPath), 'backups');
}

/** Time as it may stand in a file name on every platform. */
export function timeInFileName(at: Date): string {
  return at.toISOString().replaceAll(':', '').replace('.', '-');
}

/**
 * Keeps the book as it was before its schema changes, by SQLite's own backup: copying the live file would miss its log.
 * @returns path of the backup
 */
export async function backupBeforeMigration(database: Database, bookPath: string, version: number): Promise<string> {
  const folder = backupFolder(bookPath);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const target = join(folder, `before-layout-${version + 1}-${timeInFileName(new Date())}.sqlite`);
  await database.backup(target);
  return target;
}
