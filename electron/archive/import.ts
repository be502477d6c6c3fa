import type { Id } from '../../core/contract/basics.ts';
import type { ImportReport } from '../../core/contract/book-messages.ts';
import { touchBuild } from '../database/activity.ts';
import { BookError } from '../database/book-errors.ts';
import { rowCheckSum, type SqlRow } from '../database/check-sum.ts';
import { noteConflicts } from '../database/conflicts.ts';
import type { BookWriter, Connection } from '../database/connection.ts';
import type { EditableKind } from '../database/editable.ts';
import { buildKind, customerKind, mockUpKind, partKind } from '../database/kinds.ts';
import { blankContent } from '../database/personal-details.ts';
import { readingKeys } from '../database/readings.ts';
import { blankCustomer, blankSheets } from '../database/remove-details.ts';
import { insertRow, updateRow } from '../database/rows.ts';
import { checkSheetHtml } from '../database/sheet-html.ts';
import { unwatchedWork, type Work } from '../database/work.ts';
import { isAncestor } from './ancestry.ts';
import type { ArchiveRow, ArchiveTable } from './format.ts';
import { type Archive, openArchive } from './read-archive.ts';
import { contentText, incomingRaw, madeIn } from './tables.ts';
import { badArchive } from './zip-reader.ts';

type Plain = Record<string, unknown>;
interface Counts {
  added: Record<string, number>;
  updated: number;
  known: number;
  conflicts: number;
}

/**
 * Brings what an archive holds into the book, all of it or nothing. Ids decide what is known already, so importing
 * twice or in both directions gives no doubles. Records that both sides changed are kept in both versions.
 * @throws InputError `inconsistent` with the reason; the book is as before then
 */
export function importArchive(path: string, book: Connection, work: Work = unwatchedWork): Promise<ImportReport> {
  return importInto(path, book, work, true);
}

/** What an import would do: it is done in full and taken back, so that every refusal shows beforehand as well. */
export function rehearseImport(path: string, book: Connection, work: Work = unwatchedWork): Promise<ImportReport> {
  return importInto(path, book, work, false);
}

async function importInto(path: string, book: Connection, work: Work, isKept: boolean): Promise<ImportReport> {
  const archive = openArchive(path);
  const sentence = isKept
    ? 'Importing, all of it or nothing'
    : 'Working out what the import would do; nothing is stored by that';
  try {
    return await book.writeInSlices((writer) => apply(archive, writer), {
      signal: work.signal,
      onPart: (part) => work.report(sentence, part),
      isKept,
    });
  } catch (error) {
    if (error instanceof BookError && error.code === 'unknown_reference') throw lacksFoundation();
    throw error;
  } finally {
    archive.close();
  }
}

