import { copyFileSync, mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Sqlite from 'better-sqlite3';
import { v7 } from 'uuid';
import { messages } from '../../core/contract/messages.ts';
import { readingContentSchema } from '../../core/contract/readings.ts';
import { checkAside } from '../../electron/database/aside.ts';
import { backupFolder } from '../../electron/database/backup.ts';
import { createBookHolder } from '../../electron/database/holder.ts';
import { bookFileName } from '../../electron/database/location.ts';
import { openBook } from '../../electron/database/open.ts';
import { createPreferences } from '../../electron/database/preferences.ts';
import { createHandlers } from '../../electron/handlers/index.ts';
import { type ByHand, createByHand, openByHand } from '../support/book-bench/by-hand.ts';
import { type BookSize, fillLargeBook } from '../support/book-bench/large-book.ts';
import { quantityReading } from '../support/book-records.ts';
import type { Bench, BenchResult } from './bench.ts';

const large: BookSize = { builds: 10_000, readingsInBuild: 50, picturesInBuild: 2 };
const small: BookSize = { ...large, builds: 1000 };
/** Growth that n log n allows from 1,000 to 10,000 builds. */
const growthLimit = (10 * Math.log(10_000)) / Math.log(1000);
const ratioLimit = 1.5;
/** The first rounds warm the caches of both sides. */
const warmUpRounds = 10;
const rounds = 30;
const stampRounds = 60;
const listRows = 200;
const pictureBytes = Buffer.alloc(4000, 7);

type Step = 'open to a usable list' | 'search' | 'compare of 8' | 'stamp commit';
type Times = Record<Step, { ours: number; byHand: number }>;

/** What else the computer does only ever adds time, so the lower quartile tells more than the median. */
function lowerQuartile(values: readonly number[]): number {
  const sorted = [...values].sort((first, second) => first - second);
  return sorted[Math.floor(sorted.length / 4)] ?? Number.NaN;
}

/** Runs both sides in turn, so that whatever else the computer does meets both alike; milliseconds. */
async function pairwise(
  count: number,
  ours: () => unknown,
  byHand: () => unknown,
): Promise<{ ours: number; byHand: number }> {
  const times = { ours: [] as number[], byHand: [] as number[] };
  for (let round = 0; round < count + warmUpRounds; round += 1) {
    for (const side of round % 2 === 0 ? (['ours', 'byHand'] as const) : (['byHand', 'ours'] as const)) {
      const start = performance.now();
      await (side === 'ours' ? ours() : byHand());
      if (round >= warmUpRounds) times[side].push(performance.now() - start);
    }
  }
  return { ours: lowerQuartile(times.ours), byHand: lowerQuartile(times.byHand) };
}

function handStamp(hand: ByHand, mockUpId: string): void {
  const reading = v7();
  const picture = v7();
  const content = JSON.stringify(
    readingContentSchema.omit({ id: true }).parse(quantityReading(mockUpId, 0.31, { pictureId: picture })),
  );
  hand.stamp({ reading, picture, changes: [v7(), v7()] }, mockUpId, content, pictureBytes);
}

async function measure(
  folder: string,
  size: BookSize,
): Promise<{
  times: Times;
  figures: BenchResult['figures'];
  backup: { ours: number; byHand: number; slowestStampMs: number };
}> {
  mkdirSync(folder, { recursive: true });
  const path = join(folder, bookFileName);
  const made = await openBook(path);
  const start = performance.now();
  const mockUpIds = fillLargeBook(made, size, 1);
  const fillS = (performance.now() - start) / 1000;
  made.database.pragma('wal_checkpoint(TRUNCATE)');
  made.close();
  const peerPath = join(folder, 'by-hand.sqlite');
  copyFileSync(path, peerPath);

  const opening = await pairwise(
    rounds,
    async () => {
      const books = await createBookHolder(path);
      await handlersOf(books, folder)['book.list'](messages['book.list'].input.parse({ limit: listRows }));
      books.close();
    },
    () => {
      const database = openByHand(peerPath);
      createByHand(database).list(listRows);
      database.close();
    },
  );
  const books = await createBookHolder(path);
  const handlers = handlersOf(books, folder);
  const database = openByHand(peerPath);
  const hand = createByHand(database);
  const search = await pairwise(
    rounds,
    () => handlers['book.search']({ query: 'copper winter', limit: 50 }),
    () => hand.search('"copper"* AND "winter"*', 50),
  );
  const ids = Array.from(
    { length: 8 },
    (_, index) => mockUpIds[Math.floor(((index + 0.5) / 8) * mockUpIds.length)] ?? '',
  );
  const compare = await pairwise(
    rounds,
    () => handlers['mockUp.compare']({ ids }),
    () => ids.map((id) => hand.whole(id)),
  );
  const mockUpId = ids[3] ?? '';
  const base64 = pictureBytes.toString('base64');
  const ourStamp = () => {
    const pictureId = v7();
    const reading = readingContentSchema.parse(quantityReading(mockUpId, 0.31, { pictureId }));
    return handlers['reading.add']({
      reading,
      pictures: [{ id: pictureId, mime: 'image/jpeg', widthPx: 320, heightPx: 240, bytes: base64 }],
    });
  };
  const stamp = await pairwise(stampRounds, ourStamp, () => handStamp(hand, mockUpId));

  const ours = await whileStamping(() => handlers['backup.make']({ workId: null }), ourStamp);
  const target = join(folder, 'by-hand-backup.sqlite');
  const byHand = await whileStamping(
    async () => {
      await database.backup(target);
      const copy = new Sqlite(target);
      copy.pragma('journal_mode = DELETE');
      copy.close();
      await checkAside(target);
    },
    () => handStamp(hand, mockUpId),
  );
  const bookBytes = statSync(path).size;
  database.close();
  books.close();
  rmSync(backupFolder(path), { recursive: true, force: true });
  const name = `${size.builds} builds`;
  return {
    times: { 'open to a usable list': opening, search, 'compare of 8': compare, 'stamp commit': stamp },
    backup: { ours: ours.tookMs, byHand: byHand.tookMs, slowestStampMs: ours.slowestStampMs },
    figures: [
      { what: `${name}: filled in`, value: fillS, unit: 's' },
      { what: `${name}: size of the file`, value: bookBytes / 1e6, unit: 'MB' },
      ...Object.entries({
        'open to a usable list': opening,
        search,
        'compare of 8': compare,
        'stamp commit': stamp,
      }).flatMap(([what, { ours: own, byHand: other }]) => [
        { what: `${name}: ${what}`, value: own, unit: 'ms' },
        { what: `${name}: ${what}, by hand`, value: other, unit: 'ms' },
      ]),
      { what: `${name}: backup while stamping`, value: ours.tookMs, unit: 'ms' },
      { what: `${name}: backup while stamping, by hand`, value: byHand.tookMs, unit: 'ms' },
      { what: `${name}: slowest stamp during the backup`, value: ours.slowestStampMs, unit: 'ms' },
    ],
  };
}

function handlersOf(books: Awaited<ReturnType<typeof createBookHolder>>, folder: string) {
  return createHandlers({
    books,
    preferences: createPreferences(folder),
    version: '0.0.0-bench',
    shell: 'loopback',
    demo: false,
    notices: () => [],
    announce: () => {},
    printPdf: null,
    log: () => {},
  });
}

/** A long step while a stamp comes every 50 ms. */
async function whileStamping(
  step: () => Promise<unknown>,
  stamp: () => unknown,
): Promise<{ tookMs: number; slowestStampMs: number }> {
  let isOver = false;
  let slowestStampMs = 0;
  const start = performance.now();
  const work = step().finally(() => {
    isOver = true;
  });
  while (!isOver) {
    const began = performance.now();
    await new Promise((resolve) => setTimeout(resolve, 50));
    if (isOver) break;
    await stamp();
    slowestStampMs = Math.max(slowestStampMs, performance.now() - began - 50);
  }
  await work;
  return { tookMs: performance.now() - start, slowestStampMs };
}

const bench: Bench = {
  name: 'book',
  async run() {
    const folder = mkdtempSync(join(tmpdir(), 'portsight-bench-'));
    try {
      const few = await measure(join(folder, 'small'), small);
      const many = await measure(join(folder, 'large'), large);
      const steps = Object.keys(many.times) as Step[];
      const ratio = (what: string, value: number, limit: number) => ({ what, value, limit, ok: value <= limit });
      return {
        figures: [...few.figures, ...many.figures],
        limits: [
          ...steps.map((step) =>
            ratio(`${step}: times by hand`, many.times[step].ours / many.times[step].byHand, ratioLimit),
          ),
          ratio('backup while stamping: times by hand', many.backup.ours / many.backup.byHand, ratioLimit),
          ...steps.map((step) =>
            ratio(
              `${step}: growth from 1,000 to 10,000 builds`,
              many.times[step].ours / few.times[step].ours,
              growthLimit,
            ),
          ),
        ],
      };
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  },
};

export default bench;
