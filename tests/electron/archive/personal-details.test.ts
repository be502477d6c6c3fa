import { describe, expect, it } from 'vitest';
import { withoutDetails } from '../../../electron/database/personal-details.ts';
import { makeMockUp, openTestBook, type TestBook } from '../../support/book.ts';
import { exportBytes, fillBook, importBytes, wholeBook } from '../../support/books.ts';

const page = (html: string, snapshot: unknown = {}, title = 'Timing') => ({
  html,
  snapshot: JSON.stringify(snapshot),
  title,
});

describe('details on a kept page', () => {
  it.each([
    ['O\'Brien & "Sons" <1>', '<td>O&#x27;Brien &amp; &quot;Sons&quot; &lt;1&gt;</td>', '<td>(details removed)</td>'],
    ["D'Arcy", "<td>D'Arcy, kart 7</td>", '<td>(details removed), kart 7</td>'],
    ['Ada Quill', '<td>Ada\n  Quill</td>', '<td>(details removed)</td>'],
    ['Max', '<td>Max</td><td>Maximum 12</td>', '<td>(details removed)</td><td>Maximum 12</td>'],
    ['12', '<td>12</td><td>12 mm, 112</td>', '<td>(details removed)</td><td>12 mm, 112</td>'],
    ['0123 456', '<td>Call 0123 456</td>', '<td>Call (details removed)</td>'],
    ['a+b (c).*', '<td>a+b (c).*</td>', '<td>(details removed)</td>'],
  ])('%j is blanked as a whole, however the page writes it', (detail, html, blanked) => {
    expect(withoutDetails(page(html), [detail]).html).toBe(blanked);
  });

  it('go from the data and the title as well, and every figure stays to the letter', () => {
    const snapshot = {
      rows: [
        ['Customer', 'Ada Quill'],
        ['Bore', '53.6 mm'],
      ],
      bore: 53.6,
      'Ada Quill': 1e-7,
      code: '12',
    };
    const blanked = withoutDetails(page('<p>53.6</p>', snapshot, 'Timing for Ada Quill'), ['Ada Quill', '12']);
    expect(JSON.parse(blanked.snapshot)).toEqual({
      rows: [
        ['Customer', '(details removed)'],
        ['Bore', '53.6 mm'],
      ],
      bore: 53.6,
      'Ada Quill': 1e-7,
      code: '(details removed)',
    });
    expect(blanked).toMatchObject({ html: '<p>53.6</p>', title: 'Timing for (details removed)' });
    const untouched = page('<p>x</p>', { 10: 'ten', 9: 'nine' });
    expect(withoutDetails(untouched, ['Quill'])).toEqual(untouched);
  });
});

/** A build whose customer was another one when its sheet was printed, by a name that was put right since. */
async function withPastCustomer(book: TestBook) {
  const { build, mockUp } = await makeMockUp(book.client);
  const first = await book.client.call('customer.create', { name: "Bo O'Brien-Hale", contact: '0123 456789' });
  const content = { title: build.title, engineId: build.engineId };
  await book.client.call('build.update', { id: build.id, content: { ...content, customerId: first.id } });
  const sheet = await book.client.call('sheet.keep', {
    mockUpId: mockUp.id,
    kind: 'timing',
    title: "Timing, Bo O'Brien-Hale",
    html: '<!doctype html><html><body><p>Bo O&#x27;Brien-Hale: 176.8&deg;</p></body></html>',
    snapshot: { rows: [['Customer', "Bo O'Brien-Hale"]], durationDeg: 176.8 },
  });
  await book.client.call('customer.update', { id: first.id, content: { name: 'B. Hale' } });
  await book.client.call('build.update', { id: build.id, content: { ...content, customerId: build.customerId } });
  return { first, sheet };
}

const anything = /Brien|Hale|0123/;

it('a removal reaches the sheets of builds that the customer once had, under every name they bore', async () => {
  const book = await openTestBook();
  const { first, sheet } = await withPastCustomer(book);
  const { sheetsChanged } = await book.client.call('customer.removeDetails', { id: first.id });
  expect(sheetsChanged).toBe(1);
  const kept = await book.client.call('sheet.get', { id: sheet.id });
  expect(JSON.stringify(kept)).not.toMatch(anything);
  expect(kept).toMatchObject({
    html: expect.stringContaining('(details removed): 176.8') as string,
    snapshot: { durationDeg: 176.8 },
  });
  expect(JSON.stringify(wholeBook(book))).not.toMatch(anything);
  expect((await exportBytes(book.client, { scope: 'book' })).toString('latin1')).not.toMatch(anything);
});

it('a removal reaches a build that was begun and not made yet', async () => {
  const { client } = await openTestBook();
  const { customer } = await makeMockUp(client);
  const draft = { job: { title: 'Kart 7', customerName: 'Ada Quill', customerContact: 'quill@example.org' }, step: 2 };
  await client.call('preferences.set', { key: 'draft.newBuild', value: draft });
  await client.call('customer.removeDetails', { id: customer.id });
  expect((await client.call('preferences.get', {}))['draft.newBuild']).toEqual({
    job: { title: 'Kart 7', customerName: '(details removed)', customerContact: '(details removed)' },
    step: 2,
  });
});

describe('an archive without customers', () => {
  it('names nobody, not by an earlier name either', async () => {
    const first = await openTestBook();
    await withPastCustomer(first);
    const second = await openTestBook();
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book', includeCustomers: false }));
    expect(JSON.stringify(wholeBook(second))).not.toMatch(anything);
    expect(JSON.stringify(wholeBook(second))).not.toMatch(/Quill|quill@/);
    expect(JSON.stringify(wholeBook(first))).toMatch(anything);
  });

  it('takes no details away from the book that it is imported into', async () => {
    const first = await openTestBook();
    const { customer } = await fillBook(first.client);
    const second = await openTestBook();
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
    await first.client.call('customer.update', { id: customer.id, content: { name: 'Ada Quill-Moss' } });
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book', includeCustomers: false }));
    expect((await second.client.call('customer.list', {}))[0]).toMatchObject({
      name: 'Ada Quill',
      contact: 'quill@example.org',
    });
    await importBytes(second.client, await exportBytes(first.client, { scope: 'book' }));
    expect((await second.client.call('customer.list', {}))[0]?.name).toBe('Ada Quill-Moss');
    expect(await second.client.call('conflict.list', {})).toEqual([]);
  });
});
