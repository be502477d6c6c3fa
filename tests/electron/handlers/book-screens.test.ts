import { writeFileSync } from 'node:fs';
import Sqlite from 'better-sqlite3';
import { v7 } from 'uuid';
import { expect, it } from 'vitest';
import { makeMockUp, openTestBook, quantityReading } from '../../support/book.ts';
import { exportBytes, fillBook, upload, wholeBook } from '../../support/books.ts';

it('the list is put in order by name, those without one last, and narrowed by engine, customer and readings', async () => {
  const { client } = await openTestBook();
  const first = await makeMockUp(client, 'beta');
  const second = await makeMockUp(client, 'Alpha');
  await client.call('build.create', { title: 'gamma', jobNumber: 'J-1' });
  await client.call('reading.add', { reading: quantityReading(first.mockUp.id, 0.3) });
  const titles = async (asked: Parameters<typeof client.call<'book.list'>>[1]) =>
    (await client.call('book.list', asked)).rows.map((row) => row.title);
  expect(await titles({ order: 'title' })).toEqual(['Alpha', 'beta', 'gamma']);
  expect((await titles({ order: 'engine' })).at(-1)).toBe('gamma');
  expect(await titles({ measured: 'with_readings' })).toEqual(['beta']);
  expect(await titles({ measured: 'without_readings', order: 'title' })).toEqual(['Alpha', 'gamma']);
  expect(await titles({ engineId: second.build.engineId })).toEqual(['Alpha']);
  expect(await titles({ customerId: v7() })).toEqual([]);
});

it('the history says what a reading and a mark on it were, although neither is ever edited', async () => {
  const { client } = await openTestBook();
  const made = await fillBook(client);
  const changes = await client.call('history.list', { buildId: made.build.id });
  const mark = changes.find((change) => change.entity === 'reading_mark');
  expect(mark?.record).toMatchObject({
    mark: 'doubtful',
    reason: 'wheel moved',
    reading: { subject: { edge: 'opens' } },
  });
  expect(changes.filter((change) => change.entity === 'reading').map((change) => change.record)).toContainEqual(
    expect.objectContaining({ subject: expect.objectContaining({ quantity: 'ring_end_gap', value: 0.3 }) as unknown }),
  );
  expect(changes.find((change) => change.entity === 'build')?.record).toBeNull();
});

it('a rehearsed import tells what the import then does, and stores nothing', async () => {
  const from = await openTestBook();
  await fillBook(from.client);
  const archive = await exportBytes(from.client, { scope: 'book' });
  const to = await openTestBook();
  const before = wholeBook(to);
  const uploadId = await upload(to.client, archive);
  const rehearsed = await to.client.call('exchange.rehearse', { uploadId });
  expect(wholeBook(to)).toEqual(before);
  expect(await to.client.call('exchange.import', { uploadId })).toEqual(rehearsed);
  expect(rehearsed.added['readings']).toBe(3);
});

it('the table of readings of one build holds only its readings', async () => {
  const { client } = await openTestBook();
  const one = await makeMockUp(client, 'One');
  const other = await makeMockUp(client, 'Other');
  await client.call('reading.add', { reading: quantityReading(one.mockUp.id, 0.3) });
  await client.call('reading.add', { reading: quantityReading(other.mockUp.id, 0.4) });
  const linesOf = async (buildIds: string[]) => {
    const { exportId, fileName } = await client.call('exchange.table', { buildIds });
    expect(fileName).toMatch(/readings .*\.csv$/);
    const { bytes } = await client.call('download.read', { exportId, offset: 0 });
    return Buffer.from(bytes, 'base64').toString().trim().split('\n').slice(1);
  };
  expect(await linesOf([])).toHaveLength(2);
  const lines = await linesOf([one.build.id]);
  expect(lines).toHaveLength(1);
  expect(lines[0]).toContain('One');
});

it('a CSV import is rehearsed line by line without storing, and cut as the person says', async () => {
  const { client } = await openTestBook();
  const { mockUp } = await makeMockUp(client);
  const text = 'ring_end_gap;0,31\nring_end_gap;x\n';
  const { mapping, rows } = await client.call('csv.inspect', { text, as: { delimiter: ';', hasHeader: false } });
  expect(rows).toHaveLength(2);
  const asked = {
    importId: v7(),
    mockUpId: mockUp.id,
    text,
    mapping: { ...mapping, decimal: 'comma' as const, valueColumn: 1, quantityColumn: 0, unit: 'mm' },
  };
  const rehearsed = await client.call('csv.import', { ...asked, isRehearsal: true });
  expect(rehearsed).toMatchObject({
    added: 1,
    refused: [{ line: 2 }],
    understood: [{ line: 1, value: 0.31, unit: 'mm' }],
  });
  expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toEqual([]);
  expect((await client.call('csv.import', asked)).added).toBe(1);
});

it('a CSV import counts the readings whose unit nobody said, and fills in only where a line names none', async () => {
  const { client } = await openTestBook();
  const { mockUp } = await makeMockUp(client);
  const text = 'what;unit;value\nring_end_gap;in;0.012\nring_end_gap;;0.31\nmarks;;1\n';
  const { mapping } = await client.call('csv.inspect', { text });
  const rehearse = async (unit: string) => {
    const asked = { importId: v7(), mockUpId: mockUp.id, text, mapping: { ...mapping, unit }, isRehearsal: true };
    const { withoutUnit, understood } = await client.call('csv.import', asked);
    return [withoutUnit, understood.map((reading) => reading.unit)];
  };
  // Marks have no unit to ask for.
  expect(await rehearse('')).toEqual([1, ['in', '', '']]);
  expect(await rehearse('mm')).toEqual([0, ['in', 'mm', 'mm']]);
});

it('a book that was held by another program can be opened again without starting anew', async () => {
  const made = await openTestBook();
  await makeMockUp(made.client);
  made.books.close();
  const other = new Sqlite(made.path);
  other.pragma('locking_mode = EXCLUSIVE');
  other.exec('BEGIN EXCLUSIVE');
  const { client } = await openTestBook({ folder: made.folder });
  expect((await client.call('app.info', {})).bookTrouble).toMatchObject({ kind: 'locked', isReadable: false });
  other.exec('ROLLBACK');
  other.close();
  expect(await client.call('book.reopen', {})).toEqual({ bookTrouble: null });
  expect((await client.call('book.list', {})).total).toBe(1);
}, 20_000);

it('a file that is no book is told as damaged and unreadable', async () => {
  const made = await openTestBook();
  made.books.close();
  writeFileSync(made.path, 'a letter, not a database '.repeat(200));
  const { client } = await openTestBook({ folder: made.folder });
  expect((await client.call('app.info', {})).bookTrouble).toMatchObject({ kind: 'damaged', isReadable: false });
});
