import type { Id } from '../../core/contract/basics.ts';
import type { BookRow } from '../../core/contract/messages.ts';
import type { BuildContent } from '../../core/contract/parts.ts';
import type { BookReader } from './connection.ts';
import { mapEditable } from './editable.ts';
import { buildKind, customerKind, partKind } from './kinds.ts';
import { notFound } from './rows.ts';
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
  // Read as whole records, since only a whole row can be checked against its check sum.
  const builds = mapEditable(
    reader,
    buildKind,
    rows.map((row) => row.build_id),
  );
  const customers = mapEditable(reader, customerKind, idsIn(builds, 'customerId'));
  const engines = mapEditable(reader, partKind, idsIn(builds, 'engineId'));
  return {
    rows: rows.map((row) => {
      const build = builds.get(row.build_id);
      if (build === undefined) throw notFound(buildKind.title);
      return {
        buildId: build.id,
        title: build.title,
        jobNumber: build.jobNumber,
        customer: (build.customerId === null ? undefined : customers.get(build.customerId)?.name) ?? '',
        engine: (build.engineId === null ? undefined : engines.get(build.engineId)?.name) ?? '',
        measuredBy: build.measuredBy,
        mockUps: row.mock_ups,
        readings: row.readings,
        changedAt: row.changed_at,
      };
    }),
    total,
  };
}

function idsIn(builds: ReadonlyMap<Id, BuildContent>, key: 'customerId' | 'engineId'): Set<Id> {
  return new Set([...builds.values()].map((build) => build[key]).filter((id) => id !== null));
}
