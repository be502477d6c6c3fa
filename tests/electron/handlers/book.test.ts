import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { makeMockUp, onePixelJpeg, openTestBook, quantityReading } from '../../support/book.ts';

interface LogRow {
  entity: string;
  action: string;
  content_before: string | null;
  content_after: string | null;
  supersedes_change_id: string | null;
  id: string;
  seq: number;
}

describe('editable records', () => {
  it('append each change to the log with before, after and the change that it supersedes', async () => {
    const { client, books } = await openTestBook();
    const { engine, build } = await makeMockUp(client);
    await client.call('build.update', {
      id: build.id,
      content: { title: 'Job 1b', customerId: build.customerId, engineId: engine.id },
    });
    const log = books.book().read.all<LogRow>('SELECT * FROM change_log WHERE row_id = ? ORDER BY seq', build.id);
    expect(log.map(({ action }) => action)).toEqual(['create', 'update']);
    expect(JSON.parse(log[1]?.content_before ?? '')).toMatchObject({ title: 'Job 1' });
    expect(JSON.parse(log[1]?.content_after ?? '')).toMatchObject({ title: 'Job 1b' });
    expect(log[1]?.supersedes_change_id).toBe(log[0]?.id);
    const whole = await client.call('build.whole', { id: build.id });
    expect(whole.build.title).toBe('Job 1b');
    expect(whole.build.createdAt).toBe(build.createdAt);
  });

  it('are numbered in the log without a gap', async () => {
    const { client, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) });
    const seqs = books.book().read.all<{ seq: number }>('SELECT seq FROM change_log ORDER BY seq');
    expect(seqs.map(({ seq }) => seq)).toEqual(seqs.map((_, index) => index + 1));
  });

  it('saved again without a change add nothing to the log', async () => {
    const { client, books } = await openTestBook();
    const { engine } = await makeMockUp(client);
    const count = () => books.book().read.get<{ n: number }>('SELECT count(*) AS n FROM change_log')?.n;
    const before = count();
    const { kind, name, marks, notes, data } = engine;
    if (kind !== 'engine') throw new Error('the engine is none');
    await client.call('part.update', { id: engine.id, content: { kind, name, marks, notes, data } });
    expect(count()).toBe(before);
  });

  it("keep a customer's details out of the log", async () => {
    const { client, books } = await openTestBook();
    const { customer } = await makeMockUp(client);
    await client.call('customer.update', { id: customer.id, content: { name: 'Ada Quill-Moss' } });
    const log = books.book().read.all<LogRow>('SELECT * FROM change_log');
    expect(JSON.stringify(log)).not.toContain('Quill');
  });

  it('copy a mock-up with its origin and leave the readings with the first one', async () => {
    const { client } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) });
    const copy = await client.call('mockUp.copy', { id: mockUp.id, name: 'With 0.8 gasket' });
    expect(copy.copiedFromId).toBe(mockUp.id);
    expect((await client.call('mockUp.whole', { id: copy.id })).readings).toEqual([]);
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(1);
  });

  it('refuse a part that is not in the book, and store nothing then', async () => {
    const { client } = await openTestBook();
    const { build, engine } = await makeMockUp(client);
    await expect(
      client.call('mockUp.create', { buildId: build.id, name: 'x', engineId: engine.id, barrelId: v7() }),
    ).rejects.toMatchObject({ code: 'unknown_reference' });
    expect(await client.call('mockUp.list', {})).toHaveLength(1);
  });
});

describe('the list of the book', () => {
  it('finds builds by every word of title, job, customer or engine, taking signs literally', async () => {
    const { client } = await openTestBook();
    await makeMockUp(client, 'Winter rebuild 100%');
    await makeMockUp(client, 'Summer rebuild');
    const titles = async (query: string) => (await client.call('book.list', { query })).rows.map(({ title }) => title);
    expect(await titles('rebuild')).toHaveLength(2);
    expect(await titles('winter quill')).toEqual(['Winter rebuild 100%']);
    expect(await titles('autumn')).toEqual([]);
    expect((await client.call('book.list', { limit: 1 })).total).toBe(2);
  });

  it('puts the build first that was changed last, stamps included', async () => {
    let now = Date.parse('2026-03-01T10:00:00.000Z');
    const { client } = await openTestBook({ clock: () => (now += 1000) });
    const first = await makeMockUp(client, 'first');
    await makeMockUp(client, 'second');
    await client.call('reading.add', { reading: quantityReading(first.mockUp.id, 0.3) });
    const { rows } = await client.call('book.list', {});
    expect(rows.map(({ title, readings }) => [title, readings])).toEqual([
      ['first', 1],
      ['second', 0],
    ]);
  });
});

