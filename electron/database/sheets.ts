import type { Id } from '../../core/contract/basics.ts';
import type { Sheet } from '../../core/contract/messages.ts';
import { logChange } from './change-log.ts';
import type { BookReader, BookWriter } from './connection.ts';
import { insertRow, notFound, soundRow } from './rows.ts';

interface SheetRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  mock_up_id: Id | null;
  kind: string;
  title: string;
  snapshot: string;
  html: string;
}

function fromRow(row: Omit<SheetRow, 'snapshot' | 'html'>): Sheet {
  return {
    id: row.id,
    workplaceId: row.workplace_id,
    createdAt: row.created_at,
    mockUpId: row.mock_up_id,
    title: row.title,
    kind: row.kind,
  };
}

export interface SheetToKeep {
  readonly mockUpId: Id | null;
  readonly kind: string;
  readonly title: string;
  readonly html: string;
  /** JSON text of the data that the page was drawn from. */
  readonly snapshot: string;
}

export function keepSheet(writer: BookWriter, sheet: SheetToKeep): Sheet {
  const id = writer.newId();
  const { changeId, madeAt } = logChange(writer, { entity: 'sheet', rowId: id, action: 'keep' });
  const row: SheetRow = {
    id,
    workplace_id: writer.workplaceId,
    created_at: madeAt,
    mock_up_id: sheet.mockUpId,
    kind: sheet.kind,
    title: sheet.title,
    snapshot: sheet.snapshot,
    html: sheet.html,
  };
  insertRow(writer, 'sheet', { ...row, change_id: changeId });
  return fromRow(row);
}

/** Kept sheets, newest first; all of them where no mock-up is named. */
export function listSheets(reader: BookReader, mockUpId: Id | null): Sheet[] {
  const columns = 'id, workplace_id, created_at, mock_up_id, kind, title';
  const rows =
    mockUpId === null
      ? reader.all<SheetRow>(`SELECT ${columns} FROM sheet ORDER BY change_id DESC LIMIT 1000`)
      : reader.all<SheetRow>(`SELECT ${columns} FROM sheet WHERE mock_up_id = ? ORDER BY change_id DESC`, mockUpId);
  return rows.map(fromRow);
}

/** @throws BookError `not_found`, `row_damaged` */
export function getSheet(reader: BookReader, id: Id): { sheet: Sheet; html: string; snapshot: string } {
  const row = reader.get<SheetRow>('SELECT * FROM sheet WHERE id = ?', id);
  if (row === undefined) throw notFound('The sheet');
  soundRow(row, 'The sheet');
  return { sheet: fromRow(row), html: row.html, snapshot: row.snapshot };
}
