import type { Id, Time } from '../../core/contract/basics.ts';
import type { MarkKind, Reading, ReadingContent, ReadingMark } from '../../core/contract/readings.ts';
import { touchBuild } from './activity.ts';
import { logChange } from './change-log.ts';
import type { SqlRow } from './check-sum.ts';
import type { BookReader, BookWriter } from './connection.ts';
import { mockUpKind } from './kinds.ts';
import { idTaken, insertRow, notFound, soundRows } from './rows.ts';

export interface ReadingRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  mock_up_id: Id;
  content: string;
  change_id: Id;
}

interface MarkRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  reading_id: Id;
  mark: MarkKind;
  reason: string;
}

type StoredContent = Omit<ReadingContent, 'id'>;

export function readingFromRow(row: ReadingRow): Reading {
  return {
    ...(JSON.parse(row.content) as StoredContent),
    id: row.id,
    workplaceId: row.workplace_id,
    createdAt: row.created_at,
  };
}

function markFromRow(row: MarkRow): ReadingMark {
  return {
    id: row.id,
    workplaceId: row.workplace_id,
    createdAt: row.created_at,
    readingId: row.reading_id,
    mark: row.mark,
    reason: row.reason,
  };
}

/** Columns of a reading that are extracts of its content, for keys and searches. */
export function readingKeys(content: StoredContent): SqlRow {
  const { subject } = content;
  return {
    mock_up_id: content.mockUpId,
    setup_id: subject.what === 'quantity' ? null : subject.angle.setupId,
    what: subject.what,
    port_id: subject.what === 'port_edge' ? subject.portId : null,
    edge: subject.what === 'port_edge' ? subject.edge : null,
    turning: subject.what === 'quantity' ? null : subject.turning,
    quantity: subject.what === 'quantity' ? subject.quantity : null,
    signal: content.signal,
    picture_id: content.pictureId,
    second_picture_id: content.secondPictureId,
    supersedes_id: content.supersedesId,
  };
}

/**
 * Stores a raw reading; the id made by the page makes a repeated send harmless.
 * @throws BookError `id_taken` where the id is there with other content, `unknown_reference`, `not_found`
 */
export function addReading(writer: BookWriter, reading: ReadingContent): Reading {
  const { id, ...content } = reading;
  const text = JSON.stringify(content);
  const known = writer.get<ReadingRow>('SELECT * FROM reading WHERE id = ?', id);
  if (known !== undefined) {
    if (known.content !== text) throw idTaken('The reading');
    return readingFromRow(known);
  }
  const mockUp = writer.get<{ build_id: Id }>('SELECT build_id FROM mock_up WHERE id = ?', content.mockUpId);
  if (mockUp === undefined) throw notFound(mockUpKind.title);
  if (content.supersedesId !== null) {
    const superseded = writer.get<{ mock_up_id: Id }>(
      'SELECT mock_up_id FROM reading WHERE id = ?',
      content.supersedesId,
    );
    if (superseded?.mock_up_id !== content.mockUpId) throw notFound('The reading that this one replaces');
  }
  const { changeId, madeAt } = logChange(writer, { entity: 'reading', rowId: id, action: 'keep' });
  insertRow(writer, 'reading', {
    id,
    workplace_id: writer.workplaceId,
    created_at: madeAt,
    ...readingKeys(content),
    content: text,
    change_id: changeId,
  });
  touchBuild(writer, mockUp.build_id, madeAt);
  return { ...content, id, workplaceId: writer.workplaceId, createdAt: madeAt };
}

/** Adds a remark to readings; nothing is edited. @throws BookError `not_found` */
export function markReadings(
  writer: BookWriter,
  readingIds: readonly Id[],
  mark: MarkKind,
  reason: string,
): ReadingMark[] {
  const touched = new Map<Id, Time>();
  const made = readingIds.map((readingId) => {
    const reading = writer.get<{ build_id: Id }>(
      'SELECT m.build_id FROM reading r JOIN mock_up m ON m.id = r.mock_up_id WHERE r.id = ?',
      readingId,
    );
    if (reading === undefined) throw notFound('The reading');
    const id = writer.newId();
    const { changeId, madeAt } = logChange(writer, { entity: 'reading_mark', rowId: id, action: 'keep' });
    touched.set(reading.build_id, madeAt);
    const row: MarkRow = {
      id,
      workplace_id: writer.workplaceId,
      created_at: madeAt,
      reading_id: readingId,
      mark,
      reason,
    };
    insertRow(writer, 'reading_mark', { ...row, change_id: changeId });
    return markFromRow(row);
  });
  for (const [buildId, at] of touched) touchBuild(writer, buildId, at);
  return made;
}

/** Readings of a mock-up in the order in which they were recorded. */
export function readingsOf(reader: BookReader, mockUpId: Id): Reading[] {
  const rows = reader.all<ReadingRow>('SELECT * FROM reading WHERE mock_up_id = ? ORDER BY change_id', mockUpId);
  return soundRows(rows, 'A reading of this mock-up').map(readingFromRow);
}

/** Marks on the readings of a mock-up in the order in which they were recorded. */
export function marksOf(reader: BookReader, mockUpId: Id): ReadingMark[] {
  const rows = reader.all<MarkRow>(
    `SELECT k.* FROM reading r JOIN reading_mark k ON k.reading_id = r.id
     WHERE r.mock_up_id = ? ORDER BY k.change_id`,
    mockUpId,
  );
  return soundRows(rows, 'A mark of this mock-up').map(markFromRow);
}

/** Mock-ups that the readings belong to. */
export function mockUpsOf(reader: BookReader, readingIds: readonly Id[]): Id[] {
  return reader
    .all<{ mock_up_id: Id }>(
      'SELECT DISTINCT mock_up_id FROM reading WHERE id IN (SELECT value FROM json_each(?))',
      JSON.stringify(readingIds),
    )
    .map((row) => row.mock_up_id);
}
