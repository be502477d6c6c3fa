import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { archiveFormatVersion, archiveJsonSchema } from '../../../electron/archive/format.ts';
import { makeMockUp, openTestBook, quantityReading, type TestBook } from '../../support/book.ts';
import { exportBytes, fillBook, importBytes, upload, wholeBook } from '../../support/books.ts';

/** The other book's own rows aside: its workplace is noted at its first start. */
function withoutWorkplace(book: TestBook, id: string): Record<string, unknown[]> {
  const whole = wholeBook(book);
  return { ...whole, workplace: (whole['workplace'] as unknown[]).filter((row) => !String(row).includes(id)) };
}

describe('an archive of the whole book', () => {
  it('brings every row into an empty book exactly as it was, bytes and text alike', async () => {
    const first = await openTestBook();
    await fillBook(first.client);
    const second = await openTestBook();
    const report = await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
    expect(report.conflicts).toBe(0);
    expect(report.added).toMatchObject({ builds: 1, 'mock-ups': 2, readings: 3, pictures: 1, sheets: 1, marks: 1 });
    expect(withoutWorkplace(second, second.books.workplace().id)).toEqual(wholeBook(first));
    expect(await second.client.call('book.check', {})).toEqual({ isSound: true, findings: [] });
  });

  it('imported again adds nothing', async () => {
    const first = await openTestBook();
    await fillBook(first.client);
    const second = await openTestBook();
    const bytes = await exportBytes(first.client, { scope: 'book' });
    await importBytes(second.client, bytes);
    const before = wholeBook(second);
    const report = await importBytes(second.client, bytes);
    expect(report).toMatchObject({ added: {}, updated: 0, conflicts: 0 });
    expect(report.known).toBeGreaterThan(10);
    expect(wholeBook(second)).toEqual(before);
  });

  it('goes round through a second book and comes back without a change', async () => {
    const first = await openTestBook();
    await fillBook(first.client);
    const second = await openTestBook();
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
    const before = wholeBook(first);
    const report = await importBytes(first.client, await exportBytes(second.client, { scope: 'book' }));
    expect(report).toMatchObject({ added: {}, updated: 0, conflicts: 0 });
    expect(withoutWorkplace(first, second.books.workplace().id)).toEqual(before);
  });

  it('holds open formats: JSON with its schema, CSV, JPEG and a text that explains it', async () => {
    const { client } = await openTestBook();
    const { pictureId, sheet, second } = await fillBook(client);
    const files = unzipSync(await exportBytes(client, { scope: 'book' }));
    const text = (name: string) => strFromU8(files[name] ?? new Uint8Array());
    expect(Object.keys(files)).toEqual(
      expect.arrayContaining([
        'portsight.json',
        'schema.json',
        'read-me.txt',
        'data/readings-0001.json',
        'tables/readings.csv',
        `pictures/${pictureId}.jpg`,
        `sheets/${sheet.id}.html`,
      ]),
    );
    expect(JSON.parse(text('schema.json'))).toEqual(JSON.parse(JSON.stringify(archiveJsonSchema())));
    expect(JSON.parse(text('portsight.json'))).toMatchObject({
      format: 'portsight-book',
      formatVersion: 1,
      counts: { readings: 3 },
    });
    const readings = JSON.parse(text('data/readings-0001.json')) as {
      id: string;
      content: { subject: { value: number } };
    }[];
    expect(readings.find(({ id }) => id === second.id)?.content.subject.value).toBe(0.1 + 0.2);
    const csv = text('tables/readings.csv');
    expect(csv.split('\r\n')[0]).toMatch(/^reading,build,mock_up,barrel,what,port,edge/);
    expect(csv).toContain('0.30000000000000004');
    // A spreadsheet must not take a note for a formula.
    expect(csv).toContain(`"'=1+1, ""quoted""\nline"`);
  });

  it('is described by the published schema', () => {
    const published = join(
      import.meta.dirname,
      '../../../docs/archive-format',
      `archive-${archiveFormatVersion}.schema.json`,
    );
    expect(JSON.parse(readFileSync(published, 'utf8'))).toEqual(JSON.parse(JSON.stringify(archiveJsonSchema())));
  });

  it('without customers names none of them, and takes their details in later', async () => {
    const first = await openTestBook();
    const { customer } = await fillBook(first.client);
    const bytes = await exportBytes(first.client, { scope: 'book', includeCustomers: false });
    for (const [name, content] of Object.entries(unzipSync(bytes))) {
      expect(strFromU8(content, true), name).not.toMatch(/Quill|quill@/);
    }
    const second = await openTestBook();
    await importBytes(second.client, bytes);
    expect((await second.client.call('customer.list', {}))[0]?.name).toBe('(details removed)');
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
    expect(await second.client.call('customer.list', {})).toEqual([customer]);
  });
});

