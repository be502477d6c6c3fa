import { chmodSync, copyFileSync, existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, dirname, join } from 'node:path';
import type { Database } from 'better-sqlite3';
import type { Id } from '../../core/contract/basics.ts';
import type { BookTrouble } from '../../core/contract/book-messages.ts';
import { backupBeforeMigration, listBackups, setBookAside } from './backup.ts';
import { BookError, toBookError } from './book-errors.ts';
import { type Connection, type ConnectionOptions, createConnection, openDatabase } from './connection.ts';
import { createIdSource } from './ids.ts';
import { bookApplicationId, migrate, schemaVersion } from './migrate.ts';
import { programSchemaVersion } from './migrations/index.ts';
import { storageWarning } from './storage-place.ts';
import { readWorkplace, type Workplace } from './workplace.ts';

export interface Book extends Connection {
  readonly path: string;
  readonly workplace: Workplace;
  /** Why nothing can be written, or null. */
  readonly readOnlyReason: string | null;
  /** The same as one of a closed list, for a screen that has to say what to do. */
  readonly readOnlyKind: BookTrouble['kind'] | null;
  /** Plain sentences for the user about the opening. */
  readonly notices: readonly string[];
}

export interface OpenOptions {
  clock?: () => number;
  log?: (sentence: string) => void;
  workplace?: Workplace;
}

/** Pages of 4096 bytes up to which the whole file is checked at each start. */
const checkedPages = 10_000;

/** Time by which the clock may stand behind the newest entry before it is spoken of. */
const clockSetBackToleranceMs = 120_000;

/**
 * Opens the build book, makes it where there is none, and brings its schema up to date after a backup.
 * A newer, damaged or write-protected book opens read-only where it can, with the reason; the file isn't touched then.
 * @throws BookError `book_damaged`, `book_locked`, `book_unreadable` where it can't even be read
 */
export async function openBook(path: string, options: OpenOptions = {}): Promise<Book> {
  const clock = options.clock ?? Date.now;
  const workplace = options.workplace ?? readWorkplace(dirname(path));
  const notices: string[] = [];
  const isNew = !existsSync(path) || statSync(path).size === 0;
  if (isNew) notices.push(...earlierBook(path));
  const { database, readOnlyReason, readOnlyKind } = isNew
    ? { database: openForWriting(path), readOnlyReason: null, readOnlyKind: null }
    : openExisting(path);
  try {
    if (readOnlyReason === null) {
      const version = schemaVersion(database);
      if (!isNew && version < programSchemaVersion) await backupBeforeMigration(database, path);
      migrate(database);
    } else if (schemaVersion(database) < programSchemaVersion) {
      throw new BookError(
        'book_read_only',
        "The book comes from an older Portsight and has to be brought up to date, but can't be written.",
        readOnlyReason,
      );
    }
    const last = newestChange(database, workplace.id);
    const ids = createIdSource(last, clock);
    if (last !== null && Date.parse(last.madeAt) - clock() > clockSetBackToleranceMs) {
      notices.push(
        `The computer's clock stands earlier than the newest entry of the book (${last.madeAt}). Entries keep their order and carry that time until the clock has caught up: set the clock right.`,
      );
    }
    if (readOnlyReason === null) {
      database
        .prepare('INSERT OR IGNORE INTO workplace (id, name, created_at) VALUES (?, ?, ?)')
        .run(workplace.id, workplace.name, ids.now());
    }
    const connection = withLongWrites(path, database, {
      workplaceId: workplace.id,
      newId: ids.newId,
      now: ids.now,
      ...(options.log === undefined ? {} : { log: options.log }),
      readOnlyReason: () => readOnlyReason,
    });
    const place = storageWarning(dirname(path));
    if (place !== null) notices.push(place);
    return { ...connection, path, workplace, readOnlyReason, readOnlyKind, notices };
  } catch (error) {
    database.close();
    throw toBookError(error);
  }
}

/**
 * Long transactions run on a connection of their own, so that what is read meanwhile is the book as it was before;
 * short ones are refused until it has ended. The one door to the handlers makes messages wait instead.
 */
function withLongWrites(path: string, database: Database, options: ConnectionOptions): Connection {
  const connection = createConnection(database, options);
  let isWritingLong = false;
  return {
    ...connection,
    write(step) {
      if (isWritingLong) throw busyWithLongWrite();
      return connection.write(step);
    },
    async writeInSlices(step, slices) {
      if (isWritingLong) throw busyWithLongWrite();
      isWritingLong = true;
      let own: Connection | null = null;
      try {
        own = options.readOnlyReason() === null ? createConnection(openForWriting(path), options) : connection;
        return await own.writeInSlices(step, slices);
      } finally {
        if (own !== connection) own?.close();
        isWritingLong = false;
      }
    },
  };
}

function busyWithLongWrite(): BookError {
  return new BookError(
    'book_locked',
    'The book is taking in an archive; nothing was changed.',
    'Wait until it is done, or stop it, and do this again.',
  );
}

/**
 * A book that is gone or emptied, by a failing disk or a sync client, must not look like one that was never begun.
 * @returns sentences for the user
 */
