import { createHash } from 'node:crypto';
import { strToU8, unzipSync, zipSync } from 'fflate';
import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { lyingZip, zipBomb } from '../../support/archive-mutations.ts';
import { openTestBook, type TestBook } from '../../support/book.ts';
import { exportBytes, fillBook, importBytes, textIn, wholeBook } from '../../support/books.ts';

async function refusal(book: TestBook, bytes: Uint8Array): Promise<{ code: string; message: string }> {
  try {
    await importBytes(book.client, bytes);
  } catch (error) {
    return error as { code: string; message: string };
  }
  throw new Error('the import went through');
}

describe('an import', () => {
  it.each([
    ['a text', strToU8('not a zip file at all'), /no zip file/],
    ['a foreign zip', zipSync({ 'letter.txt': strToU8('hello') }), /doesn't belong there/],
    ['a zip without a manifest', zipSync({ 'read-me.txt': strToU8('hello') }), /portsight\.json is missing/],
    ['foreign JSON', zipSync({ 'portsight.json': strToU8('{"invoices":[1,2]}') }), /not an archive of Portsight/],
    [
      'an archive of a newer program',
      zipSync({ 'portsight.json': strToU8('{"format":"portsight-book","formatVersion":99}') }),
      /newer Portsight.*update/,
    ],
    ['a path out of the folder', zipSync({ '../escape.txt': strToU8('x') }), /doesn't belong there/],
    ['an absolute path', zipSync({ '/tmp/escape.txt': strToU8('x') }), /doesn't belong there/],
    ['a bomb', zipBomb('portsight.json', 50_000_000), /too large/],
    ['a zip that unpacks to more than it says', lyingZip('portsight.json', 100, 5_000_000), /damaged/],
  ])('of %s is refused with its reason', async (_what, bytes, reason) => {
    const book = await openTestBook();
    const before = wholeBook(book);
    const refused = await refusal(book, bytes);
    expect(refused.code).toBe('inconsistent');
    expect(refused.message).toMatch(reason);
    expect(refused.message).toContain('Nothing was changed');
    expect(wholeBook(book)).toEqual(before);
  });

  it.each([
    [
      'a value of a raw reading',
      'data/readings-0001.json',
      (text: string) => text.replace('0.30000000000000004', '0.4'),
    ],
    [
      'an entry of the change log',
      'data/changes-0001.json',
      (text: string) => text.replace('"action":"create"', '"action":"update"'),
    ],
  ])('of %s that differs from the one here is refused, even with a matching digest', async (_what, name, change) => {
    const book = await openTestBook();
    await fillBook(book.client);
    const files = unzipSync(await exportBytes(book.client, { scope: 'book' }));
    const changed = strToU8(change(textIn(files, name)));
    const manifest = JSON.parse(textIn(files, 'portsight.json')) as {
      files: Record<string, string>;
    };
    manifest.files[name] = Buffer.from(await crypto.subtle.digest('SHA-256', changed)).toString('hex');
    files[name] = changed;
    files['portsight.json'] = strToU8(JSON.stringify(manifest));
    const before = wholeBook(book);
    expect((await refusal(book, zipSync(files))).message).toMatch(/differs from the same/);
    expect(wholeBook(book)).toEqual(before);
  });

  it("of a customer's details in the change log, where they could never be removed, is refused", async () => {
    const first = await openTestBook();
    await fillBook(first.client);
    const files = unzipSync(await exportBytes(first.client, { scope: 'book' }));
    const name = 'data/changes-0001.json';
    const changed = strToU8(
      textIn(files, name).replace(
        /("entity":"customer"[^}]*?"after":)null/,
        '$1{"name":"Ada Quill","contact":"quill@example.org"}',
      ),
    );
    expect(changed.length).toBeGreaterThan((files[name] as Uint8Array).length);
    const manifest = JSON.parse(textIn(files, 'portsight.json')) as { files: Record<string, string> };
    manifest.files[name] = Buffer.from(await crypto.subtle.digest('SHA-256', changed)).toString('hex');
    files[name] = changed;
    files['portsight.json'] = strToU8(JSON.stringify(manifest));
    const second = await openTestBook();
    expect((await refusal(second, zipSync(files))).message).toMatch(/holds a customer's details/);
    expect(await second.client.call('customer.list', {})).toEqual([]);
  });

  it('of a sheet with a script is refused', async () => {
    const first = await openTestBook();
    const { sheet } = await fillBook(first.client);
    const files = unzipSync(await exportBytes(first.client, { scope: 'book' }));
    files[`sheets/${sheet.id}.html`] = strToU8('<script>alert(1)</script>');
    const second = await openTestBook();
    expect((await refusal(second, zipSync(files))).message).toMatch(/The sheet can't be kept/);
    expect((await second.client.call('book.list', {})).total).toBe(0);
  });

  it('of a sheet that says its details were removed replaces no printed sheet without an entry of the removal', async () => {
    const book = await openTestBook();
    const { sheet } = await fillBook(book.client);
    const files = unzipSync(await exportBytes(book.client, { scope: 'book' }));
    const name = 'data/sheets-0001.json';
    const changed = strToU8(
      textIn(files, name).replace('"detailsRemovedAt":null', '"detailsRemovedAt":"2026-03-01T10:00:00.000Z"'),
    );
    const manifest = JSON.parse(textIn(files, 'portsight.json')) as { files: Record<string, string> };
    manifest.files[name] = Buffer.from(await crypto.subtle.digest('SHA-256', changed)).toString('hex');
    files[name] = changed;
    files['portsight.json'] = strToU8(JSON.stringify(manifest));
    files[`sheets/${sheet.id}.html`] = strToU8('<!doctype html><p>Another duration</p>');
    const before = wholeBook(book);
    await importBytes(book.client, zipSync(files));
    expect(wholeBook(book)).toEqual(before);
  });

  it('of a book whose table for spreadsheets is larger than anything that is unpacked goes through', async () => {
    const first = await openTestBook();
    await fillBook(first.client);
    const files = unzipSync(await exportBytes(first.client, { scope: 'book' }));
    files['tables/readings.csv'] = new Uint8Array(70_000_000);
    const second = await openTestBook();
    const report = await importBytes(second.client, zipSync(files));
    expect(report.added).toMatchObject({ readings: 3 });
  });

  it('of a book with large states of set-ups goes through: no data file is larger than an import takes', async () => {
    const first = await openTestBook();
    const { mockUp } = await fillBook(first.client);
    const readerState = createHash('shake256', { outputLength: 3_000_000 }).update('1').digest('base64');
    for (let count = 0; count < 3; count += 1) {
      await first.client.call('setup.create', {
        id: v7(),
        content: { mockUpId: mockUp.id, forwards: null, by: 'camera', referencePictureId: null },
        readerState,
      });
    }
    const bytes = await exportBytes(first.client, { scope: 'book' });
    const states = Object.entries(unzipSync(bytes)).filter(([name]) => name.startsWith('data/wheel-setup-states'));
    expect(states.length).toBeGreaterThan(1);
    for (const [, content] of states) expect(content.length).toBeLessThan(16_000_000);
    const second = await openTestBook();
    expect((await importBytes(second.client, bytes)).added['wheel-setup-states']).toBe(5);
  });
});
