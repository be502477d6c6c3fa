import type { Id } from '../../core/contract/basics.ts';
import type { BookWriter } from './connection.ts';
import { insertRow } from './rows.ts';

export type EntityKind =
  | 'customer'
  | 'part'
  | 'build'
  | 'mock_up'
  | 'wheel_setup'
  | 'reading'
  | 'reading_mark'
  | 'picture'
  | 'sheet';

export type ChangeAction = 'create' | 'update' | 'keep' | 'remove_details';

export interface Change {
  readonly entity: EntityKind;
  readonly rowId: Id;
  readonly action: ChangeAction;
  /** JSON text; null where the content stands in an append-only table of its own. */
  readonly before?: string | null;
  readonly after?: string | null;
  readonly supersedesChangeId?: Id | null;
  /** The other side of a conflict that this change settles. */
  readonly resolvesChangeId?: Id | null;
}

export interface LoggedChange {
  readonly changeId: Id;
  readonly madeAt: string;
}

/** Appends to this workplace's log; its numbers have no gaps, so that another book can tell what it lacks. */
export function logChange(writer: BookWriter, change: Change): LoggedChange {
  const last = writer.get<{ seq: number | null }>(
    'SELECT max(seq) AS seq FROM change_log WHERE workplace_id = ?',
    writer.workplaceId,
  );
  const changeId = writer.newId();
  const madeAt = writer.now();
  insertRow(writer, 'change_log', {
    id: changeId,
    workplace_id: writer.workplaceId,
    seq: (last?.seq ?? 0) + 1,
    made_at: madeAt,
    entity: change.entity,
    row_id: change.rowId,
    action: change.action,
    content_before: change.before ?? null,
    content_after: change.after ?? null,
    supersedes_change_id: change.supersedesChangeId ?? null,
    resolves_change_id: change.resolvesChangeId ?? null,
  });
  return { changeId, madeAt };
}