/** Yields the part that is done after each row. */
function* apply(archive: Archive, writer: BookWriter): Generator<number, ImportReport, void> {
  const counts: Counts = { added: {}, updated: 0, known: 0, conflicts: 0 };
  const touched = new Set<Id>();
  const edited = new Set<Id>();
  const rowCount = Object.values(archive.manifest.counts).reduce((sum, rows) => sum + rows, 0);
  let done = 0;
  function* each<T extends ArchiveTable>(table: T, step: (row: ArchiveRow<T>) => void): Generator<number, void, void> {
    for (const row of archive.rows(table)) {
      step(row);
      done += 1;
      // The records' places in the list and their conflicts come after the rows.
      yield (0.9 * done) / rowCount;
    }
  }
  yield* each('workplaces', (row) => {
    writer.run(
      'INSERT OR IGNORE INTO workplace (id, name, created_at) VALUES (?, ?, ?)',
      row.id,
      row.name,
      row.createdAt,
    );
  });
  yield* each('changes', (row) => {
    if (addChange(writer, row, counts) && editableEntities.has(row.entity)) edited.add(row.rowId);
  });
  yield* each('parts', (row) => applyEditable(writer, partKind, row, counts));
  yield* each('customers', (row) => applyCustomer(writer, row, counts));
  yield* each('customer-versions', (row) => addCustomerVersion(writer, row, counts));
  yield* each('builds', (row) => {
    applyEditable(writer, buildKind, row, counts);
    touched.add(row.id);
  });
  yield* each('mock-ups', (row) => {
    applyEditable(writer, mockUpKind, row, counts);
    touched.add(row.content.buildId);
  });
  yield* each('pictures', (row) => addPicture(writer, archive, row, counts));
  yield* each('wheel-setups', (row) => addRaw(writer, 'wheel-setups', row, counts));
  yield* each('wheel-setup-states', (row) => addRaw(writer, 'wheel-setup-states', row, counts));
  yield* each('readings', (row) => {
    touched.add(buildOfMockUp(writer, row.content.mockUpId));
    const stored: SqlRow = {
      ...madeIn(row),
      ...readingKeys(row.content),
      content: contentText(row.content),
      change_id: row.changeId,
    };
    keepRaw(writer, 'readings', 'reading', 'id', stored, counts);
  });
  yield* each('marks', (row) => {
    addRaw(writer, 'marks', row, counts);
    const reading = writer.get<{ mock_up_id: Id }>('SELECT mock_up_id FROM reading WHERE id = ?', row.readingId);
    if (reading !== undefined) touched.add(buildOfMockUp(writer, reading.mock_up_id));
  });
  yield* each('sheets', (row) => addSheet(writer, archive, row, counts));
  for (const rowId of edited) {
    counts.conflicts += noteConflicts(writer, rowId);
    yield 0.9;
  }
  for (const buildId of touched) {
    touchImportedBuild(writer, buildId);
    yield 0.95;
  }
  return counts;
}

function buildOfMockUp(writer: BookWriter, mockUpId: Id): Id {
  const found = writer.get<{ build_id: Id }>('SELECT build_id FROM mock_up WHERE id = ?', mockUpId);
  if (found === undefined) throw lacksFoundation();
  return found.build_id;
}

function lacksFoundation(): Error {
  return badArchive(
    'it builds on records that this book does not have; import an archive of the whole build or book first',
  );
}

function count(counts: Counts, table: ArchiveTable): void {
  counts.added[table] = (counts.added[table] ?? 0) + 1;
}

/** @returns true where the entry is new. Log entries keep their number; a number that stands for two entries means that one of the books was tampered with. */
function addChange(writer: BookWriter, row: Plain, counts: Counts): boolean {
  const stored = incomingRaw.changes.toRow(row);
  // Details in the log could never be removed again: they belong into the versions beside it.
  if (stored['entity'] === 'customer' && (stored['content_before'] !== null || stored['content_after'] !== null)) {
    throw badArchive("its change log holds a customer's details, which don't belong there");
  }
  const known = writer.get<SqlRow>('SELECT * FROM change_log WHERE id = ?', stored['id'] as Id);
  if (known !== undefined) {
    if (known['check_sum'] !== rowCheckSum(stored))
      throw badArchive('an entry of its change log differs from the same entry here');
    counts.known += 1;
    return false;
  }
  const sameNumber = writer.get(
    'SELECT 1 AS there FROM change_log WHERE workplace_id = ? AND seq = ?',
    stored['workplace_id'] as Id,
    stored['seq'] as number,
  );
  if (sameNumber !== undefined) throw badArchive('its change log counts differently from the one here');
  insertRow(writer, 'change_log', stored);
  count(counts, 'changes');
  return true;
}

/** A row that is never edited: new or known, and if known then the same. */
function keepRaw(
  writer: BookWriter,
  archiveTable: ArchiveTable,
  table: string,
  key: string,
  row: SqlRow,
  counts: Counts,
): void {
  const known = writer.get<{ check_sum: number }>(`SELECT check_sum FROM ${table} WHERE ${key} = ?`, row[key] as Id);
  if (known === undefined) {
    insertRow(writer, table, row);
    count(counts, archiveTable);
  } else if (known.check_sum === rowCheckSum(row)) counts.known += 1;
  else throw badArchive(`a row of ${archiveTable} differs from the same row here, and such rows are never edited`);
}