describe('an archive of one build', () => {
  it('brings that build with all it needs, and no other', async () => {
    const first = await openTestBook();
    const one = await fillBook(first.client, 'Job 1');
    await fillBook(first.client, 'Job 2');
    const second = await openTestBook();
    await importBytes(second.client, await exportBytes(first.client, { scope: 'build', buildIds: [one.build.id] }));
    expect((await second.client.call('book.list', {})).rows.map(({ title }) => title)).toEqual(['Job 1']);
    const id = one.mockUp.id;
    expect(await second.client.call('mockUp.whole', { id })).toEqual(await first.client.call('mockUp.whole', { id }));
    expect(await second.client.call('book.search', { query: 'quill' })).toHaveLength(2);
    const history = { rowId: one.build.id };
    expect(await second.client.call('history.list', history)).toEqual(await first.client.call('history.list', history));
  });

  it('brings the origin of a copied mock-up along, without its readings', async () => {
    const first = await openTestBook();
    const one = await fillBook(first.client, 'Job 1');
    const other = await makeMockUp(first.client, 'Job 2');
    const { id: _, workplaceId: __, createdAt: ___, ...content } = other.mockUp;
    await first.client.call('mockUp.update', {
      id: other.mockUp.id,
      content: { ...content, copiedFromId: one.mockUp.id },
    });
    const second = await openTestBook();
    await importBytes(second.client, await exportBytes(first.client, { scope: 'build', buildIds: [other.build.id] }));
    expect((await second.client.call('mockUp.whole', { id: one.mockUp.id })).readings).toEqual([]);
    expect((await second.client.call('book.list', {})).total).toBe(2);
    // The rest follows later without a conflict.
    expect((await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }))).conflicts).toBe(0);
    expect(withoutWorkplace(second, second.books.workplace().id)).toEqual(wholeBook(first));
  });
});

