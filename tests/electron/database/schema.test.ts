import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { migrate, schemaVersion } from '../../../electron/database/migrate.ts';
import { migrations, programSchemaVersion } from '../../../electron/database/migrations/index.ts';
import { openTestBook } from '../../support/book.ts';

interface SchemaObject {
  type: string;
  name: string;
  sql: string;
}

function schemaOf(upTo: number): Record<string, string> {
  const database = new Sqlite(':memory:');
  migrate(database, upTo);
  const rows = database
    .prepare(
      "SELECT type, name, sql FROM sqlite_schema WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%' ORDER BY type, name",
    )
    .all() as SchemaObject[];
  database.close();
  return Object.fromEntries(rows.map(({ type, name, sql }) => [`${type} ${name}`, sql.replaceAll(/\s+/g, ' ')]));
}

const snapshotPath = join(import.meta.dirname, 'schema-snapshot.json');
const snapshot = JSON.parse(readFileSync(snapshotPath, 'utf8')) as Record<string, Record<string, string>>;

describe('the schema', () => {
  it('has migrations whose versions rise by one', () => {
    expect(migrations.map(({ version }) => version)).toEqual(migrations.map((_, index) => index + 1));
  });

  it.each(migrations.map(({ version }) => version))('is, after migration %i, exactly what was shipped', (version) => {
    expect(schemaOf(version)).toEqual(snapshot[String(version)]);
  });

  it('only grows: no table, column or trigger of an earlier version is lost', () => {
    for (const { version } of migrations.slice(1)) {
      const before = snapshot[String(version - 1)] ?? {};
      const after = snapshot[String(version)] ?? {};
      for (const [name, sql] of Object.entries(before)) {
        const now = after[name];
        expect(now, name).toBeDefined();
        // ALTER TABLE ADD COLUMN leaves the old text in front.
        if (name.startsWith('table ')) expect(now?.startsWith(sql.replace(/\) STRICT$/, '')), name).toBe(true);
        else expect(now, name).toBe(sql);
      }
    }
  });

  it('has only STRICT tables, search tables aside', () => {
    for (const [name, sql] of Object.entries(schemaOf(programSchemaVersion))) {
      if (name.startsWith('table ') && !name.startsWith('table search')) expect(sql, name).toMatch(/STRICT$/);
    }
  });

  it('stands on every row that a person makes: a workplace and a check sum', () => {
    const tables = [
      'customer',
      'part',
      'build',
      'mock_up',
      'picture',
      'wheel_setup',
      'reading',
      'reading_mark',
      'sheet',
    ];
    const schema = schemaOf(programSchemaVersion);
    for (const table of tables) {
      expect(schema[`table ${table}`], table).toContain('workplace_id TEXT NOT NULL REFERENCES workplace (id)');
      expect(schema[`table ${table}`], table).toContain('check_sum INTEGER NOT NULL');
    }
  });
});

describe('an open book', () => {
  it('waits for the disk at each commit, keeps a write-ahead log and enforces foreign keys', async () => {
    const { books } = await openTestBook();
    const { database } = books.book();
    expect(database.pragma('journal_mode', { simple: true })).toBe('wal');
    expect(database.pragma('synchronous', { simple: true })).toBe(2);
    expect(database.pragma('foreign_keys', { simple: true })).toBe(1);
    expect(schemaVersion(database)).toBe(programSchemaVersion);
  });
});