function addRaw(
  writer: BookWriter,
  table: 'wheel-setups' | 'wheel-setup-states' | 'marks',
  row: Plain,
  counts: Counts,
): void {
  const { table: target, toRow } = incomingRaw[table];
  keepRaw(writer, table, target, table === 'wheel-setup-states' ? 'change_id' : 'id', toRow(row), counts);
}

function addPicture(writer: BookWriter, archive: Archive, row: Plain, counts: Counts): void {
  const bytes = archive.file(row['file'] as string);
  const isJpeg = bytes[0] === 0xff && bytes[1] === 0xd8;
  const isPng = bytes.toString('latin1', 1, 4) === 'PNG';
  if (row['mime'] === 'image/jpeg' ? !isJpeg : !isPng) throw badArchive(`${String(row['file'])} is no picture`);
  keepRaw(
    writer,
    'pictures',
    'picture',
    'id',
    {
      ...madeIn(row),
      mime: row['mime'],
      width_px: row['widthPx'],
      height_px: row['heightPx'],
      change_id: row['changeId'],
      bytes,
    } as SqlRow,
    counts,
  );
}

function addSheet(writer: BookWriter, archive: Archive, row: Plain, counts: Counts): void {
  const html = archive.file(row['file'] as string).toString('utf8');
  checkSheetHtml(html);
  const known = writer.get<{ details_removed_at: string | null }>(
    'SELECT details_removed_at FROM sheet WHERE id = ?',
    row['id'] as Id,
  );
  const stored = {
    ...madeIn(row),
    mock_up_id: row['mockUpId'],
    kind: row['kind'],
    title: row['title'],
    change_id: row['changeId'],
    snapshot: contentText(row['snapshot']),
    html,
    details_removed_at: row['detailsRemovedAt'],
  } as SqlRow & { id: string };
  // Details that were removed on one side stay removed on both. Without an entry of such a removal nobody may replace
  // what was printed.
  const isBlanked = known !== undefined && known.details_removed_at === null && row['detailsRemovedAt'] !== null;
  if (isBlanked && hasRemoval(writer, row['id'] as Id)) {
    updateRow(writer, 'sheet', stored);
    counts.updated += 1;
  } else if (known !== undefined) counts.known += 1;
  else keepRaw(writer, 'sheets', 'sheet', 'id', stored, counts);
}

interface EditableRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  content: string;
  change_id: Id;
}

const editableEntities = new Set<string>(['customer', 'part', 'build', 'mock_up']);
const archiveTableOf = { part: 'parts', build: 'builds', mock_up: 'mock-ups', customer: 'customers' } as const;

/** An editable record: the side whose change builds on the other's counts; where neither does, both are kept. */
function applyEditable<Content extends object>(
  writer: BookWriter,
  kind: EditableKind<Content>,
  row: Plain,
  counts: Counts,
): void {
  const content = row['content'] as Content;
  const id = row['id'] as Id;
  const theirs = row['changeId'] as Id;
  requireChange(writer, theirs, id);
  const stored = {
    ...madeIn(row),
    ...kind.keys(content),
    content: contentText(content),
    change_id: theirs,
  } as SqlRow & { id: string };
  const known = writer.get<EditableRow>(`SELECT * FROM ${kind.table} WHERE id = ?`, id);
  if (known === undefined) {
    insertRow(writer, kind.table, stored);
    kind.follow?.(writer, id, content);
    count(counts, archiveTableOf[kind.table]);
    return;
  }
  if (known.change_id === theirs || isAncestor(writer, theirs, known.change_id)) {
    counts.known += 1;
    return;
  }
  // Where neither builds on the other the later one counts; ids are time-ordered, so every book picks the same one.
  if (!isAncestor(writer, known.change_id, theirs) && known.change_id > theirs) return;
  updateRow(writer, kind.table, stored);
  kind.follow?.(writer, id, content);
  counts.updated += 1;
}