describe('readings', () => {
  it('sent twice are stored once, with their picture', async () => {
    const { client, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const pictureId = v7();
    const input = {
      reading: quantityReading(mockUp.id, 0.3, { pictureId }),
      pictures: [{ id: pictureId, mime: 'image/jpeg' as const, widthPx: 1, heightPx: 1, bytes: onePixelJpeg }],
    };
    const first = await client.call('reading.add', input);
    expect(await client.call('reading.add', input)).toEqual(first);
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(1);
    expect((await client.call('picture.get', { id: pictureId })).bytes).toBe(onePixelJpeg);
    expect(books.book().read.all('SELECT id FROM picture')).toHaveLength(1);
  });

  it('of a known id with other content are refused and change nothing', async () => {
    const { client } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const reading = quantityReading(mockUp.id, 0.3);
    await client.call('reading.add', { reading });
    await expect(
      client.call('reading.add', { reading: { ...quantityReading(mockUp.id, 0.4), id: reading.id } }),
    ).rejects.toMatchObject({ code: 'id_taken' });
    const { readings } = await client.call('mockUp.whole', { id: mockUp.id });
    expect(readings.map(({ subject }) => subject.what === 'quantity' && subject.value)).toEqual([0.3]);
  });

  it('without their picture are refused whole', async () => {
    const { client } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    await expect(
      client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3, { pictureId: v7() }) }),
    ).rejects.toMatchObject({ code: 'unknown_reference' });
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toEqual([]);
  });

  it('are superseded and marked, never changed', async () => {
    const { client, announcements } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const first = await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) });
    announcements.length = 0;
    const second = await client.call('reading.add', {
      reading: quantityReading(mockUp.id, 0.32, { supersedesId: first.id, supersedesReason: 'mistyped' }),
    });
    await client.call('reading.mark', { readingIds: [second.id], mark: 'struck', reason: 'slipped' });
    await client.call('reading.mark', { readingIds: [second.id], mark: 'restored', reason: 'was right' });
    const whole = await client.call('mockUp.whole', { id: mockUp.id });
    expect(whole.readings).toEqual([first, second]);
    expect(whole.marks.map(({ mark }) => mark)).toEqual(['struck', 'restored']);
    // Every window that shows this mock-up hears of each of the three steps.
    expect(announcements.filter(({ topic }) => topic === 'mock_up_changed')).toEqual(
      Array.from({ length: 3 }, () => ({ topic: 'mock_up_changed', id: mockUp.id })),
    );
  });

  it("can't supersede a reading of another mock-up", async () => {
    const { client } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const other = await client.call('mockUp.copy', { id: mockUp.id, name: 'other' });
    const first = await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) });
    await expect(
      client.call('reading.add', { reading: quantityReading(other.id, 0.32, { supersedesId: first.id }) }),
    ).rejects.toMatchObject({ code: 'not_found' });
  });
});

describe('wheel set-ups', () => {
  it('give their latest state and keep the earlier ones', async () => {
    const { client, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const id = v7();
    const content = { mockUpId: mockUp.id, forwards: null, by: 'camera' as const };
    await client.call('setup.create', { id, content });
    await client.call('setup.create', { id, content });
    const turned = { ...content, forwards: 'clockwise' as const, turnComplete: true };
    await client.call('setup.update', { id, content: turned, readerState: 'AAAA' });
    await client.call('setup.update', { id, content: turned, readerState: 'AAAA' });
    const { setups } = await client.call('mockUp.whole', { id: mockUp.id });
    expect(setups).toHaveLength(1);
    expect(setups[0]).toMatchObject({ id, forwards: 'clockwise', turnComplete: true, hasReaderState: true });
    expect(books.book().read.all('SELECT change_id FROM wheel_setup_state')).toHaveLength(2);
  });

  it('keep what the reader knows through changes that bring nothing of it, and give it only where it is asked for', async () => {
    const { client } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const id = v7();
    const content = { mockUpId: mockUp.id, forwards: null, by: 'camera' as const };
    const none = await client.call('setup.create', { id, content });
    expect(none.hasReaderState).toBe(false);
    expect(await client.call('setup.readerState', { id })).toEqual({ readerState: null });
    await client.call('setup.update', { id, content, readerState: 'AAAA' });
    const named = await client.call('setup.update', { id, content: { ...content, forwards: 'clockwise' } });
    expect(named).toMatchObject({ forwards: 'clockwise', hasReaderState: true });
    expect(await client.call('setup.readerState', { id })).toEqual({ readerState: 'AAAA' });
    const answer = JSON.stringify(await client.call('mockUp.whole', { id: mockUp.id }));
    expect(answer).not.toContain('AAAA');
    await expect(client.call('setup.readerState', { id: v7() })).rejects.toMatchObject({ code: 'not_found' });
  });
});

describe('preferences', () => {
  it('outlive the program and stay out of the book', async () => {
    const { client, folder } = await openTestBook();
    await client.call('preferences.set', { key: 'units', value: { length: 'inch' } });
    await client.call('preferences.set', { key: '__proto__', value: { polluted: true } });
    const again = await openTestBook({ folder });
    expect(await again.client.call('preferences.get', {})).toMatchObject({ units: { length: 'inch' } });
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined();
  });
});
