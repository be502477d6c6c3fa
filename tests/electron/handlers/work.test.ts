import { createHash, randomUUID } from 'node:crypto';
import { copyFileSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Announcement } from '../../../core/contract/messages.ts';
import { bookFileName } from '../../../electron/database/location.ts';
import { makeMockUp, openTestBook, quantityReading, type TestBook } from '../../support/book.ts';
import { fillLargeBook } from '../../support/book-bench/large-book.ts';
import { openBookSession } from '../../support/book-session.ts';
import { exportBytes, upload, wholeBook } from '../../support/books.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

/** Large enough that each kind of work is still going on when its first report is heard. */
const size = { builds: 150, readingsInBuild: 50, picturesInBuild: 2 };
let archive: Buffer;
let largeFolder: string;

beforeAll(async () => {
  const folder = mkdtempSync(join(tmpdir(), 'portsight-test-'));
  largeFolder = folder;
  const large = await openBookSession(folder);
  fillLargeBook(large.books.book(), size, 1);
  archive = await exportBytes(large.client, { scope: 'book' });
  large.books.close();
  return () => rmSync(folder, { recursive: true, force: true });
}, 60_000);

async function openLarge(): Promise<TestBook> {
  const folder = temporaryFolder();
  copyFileSync(join(largeFolder, bookFileName), join(folder, bookFileName));
  return openTestBook({ folder });
}

function reportsOf({ announcements }: TestBook, workId: string) {
  const isOurs = (one: Announcement) => one.topic === 'work' && one.workId === workId;
  return announcements.filter(isOurs) as Extract<Announcement, { topic: 'work' }>[];
}

/** Waits for a report of the work, then asks it to end. @returns how the work's own call ended */
async function stopAt(book: TestBook, workId: string, call: Promise<unknown>, sentence: RegExp): Promise<unknown> {
  const ended = call.then(
    (value) => ({ value }),
    (error: unknown) => ({ error }),
  );
  let isOver = false;
  void ended.then(() => {
    isOver = true;
  });
  while (!isOver && !reportsOf(book, workId).some((report) => sentence.test(report.sentence)))
    await new Promise((resolve) => setImmediate(resolve));
  const { wasRunning } = await book.client.call('work.stop', { workId });
  expect(wasRunning).toBe(true);
  return ((await ended) as { error?: unknown }).error;
}

const fileHash = (path: string) => createHash('sha256').update(readFileSync(path)).digest('hex');
const stopped = { code: 'stopped' };

describe('work that is stopped', () => {
  it('as an import leaves the book exactly as it was, and goes through when it is done again', async () => {
    const book = await openTestBook();
    await makeMockUp(book.client);
    book.books.book().database.pragma('wal_checkpoint(TRUNCATE)');
    const before = wholeBook(book);
    const hash = fileHash(book.path);
    const uploadId = await upload(book.client, archive);
    const workId = randomUUID();
    const call = book.client.call('exchange.import', { uploadId, workId });
    expect(await stopAt(book, workId, call, /^Importing/)).toMatchObject(stopped);
    expect(wholeBook(book)).toEqual(before);
    expect(fileHash(book.path)).toBe(hash);
    expect(await book.client.call('book.check', {})).toEqual({ isSound: true, findings: [] });
    const report = await book.client.call('exchange.import', { uploadId });
    expect(report.added).toMatchObject({ builds: size.builds, readings: size.builds * size.readingsInBuild });
  }, 60_000);

  it('as a rehearsal stores nothing', async () => {
    const book = await openTestBook();
    const before = wholeBook(book);
    const workId = randomUUID();
    const call = book.client.call('exchange.rehearse', { uploadId: await upload(book.client, archive), workId });
    expect(await stopAt(book, workId, call, /^Working out/)).toMatchObject(stopped);
    expect(wholeBook(book)).toEqual(before);
  }, 60_000);

  it.each([
    ['while it copies', /^Copying/],
    ['while it checks the copy', /^Checking the copy/],
  ])(
    'as a backup %s leaves no half file',
    async (_when, sentence) => {
      const book = await openLarge();
      const before = wholeBook(book);
      const workId = randomUUID();
      const call = book.client.call('backup.make', { workId });
      expect(await stopAt(book, workId, call, sentence)).toMatchObject(stopped);
      expect(readdirSync(join(book.folder, 'backups'))).toEqual([]);
      expect(wholeBook(book)).toEqual(before);
      expect((await book.client.call('backup.make', {})).kind).toBe('by_hand');
    },
    60_000,
  );

  it.each([
    ['every page', /every page/],
    ['every row', /every row/],
  ])(
    'as a check of %s says so and no more',
    async (_what, sentence) => {
      const book = await openLarge();
      const workId = randomUUID();
      const call = book.client.call('book.check', { workId });
      expect(await stopAt(book, workId, call, sentence)).toMatchObject(stopped);
      expect(await book.client.call('book.check', {})).toEqual({ isSound: true, findings: [] });
    },
    60_000,
  );

  it('as a restore leaves the book as it was and nothing beside it', async () => {
    const book = await openLarge();
    const { name } = await book.client.call('backup.make', {});
    await book.client.call('customer.create', { name: 'Made after the backup' });
    const before = wholeBook(book);
    const workId = randomUUID();
    const call = book.client.call('backup.restore', { name, workId });
    expect(await stopAt(book, workId, call, /^Checking the backup/)).toMatchObject(stopped);
    expect(wholeBook(book)).toEqual(before);
    expect(existsSync(`${book.path}.incoming`)).toBe(false);
    expect(readdirSync(join(book.folder, 'backups'))).toEqual([name]);
  }, 60_000);

  it.each(['exchange.export', 'exchange.table'] as const)(
    'as %s leaves no half file',
    async (name) => {
      const book = await openLarge();
      const workId = randomUUID();
      const call =
        name === 'exchange.table'
          ? book.client.call(name, { workId })
          : book.client.call(name, { scope: 'book', workId });
      expect(await stopAt(book, workId, call, /^Writing the file/)).toMatchObject(stopped);
      expect(readdirSync(join(book.folder, 'exports'))).toEqual([]);
    },
    60_000,
  );

  it('after it is over is told so', async () => {
    const { client } = await openTestBook();
    const workId = randomUUID();
    await client.call('book.check', { workId });
    expect(await client.call('work.stop', { workId })).toEqual({ wasRunning: false });
  });
});