function requireChange(writer: BookWriter, changeId: Id, rowId: Id): void {
  const change = writer.get<{ row_id: Id }>('SELECT row_id FROM change_log WHERE id = ?', changeId);
  if (change?.row_id !== rowId) throw badArchive('a record stands there without its entry in the change log');
}

/** Removal of personal details wins over every other change, whichever side it comes from. */
function applyCustomer(writer: BookWriter, row: Plain, counts: Counts): void {
  const id = row['id'] as Id;
  const removal = removalOf(writer, id);
  const known = writer.get<EditableRow>('SELECT * FROM customer WHERE id = ?', id);
  if (removal !== null && known !== undefined) {
    if (known.change_id !== removal) {
      blankSheets(writer, id, writer.now());
      blankCustomer(writer, known, removal);
      counts.updated += 1;
    } else counts.known += 1;
    return;
  }
  // An archive without customers came first: the details that it left out arrive now.
  const isLeftOut =
    known !== undefined && known.change_id === row['changeId'] && known.content === JSON.stringify(blankContent);
  if (isLeftOut) {
    const { id: _, ...made } = madeIn(row);
    updateRow(writer, 'customer', { id, ...made, content: contentText(row['content']), change_id: known.change_id });
    customerKind.follow?.(writer, id, row['content'] as { name: string; contact: string });
    counts.updated += 1;
    return;
  }
  // An archive without customers says nothing of them: what is known here stays.
  const saysNothing = known !== undefined && contentText(row['content']) === JSON.stringify(blankContent);
  if (saysNothing) {
    counts.known += 1;
    return;
  }
  applyEditable(writer, customerKind, row, counts);
}

/** Did a customer that the sheet's build has or had ask for that? */
function hasRemoval(writer: BookWriter, sheetId: Id): boolean {
  const found = writer.get(
    `SELECT 1 AS there FROM sheet s JOIN mock_up m ON m.id = s.mock_up_id
     JOIN change_log b ON b.row_id = m.build_id AND b.entity = 'build'
     JOIN change_log r ON r.action = 'remove_details'
       AND r.row_id IN (b.content_before ->> 'customerId', b.content_after ->> 'customerId')
     WHERE s.id = ? LIMIT 1`,
    sheetId,
  );
  return found !== undefined;
}

function removalOf(writer: BookWriter, customerId: Id): Id | null {
  const found = writer.get<{ id: Id }>(
    "SELECT id FROM change_log WHERE row_id = ? AND action = 'remove_details' ORDER BY id DESC LIMIT 1",
    customerId,
  );
  return found?.id ?? null;
}

function addCustomerVersion(writer: BookWriter, row: Plain, counts: Counts): void {
  if (removalOf(writer, row['customerId'] as Id) !== null) return;
  const stored = {
    change_id: row['changeId'],
    customer_id: row['customerId'],
    content: contentText(row['content']),
  } as SqlRow;
  keepRaw(writer, 'customer-versions', 'customer_version', 'change_id', stored, counts);
}

function touchImportedBuild(writer: BookWriter, buildId: Id): void {
  const latest = writer.get<{ at: string | null }>(
    `SELECT max(c.made_at) AS at FROM change_log c WHERE c.row_id = ?1
       OR c.row_id IN (SELECT id FROM mock_up WHERE build_id = ?1)
       OR c.row_id IN (SELECT r.id FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = ?1)
       OR c.row_id IN (SELECT k.id FROM mock_up m JOIN reading r ON r.mock_up_id = m.id
                       JOIN reading_mark k ON k.reading_id = r.id WHERE m.build_id = ?1)`,
    buildId,
  );
  if (latest?.at != null) touchBuild(writer, buildId, latest.at);
}
