import { mkdirSync, renameSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Sqlite, { type Database } from 'better-sqlite3';
import { backupFolder, backupName } from './backup.ts';
import { toBookError } from './book-errors.ts';
import type { SqlRow, SqlValue } from './check-sum.ts';
import { migrate } from './migrate.ts';
import { recordTables } from './record-tables.ts';
import { rowIsSound } from './rows.ts';
import { createSlices, unwatchedWork, type Work } from './work.ts';

export interface Salvage {
  readonly name: string;
  /** Rows by table that were read and fit their check sum. */
  readonly saved: Record<string, number>;
  /** Rows by table that could be seen but not read, or whose check sum didn't fit. */
  readonly lost: Record<string, number>;
}

/** Rows are probed up to this many places beyond the last one that was read. */
const probedRows = 5000;

/**
 * Saves what can be read of a damaged book into a fresh one beside the backups; the damaged file isn't touched.
 * Every row is checked against its check sum, so what is saved is what was stored.
 * @throws EnvironmentError `stopped`; the fresh book isn't left behind then
 */
export async function salvageBook(
  bookPath: string,
  { at = new Date(), work = unwatchedWork }: { at?: Date; work?: Work } = {},
): Promise<Salvage> {
  const folder = backupFolder(bookPath);
  const name = backupName('salvaged', at);
  const target = join(folder, `${name}.unfinished`);
  mkdirSync(folder, { recursive: true, mode: 0o700 });
  rmSync(target, { force: true });
  const saved: Record<string, number> = {};
  const lost: Record<string, number> = {};
  let fresh: Database | null = null;
  let damaged: Database | null = null;
  try {
    fresh = new Sqlite(target);
    migrate(fresh);
    fresh.pragma('foreign_keys = OFF');
    damaged = new Sqlite(bookPath, { readonly: true });
    const slices = createSlices(work);
    for (const [place, table] of recordTables.entries()) {
      const counts = await copyTable(damaged, fresh, table, async () => {
        work.report('Saving what can be read', place / recordTables.length);
        if (slices.isOver()) await slices.pause();
      });
      if (counts.saved > 0) saved[table] = counts.saved;
      if (counts.lost > 0) lost[table] = counts.lost;
    }
    dropOrphans(fresh, lost);
    rebuildDerived(fresh);
    fresh.pragma('journal_mode = DELETE');
    fresh.close();
    fresh = null;
    renameSync(target, join(folder, name));
    return { name, saved, lost };
  } catch (error) {
    fresh?.close();
    for (const ending of ['', '-journal']) rmSync(target + ending, { force: true });
    throw toBookError(error);
  } finally {
    damaged?.close();
  }
}

async function copyTable(
  from: Database,
  to: Database,
  table: string,
  pause: () => Promise<void>,
): Promise<{ saved: number; lost: number }> {
  const columns = (to.pragma(`table_info(${table})`) as { name: string }[]).map(({ name }) => name);
  const insert = to.prepare(
    `INSERT OR IGNORE INTO ${table} (${columns.join(', ')}) VALUES (${columns.map(() => '?').join(', ')})`,
  );
  let saved = 0;
  let lost = 0;
  const keep = (row: SqlRow) => {
    const isSound = !('check_sum' in row) || rowIsSound(row);
    if (!isSound) {
      lost += 1;
      return;
    }
    try {
      saved += insert.run(...columns.map((column) => (row[column] ?? null) as SqlValue)).changes;
    } catch {
      lost += 1;
    }
  };
  to.exec('BEGIN');
  lost += await eachReadableRow(from, table, keep, pause);
  to.exec('COMMIT');
  return { saved, lost };
}

/** Walks a table by its row numbers, stepping over what can't be read. @returns rows that were seen but not read */
async function eachReadableRow(
  from: Database,
  table: string,
  keep: (row: SqlRow) => void,
  pause: () => Promise<void>,
): Promise<number> {
  let unread = 0;
  let rowid = 0;
  let failures = 0;
  let next: ReturnType<Database['prepare']>;
  let exact: ReturnType<Database['prepare']>;
  try {
    next = from.prepare(`SELECT rowid AS "row number", * FROM ${table} WHERE rowid > ? ORDER BY rowid LIMIT 1`);
    exact = from.prepare(`SELECT rowid AS "row number", * FROM ${table} WHERE rowid = ?`);
  } catch {
    // The table's own definition is gone.
    return 0;
  }
  const last = lastRowid(from, table);
  for (;;) {
    await pause();
    let row: (SqlRow & { 'row number': number }) | undefined;
    try {
      row = (failures === 0 ? next.get(rowid) : exact.get(rowid + failures)) as typeof row;
    } catch {
      row = undefined;
      if (failures > 0) unread += 1;
      failures += 1;
      if (failures > probedRows || (last !== null && rowid + failures > last)) return unread;
      continue;
    }
    if (row === undefined) {
      if (failures === 0) return unread;
      failures += 1;
      if (failures > probedRows || (last !== null && rowid + failures > last)) return unread;
      continue;
    }
    const { 'row number': number, ...values } = row;
    rowid = number;
    failures = 0;
    keep(values);
  }
}

function lastRowid(from: Database, table: string): number | null {
  try {
    return (from.prepare(`SELECT max(rowid) AS last FROM ${table}`).get() as { last: number | null }).last;
  } catch {
    return null;
  }
}

/** A row whose foundation is lost can't be shown: it is taken out and counted, until nothing refers to nothing. */
function dropOrphans(fresh: Database, lost: Record<string, number>): void {
  const triggers = fresh
    .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' AND name LIKE '%_refuses_%'")
    .all() as {
    name: string;
    sql: string;
  }[];
  for (const { name } of triggers) fresh.exec(`DROP TRIGGER ${name}`);
  for (;;) {
    const orphans = fresh.pragma('foreign_key_check') as { table: string; rowid: number }[];
    if (orphans.length === 0) break;
    for (const { table, rowid } of orphans) {
      const { changes } = fresh.prepare(`DELETE FROM ${table} WHERE rowid = ?`).run(rowid);
      if (changes > 0) lost[table] = (lost[table] ?? 0) + changes;
    }
  }
  for (const { sql } of triggers) fresh.exec(sql);
}

function rebuildDerived(fresh: Database): void {
  fresh.exec(`
    INSERT OR REPLACE INTO build_activity (build_id, changed_at)
      SELECT b.id, max(coalesce((SELECT max(r.created_at) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = b.id), ''),
        (SELECT max(made_at) FROM change_log WHERE row_id = b.id)) FROM build b;`);
  rebuildSearch(fresh);
}

/** Makes the search anew from the records. */
export function rebuildSearch(database: Database): void {
  database.exec(`
    DELETE FROM search_entry;
    INSERT INTO search_entry (row_id, entity, title, body)
      SELECT id, 'customer', content ->> 'name', coalesce(content ->> 'contact', '') FROM customer;
    INSERT INTO search_entry (row_id, entity, title, body)
      SELECT id, 'part', content ->> 'name', concat_ws(' ', content ->> 'marks', content ->> 'notes') FROM part;
    INSERT INTO search_entry (row_id, entity, title, body)
      SELECT id, 'mock_up', content ->> 'name', coalesce(content ->> 'notes', '') FROM mock_up;
    INSERT INTO search_entry (row_id, entity, title, body)
      SELECT b.id, 'build', b.content ->> 'title', concat_ws(' ', b.content ->> 'jobNumber', b.content ->> 'measuredBy',
        b.content ->> 'notes', c.content ->> 'name', e.content ->> 'name', e.content ->> 'marks',
        (SELECT group_concat(concat_ws(' ', m.content ->> 'name', m.content ->> 'notes', p.content ->> 'name', p.content ->> 'marks'), ' ')
         FROM mock_up m JOIN part p ON p.id = m.barrel_id WHERE m.build_id = b.id))
      FROM build b LEFT JOIN customer c ON c.id = b.customer_id LEFT JOIN part e ON e.id = b.engine_id;`);
}
