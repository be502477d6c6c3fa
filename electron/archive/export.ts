import { createHash } from 'node:crypto';
import { rmSync, statSync, writeFileSync } from 'node:fs';
import { setImmediate } from 'node:timers/promises';
import Sqlite, { type Database } from 'better-sqlite3';
import type { Id, Time } from '../../core/contract/basics.ts';
import type { Port } from '../../core/contract/parts.ts';
import type { ReadingContent } from '../../core/contract/readings.ts';
import { toBookError } from '../database/book-errors.ts';
import { blankContent, removedDetails } from '../database/remove-details.ts';
import { soundRow } from '../database/rows.ts';
import type { Workplace } from '../database/workplace.ts';
import { csvLine } from './csv.ts';
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
import { type Outgoing, outgoing } from './tables.ts';
import { createZipWriter, type ZipWriter } from './zip-writer.ts';

export interface ExportRequest {
  readonly scope: 'build' | 'book' | 'changes';
  readonly buildIds: readonly Id[];
  readonly since: Readonly<Record<Id, number>>;
  readonly includeCustomers: boolean;
}

export interface ExportContext {
  readonly bookPath: string;
  readonly target: string;
  readonly workplace: Workplace;
  readonly programVersion: string;
  readonly madeAt: Time;
}

type Plain = Record<string, unknown>;

/**
 * Writes an archive of one state of the book, while stamps go on.
 * @returns size of the file
 * @throws BookError, EnvironmentError `export_too_large`; a half archive isn't left behind
 */