describe('two books', () => {
  /** Two books with the same build in them. */
  async function pair() {
    const first = await openTestBook();
    const filled = await fillBook(first.client);
    const second = await openTestBook();
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
    return { ...filled, first, second };
  }

  async function bring(from: TestBook, to: TestBook) {
    const since = await to.client.call('exchange.state', {});
    return importBytes(to.client, await exportBytes(from.client, { scope: 'changes', since }));
  }

  it('are brought up to date by what changed since, in either direction, until they hold the same', async () => {
    const { first, second, mockUp } = await pair();
    await first.client.call('reading.add', { reading: quantityReading(mockUp.id, 0.41) });
    await second.client.call('reading.add', { reading: quantityReading(mockUp.id, 0.42) });
    await fillBook(second.client, 'Job of the second bench');
    expect((await bring(second, first)).conflicts).toBe(0);
    expect((await bring(first, second)).added).toMatchObject({ readings: 1 });
    expect(wholeBook(first)).toEqual(wholeBook(second));
    expect(await bring(first, second)).toMatchObject({ added: {}, updated: 0 });
    expect(await first.client.call('exchange.state', {})).toEqual(await second.client.call('exchange.state', {}));
  });

  it('take over an edit that builds on their own version', async () => {
    const { first, second, build } = await pair();
    const { id, workplaceId: _, createdAt: __, ...content } = build;
    await second.client.call('build.update', { id, content: { ...content, title: 'Renamed' } });
    await second.client.call('build.update', { id, content: { ...content, title: 'Renamed twice' } });
    expect(await bring(second, first)).toMatchObject({ updated: 1, conflicts: 0 });
    expect((await first.client.call('build.whole', { id })).build.title).toBe('Renamed twice');
    expect((await first.client.call('history.list', { rowId: id })).map(({ action }) => action)).toEqual([
      'update',
      'update',
      'create',
    ]);
    expect((await first.client.call('book.search', { query: 'twice' }))[0]?.rowId).toBe(id);
  });

  it('that edited the same record keep both versions, show the same one, and agree once somebody decides', async () => {
    const { first, second, build } = await pair();
    const { id, workplaceId: _, createdAt: __, ...content } = build;
    await first.client.call('build.update', { id, content: { ...content, title: 'As the first bench says' } });
    await second.client.call('build.update', { id, content: { ...content, title: 'As the second bench says' } });
    expect((await bring(second, first)).conflicts).toBe(1);
    expect((await bring(first, second)).conflicts).toBe(1);
    const titles = async () => [
      (await first.client.call('build.whole', { id })).build.title,
      (await second.client.call('build.whole', { id })).build.title,
    ];
    expect(await titles()).toEqual(['As the second bench says', 'As the second bench says']);
    const [conflict] = await first.client.call('conflict.list', {});
    expect(conflict).toMatchObject({
      entity: 'build',
      rowId: id,
      kept: { content: { title: 'As the second bench says' } },
      other: { content: { title: 'As the first bench says' } },
    });
    await first.client.call('conflict.settle', { id: conflict?.id ?? '', keep: 'other' });
    expect((await bring(first, second)).conflicts).toBe(0);
    expect(await titles()).toEqual(['As the first bench says', 'As the first bench says']);
    expect(await first.client.call('conflict.list', {})).toEqual([]);
    expect(await second.client.call('conflict.list', {})).toEqual([]);
    expect(wholeBook(first)).toEqual(wholeBook(second));
  });

  it("forget a customer's details on both sides, even where the other side edited them meanwhile", async () => {
    const { first, second, customer } = await pair();
    await first.client.call('customer.removeDetails', { id: customer.id });
    await second.client.call('customer.update', { id: customer.id, content: { name: 'Ada Quill-Moss' } });
    await bring(first, second);
    await bring(second, first);
    for (const book of [first, second]) {
      expect((await book.client.call('customer.list', {}))[0]?.name).toBe('(details removed)');
      expect(JSON.stringify(wholeBook(book))).not.toContain('Quill');
    }
  });

  it('say so where changes build on something that the other book lacks', async () => {
    const { first, mockUp } = await pair();
    const stranger = await openTestBook();
    const since = await first.client.call('exchange.state', {});
    await first.client.call('reading.add', { reading: quantityReading(mockUp.id, 0.5) });
    const bytes = await exportBytes(first.client, { scope: 'changes', since });
    await expect(importBytes(stranger.client, bytes)).rejects.toMatchObject({
      code: 'inconsistent',
      message: expect.stringMatching(/does not have; import an archive of the whole build or book first/) as string,
    });
    expect((await stranger.client.call('book.list', {})).total).toBe(0);
  });
});

describe('uploads', () => {
  it('tell what an archive holds before anything is imported, and leave no file behind', async () => {
    const first = await openTestBook();
    await fillBook(first.client);
    const second = await openTestBook();
    const uploadId = await upload(second.client, await exportBytes(first.client, { scope: 'book' }), 1000);
    const summary = await second.client.call('exchange.inspect', { uploadId });
    expect(summary).toMatchObject({ scope: 'book', counts: { readings: 3 }, madeByName: first.books.workplace().name });
    expect((await second.client.call('book.list', {})).total).toBe(0);
    await second.client.call('exchange.import', { uploadId });
    expect(readdirSync(join(second.folder, 'incoming'))).toEqual([]);
    await expect(second.client.call('exchange.import', { uploadId })).rejects.toMatchObject({ code: 'missing' });
  });

  it('that are incomplete, out of order or too long are refused', async () => {
    const { client } = await openTestBook();
    const { uploadId } = await client.call('upload.begin', { sizeBytes: 10 });
    const five = Buffer.from('12345').toString('base64');
    await expect(client.call('upload.append', { uploadId, offset: 1, bytes: five })).rejects.toMatchObject({
      code: 'out_of_range',
    });
    await client.call('upload.append', { uploadId, offset: 0, bytes: five });
    await expect(client.call('exchange.inspect', { uploadId })).rejects.toMatchObject({ code: 'insufficient_data' });
    await expect(
      client.call('upload.append', { uploadId, offset: 5, bytes: Buffer.from('1234567').toString('base64') }),
    ).rejects.toMatchObject({
      code: 'out_of_range',
    });
    await expect(
      client.call('upload.append', { uploadId: 'f'.repeat(32), offset: 0, bytes: five }),
    ).rejects.toMatchObject({ code: 'missing' });
  });
});
