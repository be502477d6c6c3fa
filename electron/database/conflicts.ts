import type { Id } from '../../core/contract/basics.ts';
import type { Conflict } from '../../core/contract/book-messages.ts';
import type { EntityKind } from './change-log.ts';
import type { BookReader, BookWriter } from './connection.ts';
import { type EditableKind, updateEditable } from './editable.ts';
import { buildKind, customerKind, mockUpKind, partKind } from './kinds.ts';
import { notFound } from './rows.ts';

interface ConflictRow {
  id: Id;
  entity: EntityKind;
  row_id: Id;
  kept_change_id: Id;
  other_change_id: Id;
}

interface Leaf {
  readonly id: Id;
  readonly entity: EntityKind;
  readonly action: string;
}

/**
 * Compares the changes of a record after an import: where more than one has nothing built on it, they don't know of
 * each other. The latest counts for now, each other one is noted; a note whose other side was settled is closed.
 * @returns how many conflicts are new
 */
export function noteConflicts(writer: BookWriter, rowId: Id): number {
  const leaves = writer.all<Leaf>(
    `SELECT id, entity, action FROM change_log WHERE row_id = ?1 AND id NOT IN (
       SELECT supersedes_change_id FROM change_log WHERE row_id = ?1 AND supersedes_change_id IS NOT NULL
       UNION ALL SELECT resolves_change_id FROM change_log WHERE row_id = ?1 AND resolves_change_id IS NOT NULL)
     ORDER BY id DESC`,
    rowId,
  );
  const open = writer.all<ConflictRow>('SELECT * FROM conflict WHERE row_id = ? AND settled_at IS NULL', rowId);
  const [kept, ...others] = leaves;
  // Removed details are not up for discussion.
  const isRemoved = leaves.some(({ action }) => action === 'remove_details');
  const openSides = isRemoved ? [] : others;
  for (const { id, other_change_id } of open) {
    if (openSides.some((leaf) => leaf.id === other_change_id)) continue;
    writer.run('UPDATE conflict SET settled_at = ? WHERE id = ?', writer.now(), id);
  }
  const unnoted = openSides.filter((leaf) => !open.some(({ other_change_id }) => other_change_id === leaf.id));
  if (kept === undefined) return 0;
  for (const other of unnoted) {
    writer.run(
      `INSERT OR IGNORE INTO conflict (id, entity, row_id, kept_change_id, other_change_id, found_at) VALUES (?, ?, ?, ?, ?, ?)`,
      writer.newId(),
      kept.entity,
      rowId,
      kept.id,
      other.id,
      writer.now(),
    );
  }
  return unnoted.length;
}

export function listConflicts(reader: BookReader): Conflict[] {
  return reader.all<ConflictRow>('SELECT * FROM conflict WHERE settled_at IS NULL ORDER BY id').map((row) => {
    const kept = sideOf(reader, row.entity, row.kept_change_id);
    const other = sideOf(reader, row.entity, row.other_change_id);
    const named = kept.content as { name?: string; title?: string } | null;
    return { id: row.id, entity: row.entity, rowId: row.row_id, title: named?.title ?? named?.name ?? '', kept, other };
  });
}

function sideOf(reader: BookReader, entity: EntityKind, changeId: Id): Conflict['kept'] {
  const found = reader.get<{ workplace: string; made_at: string; content_after: string | null }>(
    'SELECT w.name AS workplace, c.made_at, c.content_after FROM change_log c JOIN workplace w ON w.id = c.workplace_id WHERE c.id = ?',
    changeId,
  );
  const text =
    entity === 'customer'
      ? (reader.get<{ content: string }>('SELECT content FROM customer_version WHERE change_id = ?', changeId)
          ?.content ?? null)
      : (found?.content_after ?? null);
  return {
    changeId,
    workplaceName: found?.workplace ?? '',
    madeAt: found?.made_at ?? '',
    content: text === null ? null : JSON.parse(text),
  };
}

const kinds: Partial<Record<EntityKind, EditableKind<object>>> = {
  customer: customerKind as unknown as EditableKind<object>,
  part: partKind as unknown as EditableKind<object>,
  build: buildKind as unknown as EditableKind<object>,
  mock_up: mockUpKind as unknown as EditableKind<object>,
};

/** Decides a conflict by a further change that names both sides. @throws BookError `not_found` */
export function settleConflict(writer: BookWriter, id: Id, keep: 'kept' | 'other'): void {
  const row = writer.get<ConflictRow>('SELECT * FROM conflict WHERE id = ? AND settled_at IS NULL', id);
  const kind = row === undefined ? undefined : kinds[row.entity];
  if (row === undefined || kind === undefined) throw notFound('The conflict');
  const current = writer.get<{ content: string; change_id: Id }>(
    `SELECT content, change_id FROM ${kind.table} WHERE id = ?`,
    row.row_id,
  );
  if (current === undefined) throw notFound('The record');
  const chosen = keep === 'kept' ? row.kept_change_id : row.other_change_id;
  // Where the record was changed again since, "kept" means as it stands now.
  const content = keep === 'kept' ? JSON.parse(current.content) : sideOf(writer, row.entity, chosen).content;
  if (content === null || typeof content !== 'object') throw notFound('That version');
  updateEditable(writer, kind, row.row_id, content as object, { resolvesChangeId: row.other_change_id });
  writer.run('UPDATE conflict SET settled_at = ? WHERE id = ?', writer.now(), id);
}

/** How far the log of each workplace is known without a gap: what another book has to send begins after it. */
export function logState(reader: BookReader): Record<Id, number> {
  const workplaces = reader.all<{ id: Id; entries: number; last: number | null }>(
    `SELECT w.id, count(c.seq) AS entries, max(c.seq) AS last
     FROM workplace w LEFT JOIN change_log c ON c.workplace_id = w.id GROUP BY w.id ORDER BY w.id`,
  );
  return Object.fromEntries(
    workplaces.map(({ id, entries, last }) => [id, entries === (last ?? 0) ? entries : lastBeforeGap(reader, id)]),
  );
}

/** An archive of one build brings only its own entries, so there may be gaps until the whole book was imported. */
function lastBeforeGap(reader: BookReader, workplaceId: Id): number {
  const found = reader.get<{ seq: number | null }>(
    `SELECT min(c.seq) AS seq FROM (SELECT 0 AS seq UNION ALL SELECT seq FROM change_log WHERE workplace_id = ?1) c
     WHERE NOT EXISTS (SELECT 1 FROM change_log n WHERE n.workplace_id = ?1 AND n.seq = c.seq + 1)`,
    workplaceId,
  );
  return found?.seq ?? 0;
}
