import { createHash } from 'node:crypto';
import { closeSync, fsyncSync, openSync, rmSync, statSync } from 'node:fs';
import Sqlite, { type Database } from 'better-sqlite3';
import type { Id, Time } from '../../core/contract/basics.ts';
import { toBookError } from '../database/book-errors.ts';
import { blankContent, customersOfBuilds, textsOfCustomers, withoutDetails } from '../database/personal-details.ts';
import { soundRow } from '../database/rows.ts';
import { createSlices, type Slices, unwatchedWork, type Work } from '../database/work.ts';
import type { Workplace } from '../database/workplace.ts';
import { chooseRows, type ExportRequest } from './chosen-rows.ts';
import {
  type ArchiveTable,
  archiveFormatName,
  archiveFormatVersion,
  archiveJsonSchema,
  type Manifest,
  manifestFile,
  rowsInFile,
} from './format.ts';
import { readMe } from './read-me.ts';
import { readingLines } from './readings-table.ts';
import { type Outgoing, outgoing } from './tables.ts';
import { createZipWriter, writeWhole, type ZipWriter } from './zip-writer.ts';

export interface ExportContext {
  readonly bookPath: string;
  readonly target: string;
  readonly workplace: Pick<Workplace, 'id' | 'name'>;
  readonly programVersion: string;
  readonly madeAt: Time;
  readonly work?: Work;
}

type Plain = Record<string, unknown>;

const readingsOnly = outgoing.filter(({ archive }) => archive === 'readings');

/** A data file is ended after so many characters of rows, so that whoever reads it can take it in at once. */
const largestFileChars = 8_000_000;
/** Lines of the table of readings that are written at once. */
const linesAtOnce = 1000;

/**
 * Writes an archive of one state of the book, while stamps go on.
 * @returns size of the file
 * @throws BookError, EnvironmentError `export_too_large`, `stopped`; a half archive isn't left behind
 */
export async function exportArchive(request: ExportRequest, context: ExportContext): Promise<number> {
  const { work = unwatchedWork } = context;
  const database = new Sqlite(context.bookPath, { readonly: true });
  let zip: ZipWriter | null = null;
  try {
    database.pragma('temp_store = MEMORY');
    // One read transaction: everything in the archive is from the same moment.
    database.exec('BEGIN');
    database.prepare('SELECT count(*) FROM workplace').get();
    chooseRows(database, request);
    zip = createZipWriter(context.target);
    const counts: Partial<Record<ArchiveTable, number>> = {};
    const files: Record<string, string> = {};
    const writer = createTableWriter(zip, counts, files);
    const workplaces = database
      .prepare('SELECT id, name, created_at AS createdAt FROM workplace ORDER BY id')
      .all() as Plain[];
    for (const row of workplaces) writer.add('workplaces', row);
    writer.finish();
    // The readings go out twice: as records and as a table.
    const all = countRows(database, request.scope, [...outgoing, ...readingsOnly]);
    const progress = createProgress(all, work);
    const personal = request.includeCustomers ? null : personalDetails(database);
    for (const table of outgoing) await writeTable(database, zip, writer, { table, request, personal, progress });
    const entry = zip.begin('tables/readings.csv');
    await writeReadings(database, request.scope === 'book', progress, (text) => entry.push(encode(text)));
    entry.end();
    const manifest: Manifest = {
      format: archiveFormatName,
      formatVersion: archiveFormatVersion,
      scope: request.scope,
      madeAt: context.madeAt,
      madeBy: { workplaceId: context.workplace.id, name: context.workplace.name },
      programVersion: context.programVersion,
      counts,
      files,
    };
    zip.add('schema.json', encode(JSON.stringify(archiveJsonSchema(), null, 1)));
    zip.add('read-me.txt', encode(readMe));
    zip.add(manifestFile, encode(JSON.stringify(manifest, null, 1)));
    return zip.finish();
  } catch (error) {
    zip?.abandon();
    rmSync(context.target, { force: true });
    throw toBookError(error);
  } finally {
    database.close();
  }
}

function countRows(database: Database, scope: ExportRequest['scope'], tables: readonly Outgoing[]): number {
  return tables.reduce((sum, table) => {
    const counted = database.prepare(`SELECT count(*) AS n FROM ${table.table} ${filterOf(table, scope)}`).get();
    return sum + (counted as { n: number }).n;
  }, 0);
}

/** Counts rows as they go out and hands the thread on. */
interface Progress {
  row(): Promise<void> | null;
}

function createProgress(all: number, work: Work): Progress {
  const slices: Slices = createSlices(work);
  let done = 0;
  return {
    row() {
      done += 1;
      if (!slices.isOver()) return null;
      work.report('Writing the file; stamping can go on', all === 0 ? null : done / all);
      return slices.pause();
    },
  };
}

function filterOf(
  { archive, chosenBy }: Pick<Outgoing, 'archive' | 'chosenBy'>,
  scope: ExportRequest['scope'],
): string {
  if (scope === 'book') return '';
  if (scope === 'changes' && archive === 'changes') return 'WHERE id IN (SELECT id FROM chosen_change)';
  return `WHERE ${chosenBy} IN (SELECT row_id FROM chosen)`;
}