function earlierBook(path: string): string[] {
  const was = existsSync(path) ? 'was empty' : 'was not there';
  // Opening an emptied file would throw its log away, with whatever was stored last in it.
  const hasLog = existsSync(`${path}-wal`) && statSync(`${path}-wal`).size > 0;
  const aside = hasLog ? setBookAside(path) : null;
  const kept = aside === null ? '' : ` What was left of it is kept as ${aside.name} beside the backups.`;
  if (aside === null && !hasBackups(path)) return [];
  return [
    `The file of the book ${was}, so a new book was begun.${kept} If you had builds in it, restore the latest backup under "Backups and help".`,
  ];
}

function hasBackups(path: string): boolean {
  try {
    return listBackups(path).length > 0;
  } catch {
    return false;
  }
}

function openForWriting(path: string): Database {
  try {
    return openDatabase(path, false);
  } catch (error) {
    throw toBookError(error);
  }
}

/**
 * Looks at the file before anything may change it: a foreign, newer or damaged one is never opened for writing.
 * @throws BookError where it can't even be read
 */
function openExisting(path: string): {
  database: Database;
  readOnlyReason: string | null;
  readOnlyKind: BookTrouble['kind'] | null;
} {
  const looked = openForReading(path);
  let readOnlyReason: string | null = null;
  let readOnlyKind: BookTrouble['kind'] | null = null;
  try {
    checkIsBook(looked);
    const version = schemaVersion(looked);
    const damage = findDamage(looked);
    if (version > programSchemaVersion) {
      readOnlyKind = 'newer';
      readOnlyReason = `This book was last written by a newer Portsight (its layout is ${version}, this program knows ${programSchemaVersion}). It is open for reading only: update Portsight to write in it.`;
    } else if (damage !== null) {
      readOnlyKind = 'damaged';
      readOnlyReason = `The book is damaged (${damage}). It is open for reading only and nothing in it was changed: restore a backup, or save what can be read.`;
    }
  } catch (error) {
    looked.close();
    throw toBookError(error);
  }
  if (readOnlyReason !== null) return { database: looked, readOnlyReason, readOnlyKind };
  try {
    const database = openDatabase(path, false);
    looked.close();
    return { database, readOnlyReason: null, readOnlyKind: null };
  } catch (error) {
    const bookError = toBookError(error);
    if (!(bookError instanceof BookError) || bookError.code === 'book_locked' || bookError.code === 'book_damaged') {
      looked.close();
      throw bookError;
    }
    return {
      database: looked,
      readOnlyKind: 'write_protected',
      readOnlyReason: `The book or its folder (${dirname(path)}) is write-protected, so it is open for reading only. Give your account the right to write there and start again.`,
    };
  }
}

function openForReading(path: string): Database {
  try {
    const database = openDatabase(path, true);
    try {
      schemaVersion(database);
      return database;
    } catch (error) {
      database.close();
      throw error;
    }
  } catch (error) {
    const bookError = toBookError(error);
    if (
      !(bookError instanceof BookError) ||
      (bookError.code !== 'book_unreadable' && bookError.code !== 'book_read_only')
    ) {
      throw bookError;
    }
    return openCopy(path, bookError);
  }
}

/**
 * In a folder where nothing can be written SQLite can't make the small files that reading a write-ahead log needs.
 * Nobody can be writing there either, so a copy shows the same.
 */
function openCopy(path: string, reason: BookError): Database {
  const folder = mkdtempSync(join(tmpdir(), 'portsight-reading-'));
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
  try {
    const copy = join(folder, basename(path));
    for (const ending of ['', '-wal']) if (existsSync(path + ending)) copyFileSync(path + ending, copy + ending);
    for (const ending of ['', '-wal']) if (existsSync(copy + ending)) chmodSync(copy + ending, 0o600);
    return openDatabase(copy, true);
  } catch {
    throw reason;
  }
}

/** Refuses a SQLite file of another program: it must never get our tables. */
function checkIsBook(database: Database): void {
  const applicationId = database.pragma('application_id', { simple: true }) as number;
  const tables = database.prepare("SELECT count(*) AS n FROM sqlite_schema WHERE type = 'table'").get() as {
    n: number;
  };
  if (applicationId === bookApplicationId || tables.n === 0) return;
  throw new BookError(
    'book_damaged',
    'The file is a database of another program, not a build book; nothing in it was changed.',
    'Name another folder for the book.',
  );
}

/** @returns what is wrong, or null */
function findDamage(database: Database): string | null {
  // A book with hundreds of megabytes of pictures must still open at once: there the check of the daily backup has to do.
  const pages = database.pragma('page_count', { simple: true }) as number;
  if (pages > checkedPages) return null;
  const rows = database.pragma('integrity_check(1)') as { integrity_check: string }[];
  const first = rows[0]?.integrity_check ?? 'ok';
  // SQLite's first line only says in which database; the finding stands below it.
  return first === 'ok' ? null : (first.split('\n').find((line) => line !== '' && !line.startsWith('***')) ?? first);
}

function newestChange(database: Database, workplaceId: Id): { id: Id; madeAt: string } | null {
  const row = database
    .prepare('SELECT id, made_at AS madeAt FROM change_log WHERE workplace_id = ? ORDER BY seq DESC LIMIT 1')
    .get(workplaceId) as { id: Id; madeAt: string } | undefined;
  return row ?? null;
}
