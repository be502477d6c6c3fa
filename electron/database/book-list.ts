import type { Id } from '../../core/contract/basics.ts';
import type { BookListOrder } from '../../core/contract/book-messages.ts';
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
  readonly order: BookListOrder;
  readonly engineId: Id | null;
  readonly customerId: Id | null;
  readonly measured: 'all' | 'with_readings' | 'without_readings';
}

/** What the list is put in order by; builds without a name there come last. */
const orders: Readonly<Record<BookListOrder, string>> = {
  changed: '',
  title: "(SELECT b.content ->> 'title' FROM build b WHERE b.id = a.build_id)",
  job_number: "(SELECT b.content ->> 'jobNumber' FROM build b WHERE b.id = a.build_id)",
  customer:
    "(SELECT c.content ->> 'name' FROM build b JOIN customer c ON c.id = b.customer_id WHERE b.id = a.build_id)",
  engine: "(SELECT p.content ->> 'name' FROM build b JOIN part p ON p.id = b.engine_id WHERE b.id = a.build_id)",
};

/** The book's list, last changed first; with a query only builds in whose records every word occurs. */
export function listBook(reader: BookReader, asked: ListQuery): { rows: BookRow[]; total: number } {
  const { query, limit, offset } = asked;
  const pattern = query.trim() === '' ? undefined : searchPattern(query);
  if (pattern === null) return { rows: [], total: 0 };
  const { filter, values } = filterOf(asked, pattern);
  const total =
    reader.get<{ total: number }>(`SELECT count(*) AS total FROM build_activity a ${filter}`, ...values)?.total ?? 0;
  const rows = reader.all<ListRow>(
    `SELECT a.build_id, a.changed_at,
       (SELECT count(*) FROM mock_up m WHERE m.build_id = a.build_id) AS mock_ups,
       (SELECT count(*) FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = a.build_id) AS readings
     FROM build_activity a ${filter} ORDER BY ${orderOf(asked.order)}a.changed_at DESC, a.build_id DESC LIMIT ? OFFSET ?`,
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

function filterOf(asked: ListQuery, pattern: string | undefined): { filter: string; values: string[] } {
  const conditions: string[] = [];
  const values: string[] = [];
  if (pattern !== undefined) {
    conditions.push(`a.build_id IN (SELECT s.row_id FROM search JOIN search_entry s ON s.id = search.rowid
           WHERE search MATCH ? AND s.entity = 'build')`);
    values.push(pattern);
  }
  if (asked.engineId !== null) {
    conditions.push('a.build_id IN (SELECT id FROM build WHERE engine_id = ?)');
    values.push(asked.engineId);
  }
  if (asked.customerId !== null) {
    conditions.push('a.build_id IN (SELECT id FROM build WHERE customer_id = ?)');
    values.push(asked.customerId);
  }
  if (asked.measured !== 'all') {
    const has = asked.measured === 'with_readings' ? 'EXISTS' : 'NOT EXISTS';
    conditions.push(
      `${has} (SELECT 1 FROM mock_up m JOIN reading r ON r.mock_up_id = m.id WHERE m.build_id = a.build_id)`,
    );
  }
  return { filter: conditions.length === 0 ? '' : `WHERE ${conditions.join(' AND ')}`, values };
}

function orderOf(order: BookListOrder): string {
  const by = orders[order];
  return by === '' ? '' : `nullif(${by}, '') IS NULL, ${by} COLLATE NOCASE, `;
}

function idsIn(builds: ReadonlyMap<Id, BuildContent>, key: 'customerId' | 'engineId'): Set<Id> {
  return new Set([...builds.values()].map((build) => build[key]).filter((id) => id !== null));
}