interface TableWriter {
  add(table: ArchiveTable, row: Plain): void;
  /** Writes what is left of the table in work. */
  finish(): void;
}

function createTableWriter(
  zip: ZipWriter,
  counts: Partial<Record<ArchiveTable, number>>,
  files: Record<string, string>,
): TableWriter {
  let table: ArchiveTable | null = null;
  let rows: string[] = [];
  let chars = 0;
  let fileCount = 0;
  function flush(): void {
    if (table === null || rows.length === 0) return;
    fileCount += 1;
    const name = `data/${table}-${String(fileCount).padStart(4, '0')}.json`;
    const bytes = encode(`[\n${rows.join(',\n')}\n]\n`);
    files[name] = createHash('sha256').update(bytes).digest('hex');
    zip.add(name, bytes);
    rows = [];
    chars = 0;
  }
  return {
    add(next, row) {
      if (next !== table) {
        flush();
        table = next;
        fileCount = 0;
      }
      const text = JSON.stringify(row);
      rows.push(text);
      chars += text.length;
      counts[next] = (counts[next] ?? 0) + 1;
      if (rows.length >= rowsInFile || chars >= largestFileChars) flush();
    },
    finish: flush,
  };
}

/** The details that each build's sheets may hold. */
function personalDetails(database: Database): (buildId: Id) => readonly string[] {
  const reader = {
    all: <Row>(sql: string, ...values: unknown[]) => database.prepare(sql).all(...values) as Row[],
  };
  const customers = customersOfBuilds(reader);
  const texts = textsOfCustomers(reader);
  return (buildId) => [...(customers.get(buildId) ?? [])].flatMap((id) => texts.get(id) ?? []);
}

interface TableToWrite {
  readonly table: Outgoing;
  readonly request: ExportRequest;
  /** What has to be blanked on the sheets of a build; null where the customers go out as well. */
  readonly personal: ((buildId: Id) => readonly string[]) | null;
  readonly progress: Progress;
}

async function writeTable(
  database: Database,
  zip: ZipWriter,
  writer: TableWriter,
  { table, request, personal, progress }: TableToWrite,
): Promise<void> {
  if (personal !== null && table.archive === 'customer-versions') return;
  const buildOf = database.prepare('SELECT build_id FROM mock_up WHERE id = ?');
  const rows = database.prepare(
    `SELECT * FROM ${table.table} ${filterOf(table, request.scope)} ORDER BY ${table.orderedBy}`,
  );
  for (const row of rows.iterate() as IterableIterator<Plain>) {
    soundRow(row, `A row of ${table.archive}`);
    const out = table.toArchive(row);
    if (table.archive === 'customers' && personal !== null) out['content'] = blankContent;
    if (table.archive === 'pictures') zip.add(String(out['file']), row['bytes'] as Buffer, false);
    if (table.archive === 'sheets') {
      const { build_id } = (buildOf.get(row['mock_up_id']) as { build_id: Id } | undefined) ?? { build_id: '' };
      const sheet = { html: String(row['html']), snapshot: String(row['snapshot']), title: String(row['title']) };
      const { html, snapshot, title } = withoutDetails(sheet, personal?.(build_id) ?? []);
      zip.add(String(out['file']), encode(html));
      out['snapshot'] = JSON.parse(snapshot);
      out['title'] = title;
    }
    writer.add(table.archive, out);
    await progress.row();
  }
  writer.finish();
}

async function writeReadings(
  database: Database,
  isWhole: boolean,
  progress: Progress,
  write: (text: string) => void,
): Promise<void> {
  let lines: string[] = [];
  for (const line of readingLines(database, isWhole)) {
    lines.push(line);
    if (lines.length >= linesAtOnce) {
      write(lines.join(''));
      lines = [];
    }
    await progress.row();
  }
  write(lines.join(''));
}

/**
 * Writes only the table of readings, of some builds or of all.
 * @returns size of the file
 * @throws BookError, EnvironmentError `stopped`; a half table isn't left behind
 */
export async function exportTable(
  bookPath: string,
  target: string,
  buildIds: readonly Id[],
  work: Work = unwatchedWork,
): Promise<number> {
  const database = new Sqlite(bookPath, { readonly: true });
  let file: number | null = null;
  try {
    database.pragma('temp_store = MEMORY');
    database.exec('BEGIN');
    const scope = buildIds.length === 0 ? 'book' : 'build';
    const request: ExportRequest = { scope, buildIds, since: {}, includeCustomers: false };
    chooseRows(database, request);
    file = openSync(target, 'wx', 0o600);
    const written = file;
    await writeReadings(
      database,
      scope === 'book',
      createProgress(countRows(database, scope, readingsOnly), work),
      (text) => writeWhole(written, encode(text)),
    );
    fsyncSync(file);
    return statSync(target).size;
  } catch (error) {
    rmSync(target, { force: true });
    throw toBookError(error);
  } finally {
    if (file !== null) closeSync(file);
    database.close();
  }
}

function encode(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
