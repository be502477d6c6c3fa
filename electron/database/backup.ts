import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Sqlite, { type Database } from 'better-sqlite3';
import type { Backup } from '../../core/contract/book-messages.ts';
import { AsideError, backupAside } from './aside.ts';
import { BookError, toBookError } from './book-errors.ts';
import { bookApplicationId } from './migrate.ts';
import { unwatchedWork, type Work } from './work.ts';

/** Backups of each day are kept for a week, then one a week for a month, then one a month for a year. */
const keptDailies = 7;
const keptWeeklies = 4;
const keptMonthlies = 12;

/** A database file and what SQLite may leave beside it. */
const sideFiles = ['', '-wal', '-shm', '-journal'] as const;

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
  const stat = statSync(join(folder, name), { throwIfNoEntry: false });
  if (stat === undefined) return null;
  return { name, madeAt: `${day}T${hours}:${minutes}:${seconds}.${milliseconds}Z`, sizeBytes: stat.size, kind };
}

/** All backups, newest first. */
export function listBackups(bookPath: string): Backup[] {
  const folder = backupFolder(bookPath);
  if (!existsSync(folder)) return [];
  return namesIn(folder)
    .map((name) => fromName(folder, name))
    .filter((backup) => backup !== null)
    .sort((first, second) => (first.madeAt < second.madeAt ? 1 : -1));
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch (error) {
    throw withFileCode(error);
  }
}

/**
 * Copies the book by SQLite's own backup while stamps go on, checks the copy in full and only then gives it its name.
 * @throws BookError `disk_full`, `book_damaged` where the copy isn't sound; EnvironmentError `stopped`; no half backup
 * is left behind
 */
export async function makeBackup(
  database: Database,
  bookPath: string,
  kind: Backup['kind'],
  { at = new Date(), work = unwatchedWork }: { at?: Date; work?: Work } = {},
): Promise<Backup> {
  const folder = backupFolder(bookPath);
  const name = backupName(kind, at);
  const unfinished = join(folder, `${name}.unfinished`);
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const findings = await backupAside(database.name, unfinished, work);
    if (findings.length > 0) {
      throw new BookError(
        'book_damaged',
        `The backup is not sound (${findings[0]}), so it was not kept.`,
        'The book itself may be damaged: restore an earlier backup, or save what can be read.',
      );
    }
    renameSync(unfinished, join(folder, name));
  } catch (error) {
    for (const ending of sideFiles) rmSync(unfinished + ending, { force: true });
    throw toBookError(withFileCode(error));
  }
  return fromName(folder, name) as Backup;
}

/** Keeps the book as it was before its layout changes. */
export async function backupBeforeMigration(database: Database, bookPath: string): Promise<string> {
  const { name } = await makeBackup(database, bookPath, 'before_layout');
  return join(backupFolder(bookPath), name);
}

/** @throws BookError `not_found` where no such backup is there */
export function backupPath(bookPath: string, name: string): string {
  const path = join(backupFolder(bookPath), basename(name));
  if (basename(name) !== name || !namePattern.test(name) || !existsSync(path)) {
    throw new BookError('not_found', 'There is no such backup any more.', 'Look at the list again.');
  }
  return path;
}

/** A checked copy of a backup beside the book, ready to be put in its place. */
export interface IncomingBook {
  /** Puts it in the place of the book, which must be closed. */
  putInPlace(): void;
  discard(): void;
}

/**
 * Copies a backup beside the book and checks the copy in full; book and backup stay as they are.
 * @throws BookError where the backup isn't sound or no book of ours; EnvironmentError `stopped`
 */
export async function fetchBackup(bookPath: string, name: string, work: Work = unwatchedWork): Promise<IncomingBook> {
  const source = backupPath(bookPath, name);
  const incoming = `${bookPath}.incoming`;
  const discard = () => {
    for (const ending of sideFiles) rmSync(incoming + ending, { force: true });
  };
  try {
    discard();
    const findings = await backupAside(source, incoming, {
      signal: work.signal,
      report: (_, part) => work.report('Checking the backup in full; nothing is changed by that', part),
    });
    if (findings.length > 0 || !isBuildBook(incoming)) throw unsoundBackup(findings[0] ?? 'it is no build book');
  } catch (error) {
    discard();
    const known = toBookError(withFileCode(error));
    // Damage of the backup would else be told as damage of the book.
    const isDamage = known instanceof BookError && known.code === 'book_damaged' && error instanceof AsideError;
    throw isDamage ? unsoundBackup(error.message) : known;
  }
  return {
    putInPlace() {
      // The old log belongs to the old file: left behind it would be played into the new one.
      for (const ending of ['-wal', '-shm']) rmSync(bookPath + ending, { force: true });
      renameSync(incoming, bookPath);
    },
    discard,
  };
}

function unsoundBackup(finding: string): BookError {
  return new BookError(
    'book_damaged',
    `This backup is not sound (${finding}), so the book was left as it is.`,
    'Take another one.',
  );
}

function isBuildBook(path: string): boolean {
  const database = new Sqlite(path, { readonly: true });
  try {
    return (database.pragma('application_id', { simple: true }) as number) === bookApplicationId;
  } finally {
    database.close();
  }
}

/** A book that was moved out of the way. */
export interface SetAside {
  /** Name of the file inside the folder of the backups. */
  readonly name: string;
  putBack(): void;
}

/** Moves a book that can't be written, log included, out of the way; it stays for whoever may still read it. */
export function setBookAside(bookPath: string, at: Date = new Date()): SetAside | null {
  if (!existsSync(bookPath) && !existsSync(`${bookPath}-wal`)) return null;
  const folder = backupFolder(bookPath);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  const name = `damaged-${at.toISOString().replaceAll(':', '').replace('.', '-')}.sqlite`;
  const move = (from: string, to: string) => {
    for (const ending of ['', '-wal', '-shm']) if (existsSync(from + ending)) renameSync(from + ending, to + ending);
  };
  move(bookPath, join(folder, name));
  return { name, putBack: () => move(join(folder, name), bookPath) };
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

/** Is there none of this day? A clock that stood ahead once left a later one, which says nothing about today. */
export function isDailyDue(bookPath: string, now: Date): boolean {
  const today = now.toISOString().slice(0, 10);
  return !listBackups(bookPath).some(({ kind, madeAt }) => kind === 'daily' && madeAt.startsWith(today));
}

/** Copies that a power cut or a kill left half done. Only where no other program works in the folder. */
export function removeUnfinished(bookPath: string): void {
  const folder = backupFolder(bookPath);
  try {
    for (const name of readdirSync(folder)) {
      if (/\.unfinished(-wal|-shm|-journal)?$/.test(name)) rmSync(join(folder, name), { force: true });
    }
    for (const ending of sideFiles) rmSync(`${bookPath}.incoming${ending}`, { force: true });
  } catch {
    // No such folder yet, or it is write-protected: the next backup will say so.
  }
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
      'Your account may not read or write in the folder "backups" beside the book.',
      'Give it the right to do both there.',
    );
  }
  if (code === 'ENOTDIR' || code === 'EEXIST') {
    return new BookError(
      'book_unreadable',
      'Where the folder "backups" beside the book should be, something else is.',
      'Look into the folder of the book and move it away.',
    );
  }
  return error;
}