export async function exportArchive(request: ExportRequest, context: ExportContext): Promise<number> {
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
    for (const table of outgoing) await writeTable(database, zip, writer, table, request);
    writeCsvTables(database, zip, request);
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

/** Notes which records go out in a temporary table, each with all that it refers to. */
function chooseRows(database: Database, { scope, buildIds, since }: ExportRequest): void {
  database.exec('CREATE TEMP TABLE chosen (row_id TEXT PRIMARY KEY) WITHOUT ROWID');
  database.exec('CREATE TEMP TABLE chosen_change (id TEXT PRIMARY KEY) WITHOUT ROWID');
  if (scope === 'changes') {
    const add = database.prepare(
      'INSERT OR IGNORE INTO chosen_change SELECT id FROM change_log WHERE workplace_id = ? AND seq > ?',
    );
    const workplaces = database.prepare('SELECT id FROM workplace').all() as { id: Id }[];
    for (const { id } of workplaces) add.run(id, since[id] ?? 0);
    database.exec(
      'INSERT OR IGNORE INTO chosen SELECT row_id FROM change_log WHERE id IN (SELECT id FROM chosen_change)',
    );
    return;
  }
  if (scope === 'book') return;
  const addBuild = database.prepare('INSERT OR IGNORE INTO chosen SELECT id FROM build WHERE id = ?');
  for (const id of buildIds) addBuild.run(id);
  const add = (select: string) => database.exec(`INSERT OR IGNORE INTO chosen ${select}`);
  const chosen = 'IN (SELECT row_id FROM chosen)';
  // What is measured in these builds ...
  add(`SELECT id FROM mock_up WHERE build_id ${chosen}`);
  add(`SELECT id FROM reading WHERE mock_up_id ${chosen}`);
  add(`SELECT id FROM reading_mark WHERE reading_id ${chosen}`);
  add(`SELECT id FROM wheel_setup WHERE mock_up_id ${chosen}`);
  add(`SELECT id FROM sheet WHERE mock_up_id ${chosen}`);
  add(`SELECT picture_id FROM reading WHERE id ${chosen} AND picture_id IS NOT NULL`);
  add(`SELECT second_picture_id FROM reading WHERE id ${chosen} AND second_picture_id IS NOT NULL`);
  add(
    `SELECT reference_picture_id FROM wheel_setup_state WHERE setup_id ${chosen} AND reference_picture_id IS NOT NULL`,
  );
  // ... the mock-ups that they were copied from, as far back as it goes, with their builds but without their readings ...
  for (let before = -1, now = 0; now !== before; ) {
    before = now;
    add(`SELECT copied_from_id FROM mock_up WHERE id ${chosen} AND copied_from_id IS NOT NULL`);
    now = (database.prepare('SELECT count(*) AS n FROM chosen').get() as { n: number }).n;
  }
  add(`SELECT build_id FROM mock_up WHERE id ${chosen}`);
  // ... and the parts and customers of them all.
  for (const column of ['engine_id', 'barrel_id', 'piston_id', 'head_id', 'base_gasket_id', 'head_gasket_id']) {
    add(`SELECT ${column} FROM mock_up WHERE id ${chosen} AND ${column} IS NOT NULL`);
  }
  add(`SELECT engine_id FROM build WHERE id ${chosen} AND engine_id IS NOT NULL`);
  add(`SELECT customer_id FROM build WHERE id ${chosen} AND customer_id IS NOT NULL`);
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
  let rows: Plain[] = [];
  let fileCount = 0;
  function flush(): void {
    if (table === null || rows.length === 0) return;
    fileCount += 1;
    const name = `data/${table}-${String(fileCount).padStart(4, '0')}.json`;
    const bytes = encode(`[\n${rows.map((row) => JSON.stringify(row)).join(',\n')}\n]\n`);
    files[name] = createHash('sha256').update(bytes).digest('hex');
    zip.add(name, bytes);
    rows = [];
  }
  return {
    add(next, row) {
      if (next !== table) {
        flush();
        table = next;
        fileCount = 0;
      }
      rows.push(row);
      counts[next] = (counts[next] ?? 0) + 1;
      if (rows.length >= rowsInFile) flush();
    },
    finish: flush,
  };
}

async function writeTable(
  database: Database,
  zip: ZipWriter,
  writer: TableWriter,
  table: Outgoing,
  request: ExportRequest,
): Promise<void> {
  const names = request.includeCustomers ? [] : customerTexts(database);
  if (!request.includeCustomers && table.archive === 'customer-versions') return;
  const rows = database.prepare(
    `SELECT * FROM ${table.table} ${filterOf(table, request.scope)} ORDER BY ${table.orderedBy}`,
  );
  let count = 0;
  for (const row of rows.iterate() as IterableIterator<Plain>) {
    soundRow(row, `A row of ${table.archive}`);
    const out = table.toArchive(row);
    if (table.archive === 'customers' && !request.includeCustomers) out['content'] = blankContent;
    if (table.archive === 'pictures') zip.add(String(out['file']), row['bytes'] as Buffer, false);
    if (table.archive === 'sheets') {
      zip.add(String(out['file']), encode(blanked(String(row['html']), names)));
      out['snapshot'] = JSON.parse(blanked(String(row['snapshot']), names));
    }
    writer.add(table.archive, out);
    count += 1;
    // Stamps get their turn in between.
    if (count % 200 === 0) await setImmediate();
  }
  writer.finish();
}

function customerTexts(database: Database): string[] {
  const rows = database.prepare('SELECT content FROM customer').all() as { content: string }[];
  return rows
    .flatMap(({ content }) => Object.values(JSON.parse(content) as Record<string, string>))
    .map((text) => text.trim())
    .filter((text) => text.length > 1 && text !== removedDetails);
}

function blanked(text: string, names: readonly string[]): string {
  return names.reduce(
    (rest, name) => rest.replaceAll(name, removedDetails).replaceAll(JSON.stringify(name).slice(1, -1), removedDetails),
    text,
  );
}

interface CsvRow {
  id: Id;
  content: string;
  mock_up: string;
  build: string;
  barrel: string;
  mark: string | null;
}

/** The same measurements once more as plain tables, for a spreadsheet. */
function writeCsvTables(database: Database, zip: ZipWriter, { scope }: ExportRequest): void {
  zip.add('tables/readings.csv', encode(readingsTable(database, scope)));
}

/**
 * Writes only the table of readings, of some builds or of all.
 * @returns size of the file
 * @throws BookError; a half table isn't left behind
 */
export function exportTable(bookPath: string, target: string, buildIds: readonly Id[]): number {
  const database = new Sqlite(bookPath, { readonly: true });
  try {
    database.pragma('temp_store = MEMORY');
    const scope = buildIds.length === 0 ? 'book' : 'build';
    chooseRows(database, { scope, buildIds, since: {}, includeCustomers: false });
    writeFileSync(target, readingsTable(database, scope), { mode: 0o600 });
    return statSync(target).size;
  } catch (error) {
    rmSync(target, { force: true });
    throw toBookError(error);
  } finally {
    database.close();
  }
}

function readingsTable(database: Database, scope: ExportRequest['scope']): string {
  const chosen = scope === 'book' ? '' : 'WHERE r.id IN (SELECT row_id FROM chosen)';
  const lines = [
    csvLine([
      'reading',
      'build',
      'mock_up',
      'barrel',
      'what',
      'port',
      'edge',
      'turning',
      'quantity',
      'position',
      'value',
      'unit',
      'rotation_deg',
      'sigma_deg',
      'wheel_reading_deg',
      'signal',
      'taken_at',
      'measured_by',
      'supersedes',
      'latest_mark',
      'note',
    ]),
  ];
  const rows = database.prepare(`
    SELECT r.id, r.content, m.content AS mock_up, b.content AS build, p.content AS barrel,
      (SELECT mark FROM reading_mark k WHERE k.reading_id = r.id ORDER BY k.change_id DESC LIMIT 1) AS mark
    FROM reading r JOIN mock_up m ON m.id = r.mock_up_id JOIN build b ON b.id = m.build_id JOIN part p ON p.id = m.barrel_id
    ${chosen} ORDER BY r.change_id`);
  for (const row of rows.iterate() as IterableIterator<CsvRow>) {
    const content = JSON.parse(row.content) as ReadingContent;
    const barrel = JSON.parse(row.barrel) as { name: string; data: { ports?: Port[] } };
    const { subject } = content;
    const angle = subject.what === 'quantity' ? null : subject.angle;
    const portLabel =
      subject.what === 'port_edge'
        ? (barrel.data.ports?.find(({ portId }) => portId === subject.portId)?.label ?? subject.portId)
        : null;
    lines.push(
      csvLine([
        row.id,
        (JSON.parse(row.build) as { title: string }).title,
        (JSON.parse(row.mock_up) as { name: string }).name,
        barrel.name,
        subject.what,
        portLabel,
        subject.what === 'port_edge' ? subject.edge : null,
        subject.what === 'quantity' ? null : subject.turning,
        subject.what === 'quantity' ? subject.quantity : null,
        subject.what === 'quantity' ? subject.position : null,
        subject.what === 'quantity' ? subject.value : null,
        subject.what === 'quantity' ? subject.unit : null,
        angle?.by === 'camera' ? angle.rotationDeg : null,
        angle?.by === 'camera' ? angle.sigmaDeg : null,
        angle?.by === 'typed' ? angle.wheelReadingDeg : null,
        content.signal,
        content.takenAt,
        content.measuredBy,
        content.supersedesId,
        row.mark,
        content.note,
      ]),
    );
  }
  return lines.join('');
}

function encode(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}
