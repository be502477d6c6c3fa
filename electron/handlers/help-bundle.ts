import { closeSync, existsSync, openSync, readFileSync, readSync, rmSync, statSync } from 'node:fs';
import { arch, release, totalmem } from 'node:os';
import { dirname, join } from 'node:path';
import { exportArchive } from '../archive/export.ts';
import { createZipWriter, type ZipWriter } from '../archive/zip-writer.ts';
import { schemaVersion } from '../database/migrate.ts';
import type { Book } from '../database/open.ts';
import { storageWarning } from '../database/storage-place.ts';
import { createSlices, type Work } from '../database/work.ts';
import type { HandlerDependencies } from './dependencies.ts';

export interface HelpBundleOptions {
  readonly deps: HandlerDependencies;
  readonly findings: readonly string[];
  /** Only where the user chose it: without customers even then. */
  readonly includeMeasurements: boolean;
  readonly work: Work;
}

/** Writes what somebody needs who helps: log, versions, check of the book. @returns size in bytes */
export async function writeHelpBundle(
  path: string,
  { deps, findings, includeMeasurements, work }: HelpBundleOptions,
): Promise<number> {
  const folder = dirname(deps.books.path);
  const book = deps.books.problem() === null ? deps.books.book() : null;
  const bookFile = existsSync(deps.books.path) ? statSync(deps.books.path).size : 0;
  const about = {
    program: deps.version,
    shell: deps.shell,
    node: process.versions.node,
    chromium: process.versions['chrome'] ?? null,
    electron: process.versions['electron'] ?? null,
    sqlite:
      (book?.database.prepare('SELECT sqlite_version() AS version').get() as { version: string } | undefined)
        ?.version ?? null,
    platform: process.platform,
    architecture: arch(),
    systemRelease: release(),
    memoryBytes: totalmem(),
    bookBytes: bookFile,
    bookLayout: book === null ? null : schemaVersion(book.database),
    readOnlyReason: deps.books.problem()?.message ?? book?.readOnlyReason ?? null,
    storageWarning: storageWarning(folder),
    rows: book === null ? null : rowCounts(book.database),
  };
  const zip = createZipWriter(path);
  try {
    zip.add('about.json', encode(withoutHome(JSON.stringify(about, null, 2))));
    zip.add(
      'check-of-the-book.txt',
      encode(findings.length === 0 ? 'The book is sound.\n' : withoutHome(`${findings.join('\n')}\n`)),
    );
    for (const name of ['portsight.log', 'portsight.log.1']) {
      if (existsSync(join(folder, name))) zip.add(name, encode(withoutHome(readFileSync(join(folder, name), 'utf8'))));
    }
    if (includeMeasurements && book !== null) {
      await addBook(zip, `${path}.book`, { deps, book, work });
    }
    return zip.finish();
  } catch (error) {
    zip.abandon();
    rmSync(path, { force: true });
    throw error;
  }
}

interface BookToAdd {
  readonly deps: HandlerDependencies;
  readonly book: Book;
  readonly work: Work;
}

/** An archive of the book goes in piece by piece: it may be larger than memory. */
async function addBook(zip: ZipWriter, archive: string, { deps, book, work }: BookToAdd): Promise<void> {
  try {
    await exportArchive(
      { scope: 'book', buildIds: [], since: {}, includeCustomers: false },
      {
        bookPath: book.database.name,
        target: archive,
        workplace: { ...book.workplace, name: '' },
        programVersion: deps.version,
        madeAt: new Date().toISOString(),
        work,
      },
    );
    const entry = zip.begin('book.portsight.zip', false);
    const slices = createSlices(work);
    const file = openSync(archive, 'r');
    try {
      const piece = Buffer.alloc(pieceBytes);
      for (let count = readSync(file, piece); count > 0; count = readSync(file, piece)) {
        entry.push(Uint8Array.from(piece.subarray(0, count)));
        if (slices.isOver()) await slices.pause();
      }
    } finally {
      closeSync(file);
    }
    entry.end();
  } finally {
    rmSync(archive, { force: true });
  }
}
const pieceBytes = 4_000_000;

function rowCounts(database: import('better-sqlite3').Database): Record<string, number> {
  const tables = ['build', 'mock_up', 'part', 'reading', 'reading_mark', 'picture', 'sheet', 'change_log', 'conflict'];
  return Object.fromEntries(
    tables.map((table) => [table, (database.prepare(`SELECT count(*) AS n FROM ${table}`).get() as { n: number }).n]),
  );
}

/** The account's name stands in paths; it is nobody's business. */
function withoutHome(text: string): string {
  return text.replaceAll(/((?:\/home|\/Users|\\\\Users|\\Users)[/\\]+)[^/\\"'\s]+/g, '$1…');
}

function encode(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