describe('an import that goes on', () => {
  it('tells rising parts, shows the book as it was, and lets a stamp wait that is then stored', async () => {
    const book = await openTestBook();
    const { mockUp } = await makeMockUp(book.client);
    const uploadId = await upload(book.client, archive);
    const workId = randomUUID();
    let isImported = false;
    const call = book.client.call('exchange.import', { uploadId, workId }).then(() => {
      isImported = true;
    });
    while (reportsOf(book, workId).length === 0) await new Promise((resolve) => setImmediate(resolve));
    expect((await book.client.call('book.list', {})).total).toBe(1);
    expect(isImported).toBe(false);
    const stamp = book.client.call('reading.add', { reading: quantityReading(mockUp.id, 0.31) }).then(() => isImported);
    await call;
    expect(await stamp).toBe(true);
    expect((await book.client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(1);
    expect((await book.client.call('book.list', {})).total).toBe(1 + size.builds);
    const parts = reportsOf(book, workId).map(({ part }) => part ?? -1);
    expect(parts).toEqual(parts.toSorted((first, second) => first - second));
    expect(parts[0]).toBeGreaterThan(0);
    expect(parts.at(-1)).toBeLessThanOrEqual(1);
  }, 60_000);

  it('is followed by the next one, and a short write that comes past the door is refused with a sentence', async () => {
    const book = await openTestBook();
    const first = book.client.call('exchange.import', { uploadId: await upload(book.client, archive) });
    const second = book.client.call('exchange.import', { uploadId: await upload(book.client, archive) });
    await new Promise((resolve) => setImmediate(resolve));
    expect(() => book.books.book().write(() => 1)).toThrow(/taking in an archive.*Wait until/);
    expect((await first).added).toMatchObject({ builds: size.builds });
    expect(await second).toMatchObject({ added: {}, updated: 0, conflicts: 0 });
  }, 60_000);
});

it('a rehearsal tells of rows that refer to nothing, as the import itself would', async () => {
  const first = await openTestBook();
  await makeMockUp(first.client);
  const known = await first.client.call('exchange.state', {});
  const build = (await first.client.call('book.list', {})).rows[0];
  const customer = (await first.client.call('customer.list', {}))[0];
  const content = { title: 'Renamed', customerId: customer?.id ?? null, engineId: null };
  await first.client.call('build.update', { id: build?.buildId ?? '', content });
  const changes = await exportBytes(first.client, { scope: 'changes', since: known });
  const second = await openTestBook();
  const before = wholeBook(second);
  for (const message of ['exchange.rehearse', 'exchange.import'] as const) {
    const call = second.client.call(message, { uploadId: await upload(second.client, changes) });
    await expect(call).rejects.toThrow(/builds on records that this book does not have/);
  }
  expect(wholeBook(second)).toEqual(before);
});
