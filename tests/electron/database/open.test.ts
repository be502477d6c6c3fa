import { execFileSync } from 'node:child_process';
import { chmodSync, copyFileSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { BookError } from '../../../electron/database/book-errors.ts';
import { bookFileName } from '../../../electron/database/location.ts';
import { migrate } from '../../../electron/database/migrate.ts';
import { programSchemaVersion } from '../../../electron/database/migrations/index.ts';
import { openBook } from '../../../electron/database/open.ts';
import { makeMockUp, openTestBook, quantityReading } from '../../support/book.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

/** A closed book with one mock-up and one reading. */
async function filledBook() {
  const { folder, path, books, client } = await openTestBook();
  const { mockUp } = await makeMockUp(client);
  const reading = await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) });
  books.close();
  return { folder, path, mockUp, reading };
}

async function openingError(path: string): Promise<BookError> {
  try {
    (await openBook(path)).close();
  } catch (error) {
    if (error instanceof BookError) return error;
    throw error;
  }
  throw new Error('the book opened');
}

describe('opening a book', () => {
  it('shows everything again that was stored before', async () => {
    const { folder, mockUp, reading } = await filledBook();
    const { client } = await openTestBook({ folder });
    const whole = await client.call('mockUp.whole', { id: mockUp.id });
    expect(whole.readings).toEqual([reading]);
  });

  it('of a newer program is for reading only, says so, and leaves the file as it was', async () => {
    const { folder, path, mockUp } = await filledBook();
    const raw = new Sqlite(path);
    raw.pragma(`user_version = ${programSchemaVersion + 1}`);
    raw.close();
    const before = readFileSync(path);
    const { client, books } = await openTestBook({ folder });
    const info = await client.call('app.info', {});
    expect(info.readOnlyReason).toMatch(/newer Portsight.*update Portsight/i);
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(1);
    await expect(client.call('reading.add', { reading: quantityReading(mockUp.id, 0.4) })).rejects.toMatchObject({
      code: 'book_read_only',
    });
    books.close();
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  it('whose tables are damaged is for reading only, says so, and leaves the file as it was', async () => {
    const { folder, path } = await filledBook();
    const bytes = readFileSync(path);
    // The index pages at the end: the tables before them can still be read.
    bytes.fill(0xa5, bytes.length - 8192, bytes.length - 4096);
    writeFileSync(path, bytes);
    const { client, books } = await openTestBook({ folder });
    const info = await client.call('app.info', {});
    expect(info.readOnlyReason).toMatch(/damaged.*restore a backup/i);
    books.close();
    expect(readFileSync(path).equals(bytes)).toBe(true);
  });

  it('that is no database at all is refused with a sentence, and the page still learns of it', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, bookFileName), 'a letter to the maker, not a database '.repeat(200));
    const { client, dispatch } = await openTestBook({ folder });
    expect((await client.call('app.info', {})).readOnlyReason).toMatch(/not a build book.*Restore a backup/);
    expect(await dispatch('book.list', {})).toMatchObject({ ok: false, error: { code: 'book_damaged' } });
    expect(readFileSync(join(folder, bookFileName), 'utf8')).toMatch(/^a letter/);
  });

  it('that is the database of another program gets no tables of ours', async () => {
    const path = join(temporaryFolder(), bookFileName);
    const foreign = new Sqlite(path);
    foreign.exec('CREATE TABLE invoices (number INTEGER)');
    foreign.close();
    const before = readFileSync(path);
    expect((await openingError(path)).message).toMatch(/another program/);
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  it('that another program holds locked says so, and works once it is let go', async () => {
    const { folder, path, mockUp } = await filledBook();
    const { client } = await openTestBook({ folder });
    const other = new Sqlite(path);
    other.exec('BEGIN IMMEDIATE');
    await expect(client.call('reading.add', { reading: quantityReading(mockUp.id, 0.4) })).rejects.toMatchObject({
      code: 'book_locked',
      message: expect.stringMatching(/Another program.*Close that program/) as string,
    });
    other.exec('ROLLBACK');
    other.close();
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.4) });
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(2);
  });

  it('in a write-protected folder reads it and says so', async (ctx) => {
    ctx.skip(process.platform === 'win32', 'Windows has no such permissions');
    const { folder, path, reading } = await filledBook();
    chmodSync(folder, 0o555);
    chmodSync(path, 0o444);
    // Root may write everywhere, so the book is opened by a process of a user without rights.
    const script = `
      const { createBookHolder } = await import(${JSON.stringify(join(import.meta.dirname, '../../../electron/database/holder.ts'))});
      const books = await createBookHolder(${JSON.stringify(path)});
      const problem = books.problem();
      const book = problem === null ? books.book() : null;
      console.log(JSON.stringify({ problem: problem?.message ?? null, reason: book?.readOnlyReason ?? null,
        readings: book?.read.all('SELECT id FROM reading') ?? [] }));
      books.close();`;
    const output = execFileSync(process.execPath, ['--input-type=module', '-e', script], {
      ...(process.getuid?.() === 0 ? { uid: 65534, gid: 65534 } : {}),
      encoding: 'utf8',
    });
    chmodSync(folder, 0o755);
    expect(JSON.parse(output)).toMatchObject({ problem: null, readings: [{ id: reading.id }] });
    expect((JSON.parse(output) as { reason: string }).reason).toMatch(/write-protected.*right to write/);
  });

  it('after the clock was set back keeps the order of entries and says so', async () => {
    const { folder, mockUp } = await filledBook();
    const earlier = Date.parse('2020-01-01T00:00:00.000Z');
    const { client, books } = await openTestBook({ folder, clock: () => earlier });
    expect((await client.call('app.info', {})).notices.join(' ')).toMatch(/clock.*set the clock right/);
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.4) });
    const { readings } = await client.call('mockUp.whole', { id: mockUp.id });
    expect(readings.map(({ subject }) => subject.what === 'quantity' && subject.value)).toEqual([0.3, 0.4]);
    expect((readings[1]?.createdAt ?? '') >= (readings[0]?.createdAt ?? 'none')).toBe(true);
    const log = books.book().read.all<{ id: string }>('SELECT id FROM change_log ORDER BY seq');
    expect(log.every(({ id }, index) => index === 0 || id > (log[index - 1]?.id ?? ''))).toBe(true);
  });

  it('on another computer goes on under a workplace of its own', async () => {
    const { folder } = await filledBook();
    const workplaceFile = join(folder, 'workplace.json');
    const first = JSON.parse(readFileSync(workplaceFile, 'utf8')) as { id: string; computer: string };
    writeFileSync(workplaceFile, JSON.stringify({ ...first, computer: 'the other bench' }));
    const { client } = await openTestBook({ folder });
    expect((await client.call('app.info', {})).workplaceId).not.toBe(first.id);
  });

  it('finds a flipped digit inside a stored reading by its check sum instead of showing it', async () => {
    const { folder, path, mockUp } = await filledBook();
    const bytes = readFileSync(path);
    const at = bytes.indexOf('"value":0.3,');
    expect(at).toBeGreaterThan(0);
    bytes.write('"value":0.8,', at);
    writeFileSync(path, bytes);
    const { dispatch } = await openTestBook({ folder });
    expect(await dispatch('mockUp.whole', { id: mockUp.id })).toMatchObject({
      ok: false,
      error: { code: 'row_damaged' },
    });
  });

  it.each([
    { what: 'what was entered', sound: '"name":"left end"', flipped: '"name":"heft end"', in: 'mockUp.whole' },
    { what: 'what the reader knows', sound: 'AAAABBBBCCCC', flipped: 'AAAABBBBCCCD', in: 'setup.readerState' },
  ] as const)(
    'finds a digit that flips in a set-up after it was read once: $what',
    async ({ sound, flipped, in: name }) => {
      const { client, dispatch, path } = await openTestBook();
      const { mockUp } = await makeMockUp(client);
      const setup = await client.call('setup.create', {
        id: v7(),
        content: { mockUpId: mockUp.id, name: 'left end', forwards: null, by: 'camera' },
        readerState: 'AAAABBBBCCCC',
      });
      const read = () => dispatch(name, { id: name === 'mockUp.whole' ? mockUp.id : setup.id });
      expect(await read()).toMatchObject({ ok: true });
      const other = new Sqlite(path);
      // The table refuses every change; a failing disk doesn't ask.
      const guards = other.prepare("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?").pluck();
      for (const name of guards.all('wheel_setup_state')) other.exec(`DROP TRIGGER ${String(name)}`);
      other.exec(
        `UPDATE wheel_setup_state SET content = replace(content, '${sound}', '${flipped}'),
         reader_state = replace(reader_state, '${sound}', '${flipped}')`,
      );
      other.close();
      expect(await read()).toMatchObject({ ok: false, error: { code: 'row_damaged' } });
    },
  );
});

describe('bringing an old book up to date', () => {
  it('keeps a backup of it as it was', async () => {
    const folder = temporaryFolder();
    const path = join(folder, bookFileName);
    const old = new Sqlite(path);
    migrate(old, 1);
    old.exec(
      "INSERT INTO workplace VALUES ('01900000-0000-7000-8000-000000000001', 'old bench', '2026-01-01T00:00:00.000Z')",
    );
    // What a later program version would find: the same file, one layout behind.
    old.pragma('user_version = 0');
    old.pragma('user_version = 1');
    old.close();
    const book = await openBook(path);
    const backups = programSchemaVersion > 1 ? readdirSync(join(folder, 'backups')) : [];
    expect(backups).toHaveLength(programSchemaVersion > 1 ? 1 : 0);
    expect(book.read.get('SELECT name FROM workplace WHERE name = ?', 'old bench')).toBeDefined();
    book.close();
    for (const name of backups) {
      const copy = join(folder, 'copy.sqlite');
      copyFileSync(join(folder, 'backups', name), copy);
      const kept = new Sqlite(copy, { readonly: true });
      expect(kept.pragma('user_version', { simple: true })).toBe(1);
      kept.close();
      rmSync(copy);
    }
  });
});
