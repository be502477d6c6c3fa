import type { Id } from '../../core/contract/basics.ts';
import type { ImportReport } from '../../core/contract/book-messages.ts';
import { touchBuild } from '../database/activity.ts';
import { BookError } from '../database/book-errors.ts';
import type { SqlRow } from '../database/check-sum.ts';
import { noteConflicts } from '../database/conflicts.ts';
import type { BookWriter, Connection } from '../database/connection.ts';
import { buildKind, mockUpKind, partKind } from '../database/kinds.ts';
import { readingKeys } from '../database/readings.ts';
import { unwatchedWork, type Work } from '../database/work.ts';
import type { ArchiveRow, ArchiveTable } from './format.ts';
import { addCustomerVersion, applyCustomer, applyEditable, editableEntities } from './incoming-records.ts';
import { addChange, addPicture, addRaw, addSheet, type Counts, keepRaw } from './incoming-rows.ts';
import { type Archive, openArchive } from './read-archive.ts';
import { contentText, madeIn } from './tables.ts';
import { badArchive } from './zip-reader.ts';

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
