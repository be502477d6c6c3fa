import type { Id, Time } from '../../core/contract/basics.ts';
import { touchBuild } from './activity.ts';
import { type EntityKind, logChange } from './change-log.ts';
import type { SqlValue } from './check-sum.ts';
import type { BookReader, BookWriter } from './connection.ts';
import { insertRow, notFound, soundRow, soundRows, updateRow } from './rows.ts';

/** A record that people edit, as its table holds it. */
export interface EditableRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  content: string;
  change_id: Id;
}

type Made<Content> = { id: Id; workplaceId: Id; createdAt: string } & Content;

/** A kind of row that people edit; every change of one is appended to the log with before and after. */
export interface EditableKind<Content extends object> {
  readonly entity: EntityKind;
  readonly table: 'customer' | 'part' | 'build' | 'mock_up';
  /** As it stands in sentences: "The build". */
  readonly title: string;
  /** Columns that are extracts of the content. */
  keys(content: Content): Record<string, SqlValue>;
  /** Keeps tables that hang on the row in step. */
  follow?(writer: BookWriter, id: Id, content: Content): void;
  /** The build whose place in the list a change of this record moves, if any. */
  buildOf?(id: Id, content: Content): Id;
  /** Keeps the content out of the log, where it must be removable. */
  readonly separateVersions?: (writer: BookWriter, id: Id, changeId: Id, content: string) => void;
}

export function fromRow<Content extends object>(row: EditableRow): Made<Content> {
  return {
    ...(JSON.parse(row.content) as Content),
    id: row.id,
    workplaceId: row.workplace_id,
    createdAt: row.created_at,
  };
}

export function findEditable<Content extends object>(
  reader: BookReader,
  kind: EditableKind<Content>,
  id: Id,
): Made<Content> | null {
  const row = reader.get<EditableRow>(`SELECT * FROM ${kind.table} WHERE id = ?`, id);
  return row === undefined ? null : fromRow<Content>(soundRow(row, kind.title));
}

/** @throws BookError `not_found` */
export function getEditable<Content extends object>(
  reader: BookReader,
  kind: EditableKind<Content>,
  id: Id,
): Made<Content> {
  const found = findEditable(reader, kind, id);
  if (found === null) throw notFound(kind.title);
  return found;
}

export function listEditable<Content extends object>(
  reader: BookReader,
  kind: EditableKind<Content>,
  where = '',
  ...values: SqlValue[]
): Made<Content>[] {
  return reader
    .all<EditableRow>(`SELECT * FROM ${kind.table} ${where} ORDER BY created_at, id`, ...values)
    .map((row) => fromRow<Content>(soundRow(row, kind.title)));
}

/** Records by their ids in one query; ids that aren't there are missing from the answer. */
export function mapEditable<Content extends object>(
  reader: BookReader,
  kind: EditableKind<Content>,
  ids: Iterable<Id>,
): Map<Id, Made<Content>> {
  const rows = reader.all<EditableRow>(
    `SELECT * FROM ${kind.table} WHERE id IN (SELECT value FROM json_each(?))`,
    JSON.stringify([...ids]),
  );
  return new Map(soundRows(rows, kind.title).map((row) => [row.id, fromRow<Content>(row)]));
}

export function createEditable<Content extends object>(
  writer: BookWriter,
  kind: EditableKind<Content>,
  content: Content,
): Made<Content> {
  const id = writer.newId();
  const text = JSON.stringify(content);
  const { changeId, madeAt } = logChange(writer, {
    entity: kind.entity,
    rowId: id,
    action: 'create',
    after: kind.separateVersions === undefined ? text : null,
  });
  insertRow(writer, kind.table, {
    id,
    workplace_id: writer.workplaceId,
    created_at: madeAt,
    ...kind.keys(content),
    content: text,
    change_id: changeId,
  });
  kind.separateVersions?.(writer, id, changeId, text);
  follow(writer, kind, id, content, madeAt);
  return { ...content, id, workplaceId: writer.workplaceId, createdAt: madeAt };
}

export interface UpdateOptions {
  /** The other side of a conflict that this change settles. */
  readonly resolvesChangeId?: Id;
}

/** Stores new content and logs before and after; the same content again changes nothing. */
export function updateEditable<Content extends object>(
  writer: BookWriter,
  kind: EditableKind<Content>,
  id: Id,
  content: Content,
  options: UpdateOptions = {},
): Made<Content> {
  const row = writer.get<EditableRow>(`SELECT * FROM ${kind.table} WHERE id = ?`, id);
  if (row === undefined) throw notFound(kind.title);
  soundRow(row, kind.title);
  const text = JSON.stringify(content);
  if (text === row.content && options.resolvesChangeId === undefined) return fromRow<Content>(row);
  const inLog = kind.separateVersions === undefined;
  const { changeId, madeAt } = logChange(writer, {
    entity: kind.entity,
    rowId: id,
    action: 'update',
    before: inLog ? row.content : null,
    after: inLog ? text : null,
    supersedesChangeId: row.change_id,
    resolvesChangeId: options.resolvesChangeId ?? null,
  });
  updateRow(writer, kind.table, {
    id,
    workplace_id: row.workplace_id,
    created_at: row.created_at,
    ...kind.keys(content),
    content: text,
    change_id: changeId,
  });
  kind.separateVersions?.(writer, id, changeId, text);
  follow(writer, kind, id, content, madeAt);
  return { ...content, id, workplaceId: row.workplace_id, createdAt: row.created_at };
}

function follow<Content extends object>(
  writer: BookWriter,
  kind: EditableKind<Content>,
  id: Id,
  content: Content,
  at: Time,
): void {
  kind.follow?.(writer, id, content);
  const buildId = kind.buildOf?.(id, content);
  if (buildId !== undefined) touchBuild(writer, buildId, at);
}
