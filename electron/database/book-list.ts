import type { Id } from '../../core/contract/basics.ts';
import type { BookRow } from '../../core/contract/messages.ts';
import type { BookReader } from './connection.ts';
import { type EditableKind, findEditable, getEditable } from './editable.ts';
import { buildKind, customerKind, partKind } from './kinds.ts';
import { searchPattern } from './search.ts';

interface ListRow {
  build_id: Id;
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
    `SELECT a.build_id, a.changed_at,
       (SELECT count(*) FROM mock_up m WHERE m.build_id = a.build_id) AS mock_ups,
       (SELECT count(*) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = a.build_id) AS readings
     FROM build_activity a ${filter} ORDER BY a.changed_at DESC, a.build_id DESC LIMIT ? OFFSET ?`,
    ...values,
    limit,
    offset,
  );
  const named = createNames(reader);
  return {
    rows: rows.map((row) => {
      // Read as a record of its own, since only a whole row can be checked against its check sum.
      const build = getEditable(reader, buildKind, row.build_id);
      return {
        buildId: build.id,
        title: build.title,
        jobNumber: build.jobNumber,
        customer: named(customerKind, build.customerId),
        engine: named(partKind, build.engineId),
        measuredBy: build.measuredBy,
        mockUps: row.mock_ups,
        readings: row.readings,
        changedAt: row.changed_at,
      };
    }),
    total,
  };
}

/** Names of records that many builds share are read once a list. */
function createNames(reader: BookReader) {
  const known = new Map<Id, string>();
  return <Content extends { name: string }>(kind: EditableKind<Content>, id: Id | null): string => {
    if (id === null) return '';
    const found = known.get(id) ?? findEditable(reader, kind, id)?.name ?? '';
    known.set(id, found);
    return found;
  };
}
