import type { Id } from '../../core/contract/basics.ts';
import type { HistoryChange } from '../../core/contract/book-messages.ts';
import type { SqlValue } from './check-sum.ts';
import type { BookReader } from './connection.ts';
import { soundRow } from './rows.ts';

interface LogRow {
  id: Id;
  workplace_id: Id;
  seq: number;
  made_at: string;
  entity: string;
  row_id: Id;
  action: string;
  content_before: string | null;
  content_after: string | null;
  supersedes_change_id: Id | null;
  resolves_change_id: Id | null;
  check_sum: number;
}

export interface HistoryQuery {
  readonly rowId: Id | null;
  readonly buildId: Id | null;
  readonly limit: number;
  readonly beforeId: Id | null;
}

/** Ids of everything that belongs to a build. */
const rowsOfBuild = `
  SELECT id FROM build WHERE id = ?1
  UNION SELECT customer_id FROM build WHERE id = ?1
  UNION SELECT engine_id FROM build WHERE id = ?1
  UNION SELECT id FROM mock_up WHERE build_id = ?1
  UNION SELECT p.value FROM mock_up m, json_each(json_array(m.barrel_id, m.piston_id, m.head_id, m.base_gasket_id, m.head_gasket_id)) p
    WHERE m.build_id = ?1
  UNION SELECT r.id FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = ?1
  UNION SELECT k.id FROM mock_up m JOIN reading r ON r.mock_up_id = m.id JOIN reading_mark k ON k.reading_id = r.id WHERE m.build_id = ?1
  UNION SELECT w.id FROM mock_up m JOIN wheel_setup w ON w.mock_up_id = m.id WHERE m.build_id = ?1
  UNION SELECT s.id FROM mock_up m JOIN sheet s ON s.mock_up_id = m.id WHERE m.build_id = ?1`;

/** Changes of one record, of everything of a build, or of the whole book; newest first. */
export function listHistory(reader: BookReader, { rowId, buildId, limit, beforeId }: HistoryQuery): HistoryChange[] {
  const conditions: string[] = [];
  const values: SqlValue[] = [];
  /** Numbered, because the condition on a build names it more than once: a build always comes first. */
  const place = (value: SqlValue) => `?${values.push(value)}`;
  if (buildId !== null) {
    place(buildId);
    conditions.push(`c.row_id IN (${rowsOfBuild})`);
  }
  if (rowId !== null) conditions.push(`c.row_id = ${place(rowId)}`);
  if (beforeId !== null) conditions.push(`c.id < ${place(beforeId)}`);
  const where = conditions.length === 0 ? '' : `WHERE ${conditions.join(' AND ')}`;
  const names = new Map(
    reader.all<{ id: Id; name: string }>('SELECT id, name FROM workplace').map(({ id, name }) => [id, name]),
  );
  const rows = reader.all<LogRow>(
    `SELECT c.* FROM change_log c ${where} ORDER BY c.id DESC LIMIT ${place(limit)}`,
    ...values,
  );
  const records = recordsOf(reader, rows);
  return rows.map((row) => {
    soundRow(row, 'An entry of the change log');
    const { before, after } = row.entity === 'customer' ? customerVersions(reader, row) : contents(row);
    return {
      id: row.id,
      workplaceId: row.workplace_id,
      workplaceName: names.get(row.workplace_id) ?? '',
      madeAt: row.made_at,
      entity: row.entity,
      rowId: row.row_id,
      action: row.action,
      before: parse(before),
      after: parse(after),
      supersedesChangeId: row.supersedes_change_id,
      record: parse(records.get(row.row_id) ?? null),
    };
  });
}

/** What the append-only records of these entries say, in three queries whatever their number. */
function recordsOf(reader: BookReader, rows: readonly LogRow[]): Map<Id, string> {
  const found = new Map<Id, string>();
  for (const [entity, sql] of Object.entries(recordQueries)) {
    const ids = rows.filter((row) => row.entity === entity).map((row) => row.row_id);
    if (ids.length === 0) continue;
    for (const { id, record } of reader.all<{ id: Id; record: string }>(sql, JSON.stringify(ids))) {
      found.set(id, record);
    }
  }
  return found;
}
const recordQueries = {
  reading: 'SELECT id, content AS record FROM reading WHERE id IN (SELECT value FROM json_each(?))',
  reading_mark: `SELECT k.id, json_object('mark', k.mark, 'reason', k.reason, 'readingId', k.reading_id, 'reading', json(r.content)) AS record
    FROM reading_mark k JOIN reading r ON r.id = k.reading_id WHERE k.id IN (SELECT value FROM json_each(?))`,
  sheet:
    "SELECT id, json_object('title', title, 'kind', kind) AS record FROM sheet WHERE id IN (SELECT value FROM json_each(?))",
};

function contents(row: LogRow): { before: string | null; after: string | null } {
  return { before: row.content_before, after: row.content_after };
}

/** A customer's versions stand apart from the log, and are gone once the details were removed. */
function customerVersions(reader: BookReader, row: LogRow): { before: string | null; after: string | null } {
  const version = (changeId: Id | null): string | null =>
    changeId === null
      ? null
      : (reader.get<{ content: string }>('SELECT content FROM customer_version WHERE change_id = ?', changeId)
          ?.content ?? null);
  return { before: version(row.supersedes_change_id), after: version(row.id) };
}

function parse(text: string | null): HistoryChange['before'] {
  return text === null ? null : JSON.parse(text);
}
