import Sqlite, { type Database, type Statement } from 'better-sqlite3';
import type { Id, Time } from '../../core/contract/basics.ts';
import { BookError, toBookError } from './book-errors.ts';
import type { SqlValue } from './check-sum.ts';

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
  close(): void;
}

const slowQueryMs = 40;
/** How long another program's short write is waited for before "locked" is said. */
const busyTimeoutMs = 2000;

export interface ConnectionOptions {
  readonly readonly: boolean;
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
  const writer: BookWriter = {
    ...read,
    run: (sql, ...values) => timed(sql, () => prepared(sql).run(...bindable(sql, values)).changes),
    newId: () => options.newId(),
    now: () => options.now(),
    workplaceId: options.workplaceId,
  };
  return {
    database,
    read,
    write(step) {
      const reason = options.readOnlyReason();
      if (reason !== null) throw new BookError('book_read_only', reason, 'Nothing was changed.');
      try {
        return database.transaction(() => step(writer)).immediate();
      } catch (error) {
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
