import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Sqlite, { type Database } from 'better-sqlite3';
import type { Backup } from '../../core/contract/book-messages.ts';
import { AsideError, backupAside } from './aside.ts';
import { BookError, toBookError } from './book-errors.ts';
import { bookApplicationId } from './migrate.ts';

/** Backups of each day are kept for a week, then one a week for a month, then one a month for a year. */
const keptDailies = 7;
const keptWeeklies = 4;
const keptMonthlies = 12;

const prefixes: Record<Backup['kind'], string> = {
  daily: 'daily',
  by_hand: 'by-hand',
  before_restore: 'before-restore',
  before_layout: 'before-layout',
  salvaged: 'salvaged',
};
const namePattern =
  /^(daily|by-hand|before-restore|before-layout|salvaged)-(\d{4}-\d\d-\d\d)T(\d\d)(\d\d)(\d\d)-(\d{3})Z[\w-]*\.sqlite$/;

/** Folder of the backups beside the book. */
export function backupFolder(bookPath: string): string {
  return join(dirname(bookPath), 'backups');
}

/** Name of a new backup; the time in it may stand in a file name on every platform. */
export function backupName(kind: Backup['kind'], at: Date): string {
  return `${prefixes[kind]}-${at.toISOString().replaceAll(':', '').replace('.', '-')}.sqlite`;
}

function fromName(folder: string, name: string): Backup | null {
  const found = namePattern.exec(name);
  if (found === null) return null;
  const [, prefix, day, hours, minutes, seconds, milliseconds] = found;
  const kind = (Object.keys(prefixes) as Backup['kind'][]).find((known) => prefixes[known] === prefix);
  if (kind === undefined) return null;
  return {
    name,
    madeAt: `${day}T${hours}:${minutes}:${seconds}.${milliseconds}Z`,
    sizeBytes: statSync(join(folder, name)).size,
    kind,
  };
}

/** All backups, newest first. */
export function listBackups(bookPath: string): Backup[] {
  const folder = backupFolder(bookPath);
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .map((name) => fromName(folder, name))
    .filter((backup) => backup !== null)
    .sort((first, second) => (first.madeAt < second.madeAt ? 1 : -1));
}

/**
 * Copies the book by SQLite's own backup while stamps go on, checks the copy in full and only then gives it its name.
 * @throws BookError `disk_full`, `book_damaged` where the copy isn't sound; no half backup is left behind
 */
export async function makeBackup(
  database: Database,
  bookPath: string,
  kind: Backup['kind'],
  at: Date = new Date(),
): Promise<Backup> {
  const folder = backupFolder(bookPath);
  const name = backupName(kind, at);
  const unfinished = join(folder, `${name}.unfinished`);
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const findings = await backupAside(database.name, unfinished);
    if (findings.length > 0) {
      throw new BookError(
        'book_damaged',
        `The backup is not sound (${findings[0]}), so it was not kept.`,
        'The book itself may be damaged: restore an earlier backup, or save what can be read.',
      );
    }
    renameSync(unfinished, join(folder, name));
  } catch (error) {
    for (const ending of ['', '-wal', '-shm', '-journal']) rmSync(unfinished + ending, { force: true });
    throw toBookError(withFileCode(error));
  }
  return fromName(folder, name) as Backup;
}

/** Keeps the book as it was before its layout changes. */
export async function backupBeforeMigration(database: Database, bookPath: string): Promise<string> {
  const { name } = await makeBackup(database, bookPath, 'before_layout');
  return join(backupFolder(bookPath), name);
}

/** Full check of a file by SQLite itself: pages, indexes and foreign keys. @returns findings, empty where sound */
export function checkFile(path: string): string[] {
  const database = new Sqlite(path, { readonly: true });
  try {
    return checkDatabase(database);
  } finally {
    database.close();
  }
}

export function checkDatabase(database: Database): string[] {
  try {
    const rows = database.pragma('integrity_check(20)') as { integrity_check: string }[];
    const findings = rows.map(({ integrity_check }) => integrity_check).filter((text) => text !== 'ok');
    const orphans = database.pragma('foreign_key_check') as { table: string; parent: string }[];
    return [
      ...findings,
      ...orphans.slice(0, 20).map(({ table, parent }) => `a row of ${table} refers to a missing row of ${parent}`),
    ];
  } catch (error) {
    return [error instanceof Error ? error.message : String(error)];
  }
}

