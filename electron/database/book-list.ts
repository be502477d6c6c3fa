import type { Id } from '../../core/contract/basics.ts';
import type { BookRow } from '../../core/contract/messages.ts';
import type { BookReader } from './connection.ts';
import { searchPattern } from './search.ts';

interface ListRow {
  build_id: Id;
  content: string;
  customer: string | null;
  engine: string | null;
  mock_ups: number;
  readings: number;
  changed_at: string;
}

export interface ListQuery {
  readonly query: string;
  readonly limit: number;
  readonly offset: number;
}

/** The book's list, last changed first; with a query only builds in whose records every word occurs. */
export function listBook(reader: BookReader, { query, limit, offset }: ListQuery): { rows: BookRow[]; total: number } {
  const pattern = query.trim() === '' ? undefined : searchPattern(query);
  if (pattern === null) return { rows: [], total: 0 };
  const filter =
    pattern === undefined
      ? ''
      : `WHERE a.build_id IN (SELECT s.row_id FROM search JOIN search_entry s ON s.id = search.rowid
           WHERE search MATCH ? AND s.entity = 'build')`;
  const values = pattern === undefined ? [] : [pattern];
  const total =
    reader.get<{ total: number }>(`SELECT count(*) AS total FROM build_activity a ${filter}`, ...values)?.total ?? 0;
  const rows = reader.all<ListRow>(
    `SELECT a.build_id, b.content, c.content AS customer, e.content AS engine, a.changed_at,
       (SELECT count(*) FROM mock_up m WHERE m.build_id = a.build_id) AS mock_ups,
       (SELECT count(*) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = a.build_id) AS readings
     FROM (SELECT build_id, changed_at FROM build_activity a ${filter}
           ORDER BY changed_at DESC, build_id DESC LIMIT ? OFFSET ?) a
     JOIN build b ON b.id = a.build_id
     LEFT JOIN customer c ON c.id = b.customer_id LEFT JOIN part e ON e.id = b.engine_id
     ORDER BY a.changed_at DESC, a.build_id DESC`,
    ...values,
    limit,
    offset,
  );
  return { rows: rows.map(toBookRow), total };
}

function nameIn(content: string | null): string {
  return content === null ? '' : (JSON.parse(content) as { name: string }).name;
}

function toBookRow(row: ListRow): BookRow {
  const build = JSON.parse(row.content) as { title: string; jobNumber: string; measuredBy: string };
  return {
    buildId: row.build_id,
    title: build.title,
    jobNumber: build.jobNumber,
    customer: nameIn(row.customer),
    engine: nameIn(row.engine),
    measuredBy: build.measuredBy,
    mockUps: row.mock_ups,
    readings: row.readings,
    changedAt: row.changed_at,
  };
}
