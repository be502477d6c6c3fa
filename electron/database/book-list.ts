import type { Id } from '../../core/contract/basics.ts';
import type { BookRow } from '../../core/contract/messages.ts';
import type { SqlValue } from './check-sum.ts';
import type { BookReader } from './connection.ts';

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

/** The book's list, last changed first. */
export function listBook(reader: BookReader, { query, limit, offset }: ListQuery): { rows: BookRow[]; total: number } {
  const words = query
    .trim()
    .split(/\s+/)
    .filter((word) => word !== '');
  const conditions = words.map(
    () => `(b.content LIKE ? ESCAPE '!' OR c.content LIKE ? ESCAPE '!' OR e.content LIKE ? ESCAPE '!')`,
  );
  const where = conditions.length === 0 ? '' : `WHERE ${conditions.join(' AND ')}`;
  const values: SqlValue[] = words.flatMap((word) => {
    const pattern = `%${word.replaceAll(/[!%_]/g, (character) => `!${character}`)}%`;
    return [pattern, pattern, pattern];
  });
  const from = `FROM build_activity a JOIN build b ON b.id = a.build_id
    LEFT JOIN customer c ON c.id = b.customer_id LEFT JOIN part e ON e.id = b.engine_id ${where}`;
  const total = reader.get<{ total: number }>(`SELECT count(*) AS total ${from}`, ...values)?.total ?? 0;
  const rows = reader.all<ListRow>(
    `SELECT a.build_id, b.content, c.content AS customer, e.content AS engine, a.changed_at,
       (SELECT count(*) FROM mock_up m WHERE m.build_id = a.build_id) AS mock_ups,
       (SELECT count(*) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = a.build_id) AS readings
     ${from} ORDER BY a.changed_at DESC, a.build_id DESC LIMIT ? OFFSET ?`,
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
