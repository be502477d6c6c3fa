import { copyFileSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { bookFileName } from '../../../electron/database/location.ts';
import { migrations, programSchemaVersion } from '../../../electron/database/migrations/index.ts';
import { openTestBook } from '../../support/book.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const layouts = join(import.meta.dirname, '..', '..', '..', 'native-fixtures', 'books');
const layoutPath = (version: number): string => join(layouts, `layout-${version}.sqlite`);

const recordTables = [
  'change_log',
  'customer',
  'customer_version',
  'part',
  'port',
  'build',
  'mock_up',
  'picture',
  'wheel_setup',
  'wheel_setup_state',
  'reading',
  'reading_mark',
  'sheet',
  'build_activity',
];

function rowsOf(path: string): Record<string, Record<string, unknown>[]> {
  const database = new Sqlite(path, { readonly: true });
  try {
    return Object.fromEntries(
      recordTables.map((table) => [
        table,
        database.prepare(`SELECT * FROM ${table} ORDER BY 1, 2`).all() as Record<string, unknown>[],
      ]),
    );
  } finally {
    database.close();
  }
}

describe('a book of every layout since the first', () => {
  it('is kept in native-fixtures', () => {
    for (const { version } of migrations) expect(readdirSync(layouts)).toContain(`layout-${version}.sqlite`);
  });

  it.each(migrations.map(({ version }) => version))('of layout %i opens with every row as it was', async (version) => {
    const folder = temporaryFolder();
    const path = join(folder, bookFileName);
    copyFileSync(layoutPath(version), path);
    const { client, books } = await openTestBook({ folder });
    expect((await client.call('app.info', {})).readOnlyReason).toBeNull();
    expect(books.book().database.pragma('user_version', { simple: true })).toBe(programSchemaVersion);
    expect(await client.call('book.check', {})).toEqual({ isSound: true, findings: [] });

    const { rows } = await client.call('book.list', { query: 'ferrowick four' });
    expect(rows.map(({ title, mockUps }) => [title, mockUps])).toEqual([
      ['Hire karts, four barrels of one casting', 5],
    ]);
    const whole = await client.call('build.whole', { id: rows[0]?.buildId ?? '' });
    const measured = await client.call('mockUp.whole', { id: whole.mockUps[0]?.id ?? '' });
    expect(measured.setups.map(({ by, turnComplete }) => [by, turnComplete])).toEqual([
      ['typed', false],
      ['camera', true],
    ]);
    expect(measured.marks.map(({ mark }) => mark)).toEqual(['doubtful']);
    expect(measured.readings.filter(({ supersedesId }) => supersedesId !== null)).toHaveLength(1);
    const sheets = await client.call('sheet.list', { mockUpId: measured.mockUp.id });
    expect((await client.call('sheet.get', { id: sheets[0]?.id ?? '' })).snapshot).toEqual({ durationDeg: 176 });
    books.close();

    const before = rowsOf(layoutPath(version));
    const after = rowsOf(path);
    for (const table of recordTables) {
      const [old, now] = [before[table] ?? [], after[table] ?? []];
      expect(now.length, table).toBe(old.length);
      for (const [index, row] of old.entries()) expect(now[index], table).toMatchObject(row);
    }
    if (version < programSchemaVersion) {
      const [backup] = readdirSync(join(folder, 'backups'));
      expect(rowsOf(join(folder, 'backups', backup ?? ''))).toEqual(before);
    }
  });

  it('stays as it was kept', () => {
    for (const { version } of migrations) {
      // The layout stands in the header of the file, so a replaced one is noticed.
      expect(readFileSync(layoutPath(version)).readUInt32BE(60), `layout ${version}`).toBe(version);
    }
  });
});
