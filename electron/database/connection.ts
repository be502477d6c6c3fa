import Sqlite, { type Database, type Statement } from 'better-sqlite3';
import type { Id, Time } from '../../core/contract/basics.ts';
import { BookError, toBookError } from './book-errors.ts';
import type { SqlValue } from './check-sum.ts';
import { createSlices, type Slices } from './work.ts';

/** Reading side of the book. */
export interface BookReader {
  all<Row>(sql: string, ...values: SqlValue[]): Row[];
  get<Row>(sql: string, ...values: SqlValue[]): Row | undefined;
  each<Row>(sql: string, ...values: SqlValue[]): IterableIterator<Row>;
}

/** Writing side; exists only inside `Connection.write`, which is one transaction. */
export interface BookWriter extends BookReader {
  run(sql: string, ...values: SqlValue[]): number;
  newId(): Id;
  now(): Time;
  readonly workplaceId: Id;
}

/** One open SQLite file with its prepared statements. */
export interface Connection {
  readonly database: Database;
  readonly read: BookReader;
  /** Runs one transaction; everything or nothing is stored, and it is on the disk when this returns. */
  write<T>(step: (writer: BookWriter) => T): T;
  /**
   * Runs one transaction in slices, so that reading goes on meanwhile and shows the book as it was before.
   * @param step yields between rows, each time the part that is done
   * @throws EnvironmentError `stopped`; nothing of it is stored then
   */
  writeInSlices<T>(step: (writer: BookWriter) => Generator<number, T, void>, options: SliceOptions): Promise<T>;
  close(): void;
}

export interface SliceOptions {
  readonly signal: AbortSignal;
  readonly onPart: (part: number) => void;
  /** False: everything is done in full and taken back. */
  readonly isKept: boolean;
}

const slowQueryMs = 40;
/** How long another program's short write is waited for before "locked" is said. */
const busyTimeoutMs = 2000;

export interface ConnectionOptions {
  readonly workplaceId: Id;
  newId(): Id;
  now(): Time;
  /** Called with the name of a slow query. */
  log?(sentence: string): void;
  /** Why writing is refused, or null. */
  readOnlyReason(): string | null;
}

/** Opens the raw file and sets what every connection of ours needs. */
export function openDatabase(path: string, readonly: boolean): Database {
  const database = new Sqlite(path, { readonly, timeout: busyTimeoutMs });
  try {
    database.pragma('foreign_keys = ON');
    database.pragma('trusted_schema = OFF');
    // The temporary files that ALTER and big sorts need stay in memory: a full /tmp must not stop a stamp.
    database.pragma('temp_store = MEMORY');
    if (!readonly) {
      database.pragma('journal_mode = WAL');
      // Stamps are few and must survive a power cut: each commit waits for the disk.
      database.pragma('synchronous = FULL');
      // Removed personal details are overwritten, not only unlinked.
      database.pragma('secure_delete = ON');
    }
    return database;
  } catch (error) {
    database.close();
    throw error;
  }
}

/** Wraps an open database with cached statements, slow-query notes and errors that carry a sentence. */
export function createConnection(database: Database, options: ConnectionOptions): Connection {
  const statements = new Map<string, Statement>();
  function prepared(sql: string): Statement {
    const known = statements.get(sql);
    if (known !== undefined) return known;
    const made = database.prepare(sql);
    statements.set(sql, made);
    return made;
  }
  function timed<T>(sql: string, step: () => T): T {
    const start = performance.now();
    try {
      return step();
    } catch (error) {
      throw toBookError(error);
    } finally {
      const tookMs = performance.now() - start;
      if (tookMs > slowQueryMs) options.log?.(`slow query, ${tookMs.toFixed(0)} ms: ${sql.slice(0, 120)}`);
    }
  }
  const read: BookReader = {
    all: <Row>(sql: string, ...values: SqlValue[]) =>
      timed(sql, () => prepared(sql).all(...bindable(sql, values)) as Row[]),
    get: <Row>(sql: string, ...values: SqlValue[]) =>
      timed(sql, () => prepared(sql).get(...bindable(sql, values)) as Row | undefined),
    each: <Row>(sql: string, ...values: SqlValue[]) =>
      // A statement that is being walked through can't be used again, so this one isn't shared.
      timed(sql, () => database.prepare(sql).iterate(...bindable(sql, values)) as IterableIterator<Row>),
  };
  function refuseIfReadOnly(): void {
    const reason = options.readOnlyReason();
    if (reason !== null) throw new BookError('book_read_only', reason, 'Nothing was changed.');
  }
  const writer: BookWriter = {
    ...read,
    run: (sql, ...values) => timed(sql, () => prepared(sql).run(...bindable(sql, values)).changes),
    newId: () => options.newId(),
    now: () => options.now(),
    workplaceId: options.workplaceId,
  };
  /** What a commit would find: a rehearsal ends without one. */
  async function refuseOrphans(slices: Slices): Promise<void> {
    const tables = read.all<{ name: string }>("SELECT name FROM sqlite_schema WHERE type = 'table'");
    for (const { name } of tables) {
      const orphans = database.pragma(`foreign_key_check(${name})`) as unknown[];
      if (orphans.length > 0) throw new Sqlite.SqliteError('FOREIGN KEY', 'SQLITE_CONSTRAINT_FOREIGNKEY');
      if (slices.isOver()) await slices.pause();
    }
  }
  return {
    database,
    read,
    write(step) {
      refuseIfReadOnly();
      try {
        return database.transaction(() => step(writer)).immediate();
      } catch (error) {
        throw toBookError(error);
      }
    },
    async writeInSlices(step, { signal, onPart, isKept }) {
      refuseIfReadOnly();
      const slices = createSlices({ signal });
      try {
        database.exec('BEGIN IMMEDIATE');
        const steps = step(writer);
        for (;;) {
          const { done, value } = steps.next();
          if (done === true) {
            if (!isKept) await refuseOrphans(slices);
            database.exec(isKept ? 'COMMIT' : 'ROLLBACK');
            return value;
          }
          if (!slices.isOver()) continue;
          onPart(value);
          await slices.pause();
        }
      } catch (error) {
        // A refused commit leaves the transaction open.
        if (database.inTransaction) database.exec('ROLLBACK');
        throw toBookError(error);
      }
    },
    close: () => database.close(),
  };
}

/** The library takes numbered places (`?1`, used more than once) only by name. */
function bindable(sql: string, values: SqlValue[]): unknown[] {
  if (!sql.includes('?1')) return values;
  return [Object.fromEntries(values.map((value, index) => [String(index + 1), value]))];
}