/** @throws BookError `not_found` where no such backup is there */
export function backupPath(bookPath: string, name: string): string {
  const path = join(backupFolder(bookPath), basename(name));
  if (basename(name) !== name || !namePattern.test(name) || !existsSync(path)) {
    throw new BookError('not_found', 'There is no such backup any more.', 'Look at the list again.');
  }
  return path;
}

/**
 * Puts a backup in the place of the book, which must be closed. The backup itself stays.
 * @throws BookError where the backup isn't sound or no book of ours; the book is untouched then
 */
export async function putBackupInPlace(bookPath: string, name: string): Promise<void> {
  const source = backupPath(bookPath, name);
  const incoming = `${bookPath}.incoming`;
  const backup = new Sqlite(source, { readonly: true });
  try {
    const findings = checkDatabase(backup);
    if (findings.length > 0 || (backup.pragma('application_id', { simple: true }) as number) !== bookApplicationId) {
      throw new BookError(
        'book_damaged',
        `This backup is not sound (${findings[0] ?? 'it is no build book'}).`,
        'Take another one.',
      );
    }
    rmSync(incoming, { force: true });
    await backup.backup(incoming);
  } catch (error) {
    rmSync(incoming, { force: true });
    throw toBookError(withFileCode(error));
  } finally {
    backup.close();
  }
  // The old log belongs to the old file: left behind it would be played into the new one.
  for (const ending of ['-wal', '-shm']) rmSync(bookPath + ending, { force: true });
  renameSync(incoming, bookPath);
}

/**
 * Moves a book that can't be opened, log included, out of the way; it stays for whoever may still read it.
 * @returns name of the file inside the folder of the backups, or null where there was none
 */
export function keepDamagedFile(bookPath: string, at: Date = new Date()): string | null {
  if (!existsSync(bookPath)) return null;
  const folder = backupFolder(bookPath);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const name = `damaged-${at.toISOString().replaceAll(':', '').replace('.', '-')}.sqlite`;
  for (const ending of ['', '-wal', '-shm']) {
    if (existsSync(bookPath + ending)) renameSync(bookPath + ending, join(folder, name + ending));
  }
  return name;
}

/** Removes dailies that the rhythm no longer asks for; what was made by hand or before a step stays. */
export function thinBackups(
  bookPath: string,
  remove: (path: string) => void = (path) => rmSync(path, { force: true }),
): string[] {
  const dailies = listBackups(bookPath).filter(({ kind }) => kind === 'daily');
  const kept = new Set<string>();
  const keepFirstOf = (period: (madeAt: string) => string, count: number) => {
    const seen = new Set<string>();
    for (const { name, madeAt } of dailies) {
      if (seen.has(period(madeAt))) continue;
      if (seen.size === count) return;
      seen.add(period(madeAt));
      kept.add(name);
    }
  };
  keepFirstOf((madeAt) => madeAt.slice(0, 10), keptDailies);
  keepFirstOf((madeAt) => String(Math.floor(Date.parse(madeAt) / (7 * 86_400_000))), keptWeeklies);
  keepFirstOf((madeAt) => madeAt.slice(0, 7), keptMonthlies);
  const removed = dailies.filter(({ name }) => !kept.has(name)).map(({ name }) => name);
  for (const name of removed) remove(join(backupFolder(bookPath), name));
  return removed;
}

/** Does the latest daily backup stem from an earlier day? */
export function isDailyDue(bookPath: string, now: Date): boolean {
  const latest = listBackups(bookPath).find(({ kind }) => kind === 'daily');
  return latest === undefined || latest.madeAt.slice(0, 10) !== now.toISOString().slice(0, 10);
}

function withFileCode(error: unknown): unknown {
  if (error instanceof AsideError) return toBookError(new Sqlite.SqliteError(error.message, error.code));
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOSPC' || code === 'EDQUOT' || code === 'EFBIG') {
    return new BookError(
      'disk_full',
      'The disk is full, so the backup could not be made; the book is kept.',
      'Free some space and do it again.',
    );
  }
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS') {
    return new BookError(
      'book_read_only',
      'The folder of the backups is write-protected.',
      'Give your account the right to write there.',
    );
  }
  return error;
}
