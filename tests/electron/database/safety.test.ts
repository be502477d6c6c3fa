import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { unzipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { backupName, listBackups, makeBackup, thinBackups } from '../../../electron/database/backup.ts';
import { startDailyBackups } from '../../../electron/database/daily-backup.ts';
import { programSchemaVersion } from '../../../electron/database/migrations/index.ts';
import { parseMounts, storageWarning } from '../../../electron/database/storage-place.ts';
import { makeMockUp, openTestBook, quantityReading } from '../../support/book.ts';
import { fillBook, textIn, wholeBook } from '../../support/books.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

describe('backups', () => {
  it('restore the book as it was, and the restore can be undone', async () => {
    const { client, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) });
    const backup = await client.call('backup.make', {});
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 0.4) });
    const workplaceBefore = books.workplace().id;
    const values = async () =>
      (await client.call('mockUp.whole', { id: mockUp.id })).readings.map(
        ({ subject }) => subject.what === 'quantity' && subject.value,
      );
    const { keptAs } = await client.call('backup.restore', { name: backup.name });
    expect(await values()).toEqual([0.3]);
    expect((await client.call('app.info', {})).readOnlyReason).toBeNull();
    // Numbers of the log are never given twice.
    expect(books.workplace().id).not.toBe(workplaceBefore);
    await client.call('backup.restore', { name: keptAs ?? '' });
    expect(await values()).toEqual([0.3, 0.4]);
  });

  it('are single sound files, and are listed newest first', async () => {
    const { client, folder } = await openTestBook();
    await fillBook(client);
    const first = await client.call('backup.make', {});
    const second = await client.call('backup.make', {});
    const { backups } = await client.call('backup.list', {});
    expect(backups.map(({ name }) => name)).toEqual([second.name, first.name]);
    expect(readdirSync(join(folder, 'backups')).sort((a, b) => (a < b ? 1 : -1))).toEqual([second.name, first.name]);
    await client.call('backup.remove', { name: first.name });
    expect((await client.call('backup.list', {})).backups).toHaveLength(1);
  });

  it('are made once a day while stamps go on, and thinned to days, weeks and months', async () => {
    const { books, folder, path } = await openTestBook();
    const daily = startDailyBackups(books, { log: () => {}, tell: () => {} });
    daily.stop();
    await daily.look(new Date('2026-03-01T10:00:00.000Z'));
    await daily.look(new Date('2026-03-01T18:00:00.000Z'));
    expect(listBackups(path)).toHaveLength(1);
    const [only] = listBackups(path);
    for (let day = 1; day <= 400; day += 1) {
      const at = new Date(Date.parse('2026-03-01T10:00:00.000Z') + day * 86_400_000);
      copyFileSync(join(folder, 'backups', only?.name ?? ''), join(folder, 'backups', backupName('daily', at)));
    }
    copyFileSync(
      join(folder, 'backups', only?.name ?? ''),
      join(folder, 'backups', backupName('by_hand', new Date('2026-03-02T10:00:00.000Z'))),
    );
    thinBackups(path);
    const kept = listBackups(path);
    expect(kept.filter(({ kind }) => kind === 'by_hand')).toHaveLength(1);
    const dailies = kept.filter(({ kind }) => kind === 'daily').map(({ madeAt }) => madeAt.slice(0, 10));
    expect(dailies.slice(0, 7)).toEqual([
      '2027-04-05',
      '2027-04-04',
      '2027-04-03',
      '2027-04-02',
      '2027-04-01',
      '2027-03-31',
      '2027-03-30',
    ]);
    expect(dailies.length).toBeGreaterThan(17);
    expect(dailies.length).toBeLessThanOrEqual(7 + 4 + 12);
  });

  it('of the day that fail are told once, and are due again until one is made', async () => {
    const { books, folder, path } = await openTestBook();
    const told: string[] = [];
    const daily = startDailyBackups(books, { log: () => {}, tell: (sentence) => told.push(sentence) });
    daily.stop();
    writeFileSync(join(folder, 'backups'), 'a file where the folder should be');
    await daily.look();
    await daily.look();
    expect(told).toEqual([expect.stringMatching(/^Today's backup was not made\. /)]);
    expect(daily.problem()).toBe(told[0]);
    rmSync(join(folder, 'backups'));
    await daily.look();
    expect(daily.problem()).toBeNull();
    expect(listBackups(path)).toHaveLength(1);
  });

  it('of a day to come, left by a clock that stood ahead, stand in nobody’s way and are made once a day all the same', async () => {
    const { books, path } = await openTestBook();
    const daily = startDailyBackups(books, { log: () => {}, tell: () => {} });
    daily.stop();
    for (const at of ['2031-01-01T10:00', '2026-03-01T10:00', '2026-03-01T11:00', '2026-03-01T12:00'])
      await daily.look(new Date(`${at}:00.000Z`));
    expect(listBackups(path).map(({ madeAt }) => madeAt.slice(0, 10))).toEqual(['2031-01-01', '2026-03-01']);
  });

  it('that a kill left half done are removed at the next start, and nothing else is', async () => {
    const { books, folder, path, client } = await openTestBook();
    const { name } = await client.call('backup.make', {});
    const half = [
      'daily-2026-03-01T100000-000Z.sqlite.unfinished',
      'daily-2026-03-01T100000-000Z.sqlite.unfinished-journal',
    ];
    for (const left of half) writeFileSync(join(folder, 'backups', left), 'half');
    writeFileSync(join(folder, 'backups', 'damaged-2026.sqlite'), 'kept for whoever can read it');
    writeFileSync(`${path}.incoming`, 'half');
    startDailyBackups(books, { log: () => {}, tell: () => {} }).stop();
    expect(new Set(readdirSync(join(folder, 'backups')))).toEqual(new Set([name, 'damaged-2026.sqlite']));
    expect(existsSync(`${path}.incoming`)).toBe(false);
  });

  it('that are damaged leave a book in its place that can only be read', async () => {
    const { client, folder, books, path } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const { name } = await client.call('backup.make', {});
    books.close();
    const raw = new Sqlite(path);
    raw.pragma(`user_version = ${programSchemaVersion + 1}`);
    raw.close();
    const bytes = readFileSync(join(folder, 'backups', name));
    bytes.fill(0x55, 8192, 16_384);
    writeFileSync(join(folder, 'backups', name), bytes);
    const again = await openTestBook({ folder });
    await expect(again.client.call('backup.restore', { name })).rejects.toThrow(/is not sound.*was left as it is/);
    expect((await again.client.call('mockUp.whole', { id: mockUp.id })).mockUp.id).toBe(mockUp.id);
    expect(readdirSync(join(folder, 'backups'))).toEqual([name]);
  });

  it('run while stamps are stored, and every stamp is kept', async () => {
    const { client, path, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    for (let count = 0; count < 300; count += 1)
      await client.call('reading.add', { reading: quantityReading(mockUp.id, count) });
    const backup = makeBackup(books.book().database, path, 'by_hand');
    for (let count = 300; count < 400; count += 1)
      await client.call('reading.add', { reading: quantityReading(mockUp.id, count) });
    await backup;
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(400);
    expect(listBackups(path)).toHaveLength(1);
  });

  it.each(['../book.portsight.sqlite', 'by-hand-nothing.sqlite', '..', 'x.sqlite'])(
    'named %j are refused',
    async (name) => {
      const { dispatch } = await openTestBook();
      for (const message of ['backup.restore', 'backup.remove']) {
        const envelope = await dispatch(message, { name });
        expect(envelope).toMatchObject({
          ok: false,
          error: { code: expect.stringMatching(/bad_input|not_found/) as string },
        });
      }
    },
  );

  it('that are damaged are refused, and the book stays as it is', async () => {
    const { client, folder } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const backup = await client.call('backup.make', {});
    const path = join(folder, 'backups', backup.name);
    const bytes = readFileSync(path);
    bytes.fill(0x55, 8192, 16_384);
    writeFileSync(path, bytes);
    await expect(client.call('backup.restore', { name: backup.name })).rejects.toMatchObject({ code: 'book_damaged' });
    expect((await client.call('mockUp.whole', { id: mockUp.id })).mockUp.id).toBe(mockUp.id);
    expect((await client.call('app.info', {})).readOnlyReason).toBeNull();
  });

  it('bring back a book whose file is destroyed; the destroyed file is kept', async () => {
    const { client, folder, path, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const backup = await client.call('backup.make', {});
    books.close();
    writeFileSync(path, 'destroyed '.repeat(1000));
    const again = await openTestBook({ folder });
    expect((await again.client.call('app.info', {})).readOnlyReason).toMatch(/Restore a backup/);
    const { keptAs } = await again.client.call('backup.restore', { name: backup.name });
    expect((await again.client.call('mockUp.whole', { id: mockUp.id })).mockUp.id).toBe(mockUp.id);
    expect(readFileSync(join(folder, 'backups', keptAs ?? ''), 'utf8')).toMatch(/^destroyed/);
  });
});

describe('a book whose file', () => {
  const notices = async (folder: string) => {
    const { client } = await openTestBook({ folder });
    return (await client.call('app.info', {})).notices;
  };

  it.each(['emptied', 'removed'])('was %s is told of where there are backups, and can be restored', async (how) => {
    const { client, folder, path, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const { name } = await client.call('backup.make', {});
    books.close();
    if (how === 'emptied') writeFileSync(path, '');
    else rmSync(path);
    const again = await openTestBook({ folder });
    expect((await again.client.call('app.info', {})).notices).toEqual([
      expect.stringMatching(
        /^The file of the book was (empty|not there), so a new book was begun\..*restore the latest/,
      ),
    ]);
    await again.client.call('backup.restore', { name });
    expect((await again.client.call('mockUp.whole', { id: mockUp.id })).mockUp.id).toBe(mockUp.id);
    expect((await again.client.call('app.info', {})).notices).toEqual([]);
  });

  it('was emptied while its log still holds what was stored last is set aside with the log', async () => {
    const { client, folder, path, books } = await openTestBook();
    await makeMockUp(client);
    const log = readFileSync(`${path}-wal`);
    expect(log.length).toBeGreaterThan(0);
    books.close();
    writeFileSync(path, '');
    writeFileSync(`${path}-wal`, log);
    expect(await notices(folder)).toEqual([expect.stringMatching(/What was left of it is kept as damaged-/)]);
    const [kept] = readdirSync(join(folder, 'backups')).filter((name) => name.endsWith('-wal'));
    expect(readFileSync(join(folder, 'backups', kept ?? '')).equals(log)).toBe(true);
  });

  it('was never there needs no word', async () => {
    expect(await notices(temporaryFolder())).toEqual([]);
  });
});

describe('a full disk', () => {
  it('refuses the stamp with a sentence and keeps everything before it', async () => {
    const { client, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const { database } = books.book();
    database.pragma(`max_page_count = ${(database.pragma('page_count', { simple: true }) as number) + 2}`);
    let stored = 0;
    let refusal: unknown = null;
    for (let count = 0; count < 1000 && refusal === null; count += 1) {
      try {
        await client.call('reading.add', { reading: quantityReading(mockUp.id, count) });
        stored += 1;
      } catch (error) {
        refusal = error;
      }
    }
    expect(refusal).toMatchObject({
      code: 'disk_full',
      message: expect.stringMatching(/kept. Free some space/) as string,
    });
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(stored);
    database.pragma('max_page_count = 1000000');
    await client.call('reading.add', { reading: quantityReading(mockUp.id, 9999) });
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(stored + 1);
    expect((await client.call('book.check', {})).isSound).toBe(true);
  });
});

describe('a damaged book', () => {
  it('is salvaged row by row into a file that can be restored', async () => {
    const { client, folder, path, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    for (let count = 0; count < 400; count += 1)
      await client.call('reading.add', { reading: quantityReading(mockUp.id, count) });
    books.close();
    const bytes = readFileSync(path);
    // A page in the middle of the readings is overwritten, and one value elsewhere has a flipped digit.
    const at = bytes.indexOf('"value":200,');
    const page = Math.floor(at / 4096) * 4096;
    bytes.fill(0, page, page + 4096);
    bytes.write('"value":9,', bytes.indexOf('"value":3,'));
    writeFileSync(path, bytes);
    const again = await openTestBook({ folder });
    expect((await again.client.call('app.info', {})).readOnlyReason).toMatch(/damaged/);
    expect((await again.client.call('book.check', {})).isSound).toBe(false);
    const salvage = await again.client.call('book.salvage', {});
    expect(salvage.saved['reading']).toBeGreaterThan(350);
    expect(salvage.saved['reading']).toBeLessThan(400);
    expect(readFileSync(path).equals(bytes)).toBe(true);
    await again.client.call('backup.restore', { name: salvage.name });
    const { readings } = await again.client.call('mockUp.whole', { id: mockUp.id });
    expect(readings).toHaveLength(salvage.saved['reading'] ?? 0);
    // Nothing is shown with another value than it was stored with.
    for (const { subject } of readings)
      if (subject.what === 'quantity') expect(subject.typedText).toBe(String(subject.value));
    expect(await again.client.call('book.check', {})).toEqual({ isSound: true, findings: [] });
    expect((await again.client.call('book.list', { query: 'job' })).total).toBe(1);
  });

  it('with a torn end of its log opens with every stamp before the tear', async () => {
    const { client, folder, path, books } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    for (let count = 0; count < 20; count += 1)
      await client.call('reading.add', { reading: quantityReading(mockUp.id, count) });
    // As after a power cut: the files as they are now, without a proper end, and the log cut somewhere.
    const log = readFileSync(`${path}-wal`);
    const main = readFileSync(path);
    books.close();
    let shortest = 20;
    for (let cut = log.length; cut > 0; cut -= Math.ceil(log.length / 12)) {
      const copy = join(temporaryFolder(), 'cut');
      mkdirSync(copy);
      writeFileSync(join(copy, 'book.portsight.sqlite'), main);
      writeFileSync(join(copy, 'book.portsight.sqlite-wal'), log.subarray(0, cut));
      const torn = await openTestBook({ folder: copy });
      const info = await torn.client.call('app.info', {});
      expect(info.readOnlyReason).toBeNull();
      const list = await torn.client.call('book.list', {});
      const kept = list.rows[0]?.readings ?? 0;
      expect(kept).toBeLessThanOrEqual(shortest);
      shortest = kept;
      expect((await torn.client.call('book.check', {})).isSound).toBe(true);
      torn.books.close();
    }
    expect(existsSync(folder)).toBe(true);
  });
});

describe('the place of the book', () => {
  const mounts = parseMounts(
    '/dev/sda1 / ext4 rw 0 0\nserver:/x /mnt/shop\\040share nfs4 rw 0 0\n//nas/y /mnt/nas cifs rw 0 0\n/dev/sdb /mnt/nas/local ext4 rw 0 0\n',
  );

  it.each([
    ['/mnt/shop share/portsight', /network share/],
    ['/mnt/nas/books', /network share/],
    ['\\\\server\\books', /network share/],
    ['/home/ada/Dropbox/books', /synchronised/],
    ['C:\\Users\\ada\\OneDrive - Shop\\books', /synchronised/],
  ])('%s is warned of', (folder, sentence) => {
    expect(storageWarning(folder, mounts)).toMatch(sentence);
  });

  it('behind a link is told as where the link leads', () => {
    const folder = temporaryFolder();
    mkdirSync(join(folder, 'share'));
    symlinkSync(join(folder, 'share'), join(folder, 'home'));
    const shared = [{ folder: join(folder, 'share'), type: 'cifs' }];
    expect(storageWarning(join(folder, 'home'), shared)).toMatch(/network share/);
    expect(storageWarning(folder, shared)).toBeNull();
  });

  it.each(['/home/ada/.local/share/portsight', '/mnt/nas/local/books', '/mnt/nasty', '/home/ada/synchrotron'])(
    '%s is fine',
    (folder) => {
      expect(storageWarning(folder, mounts)).toBeNull();
    },
  );
});

describe("a customer's details", () => {
  it('are overwritten everywhere, in the file as well, while the measurements stay', async () => {
    const { client, path, books } = await openTestBook();
    const { customer, mockUp, sheet, build } = await fillBook(client);
    await client.call('customer.update', {
      id: customer.id,
      content: { name: 'Ada Quill-Moss', contact: 'quill@example.org' },
    });
    await client.call('build.update', {
      id: build.id,
      content: { title: 'Quill-Moss, kart 7', customerId: customer.id, engineId: build.engineId },
    });
    await client.call('backup.make', {});
    const removed = await client.call('customer.removeDetails', { id: customer.id });
    expect(removed).toMatchObject({ sheetsChanged: 1, backupsHoldingThem: 1, archivesHoldingThem: 0 });
    expect(removed.stillNamedIn.map(({ entity, rowId }) => [entity, rowId])).toEqual([['build', build.id]]);
    await client.call('build.update', {
      id: build.id,
      content: { title: 'kart 7', customerId: customer.id, engineId: build.engineId },
    });
    expect((await client.call('customer.list', {}))[0]).toMatchObject({ name: '(details removed)', contact: '' });
    expect((await client.call('sheet.get', { id: sheet.id })).html).toContain('For (details removed): 176.8');
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(3);
    // The build's old title stands in its history, which is a person's own text; nothing else may hold the name.
    const whole = wholeBook({ books });
    delete whole['change_log'];
    expect(JSON.stringify(whole)).not.toMatch(/Quill|quill@/);
    expect(await client.call('book.search', { query: 'quill' })).toEqual([]);
    books.close();
    expect(readFileSync(path).includes('quill@example.org')).toBe(false);
    expect(statSync(path).size).toBeGreaterThan(0);
  });
});

describe('the bundle for asking for help', () => {
  it('holds log, versions and check, and no measurements or names', async () => {
    const { client } = await openTestBook();
    await fillBook(client);
    const { path } = await client.call('help.bundle', {});
    const files = unzipSync(readFileSync(path));
    expect(Object.keys(files)).toEqual(expect.arrayContaining(['about.json', 'check-of-the-book.txt']));
    expect(Object.keys(files)).not.toContain('book.portsight.zip');
    const text = Object.values(files)
      .map((bytes) => Buffer.from(bytes).toString())
      .join('\n');
    expect(text).not.toMatch(/Quill|ring_end_gap/);
    expect(JSON.parse(textIn(files, 'about.json'))).toMatchObject({
      bookLayout: 3,
      rows: { reading: 3 },
    });
  });

  it('holds the measurements where they were chosen, still without names', async () => {
    const { client } = await openTestBook();
    await fillBook(client);
    const { path } = await client.call('help.bundle', { includeMeasurements: true });
    const inner = unzipSync(unzipSync(readFileSync(path))['book.portsight.zip'] as Uint8Array);
    const text = Object.entries(inner)
      .map(([, bytes]) => Buffer.from(bytes).toString('latin1'))
      .join('\n');
    expect(text).toContain('ring_end_gap');
    expect(text).not.toMatch(/Quill|quill@/);
  });

  it('can be had of a book that does not open', async () => {
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'book.portsight.sqlite'), 'destroyed '.repeat(1000));
    const { client } = await openTestBook({ folder });
    const { path } = await client.call('help.bundle', {});
    expect(textIn(unzipSync(readFileSync(path)), 'check-of-the-book.txt')).toMatch(/not a build book/);
  });
});
