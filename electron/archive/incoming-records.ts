import type { Id } from '../../core/contract/basics.ts';
import type { SqlRow } from '../database/check-sum.ts';
import type { BookWriter } from '../database/connection.ts';
import type { EditableKind, EditableRow } from '../database/editable.ts';
import { customerKind } from '../database/kinds.ts';
import { blankContent } from '../database/personal-details.ts';
import { blankCustomer, blankSheets } from '../database/remove-details.ts';
import { insertRow, updateRow } from '../database/rows.ts';
import { isAncestor } from './ancestry.ts';
import { type Counts, count, keepRaw } from './incoming-rows.ts';
import { contentText, madeIn, type Plain } from './tables.ts';
import { badArchive } from './zip-reader.ts';

export const editableEntities = new Set<string>(['customer', 'part', 'build', 'mock_up']);
const archiveTableOf = { part: 'parts', build: 'builds', mock_up: 'mock-ups', customer: 'customers' } as const;

/** An editable record: the side whose change builds on the other's counts; where neither does, both are kept. */
export function applyEditable<Content extends object>(
  writer: BookWriter,
  kind: EditableKind<Content>,
  row: Plain,
  counts: Counts,
): void {
  const content = row['content'] as Content;
  const id = row['id'] as Id;
  const theirs = row['changeId'] as Id;
  requireChange(writer, theirs, id);
  const stored = {
    ...madeIn(row),
    ...kind.keys(content),
    content: contentText(content),
    change_id: theirs,
  } as SqlRow & { id: string };
  const known = writer.get<EditableRow>(`SELECT * FROM ${kind.table} WHERE id = ?`, id);
  if (known === undefined) {
    insertRow(writer, kind.table, stored);
    kind.follow?.(writer, id, content);
    count(counts, archiveTableOf[kind.table]);
    return;
  }
  if (known.change_id === theirs || isAncestor(writer, theirs, known.change_id)) {
    counts.known += 1;
    return;
  }
  // Where neither builds on the other the later one counts; ids are time-ordered, so every book picks the same one.
  if (!isAncestor(writer, known.change_id, theirs) && known.change_id > theirs) return;
  updateRow(writer, kind.table, stored);
  kind.follow?.(writer, id, content);
  counts.updated += 1;
}

function requireChange(writer: BookWriter, changeId: Id, rowId: Id): void {
  const change = writer.get<{ row_id: Id }>('SELECT row_id FROM change_log WHERE id = ?', changeId);
  if (change?.row_id !== rowId) throw badArchive('a record stands there without its entry in the change log');
}

/** Removal of personal details wins over every other change, whichever side it comes from. */
export function applyCustomer(writer: BookWriter, row: Plain, counts: Counts): void {
  const id = row['id'] as Id;
  const removal = removalOf(writer, id);
  const known = writer.get<EditableRow>('SELECT * FROM customer WHERE id = ?', id);
  if (removal !== null && known !== undefined) {
    if (known.change_id !== removal) {
      blankSheets(writer, id, writer.now());
      blankCustomer(writer, known, removal);
      counts.updated += 1;
    } else counts.known += 1;
    return;
  }
  // An archive without customers came first: the details that it left out arrive now.
  const isLeftOut =
    known !== undefined && known.change_id === row['changeId'] && known.content === JSON.stringify(blankContent);
  if (isLeftOut) {
    const { id: _, ...made } = madeIn(row);
    updateRow(writer, 'customer', { id, ...made, content: contentText(row['content']), change_id: known.change_id });
    customerKind.follow?.(writer, id, row['content'] as { name: string; contact: string });
    counts.updated += 1;
    return;
  }
  // An archive without customers says nothing of them: what is known here stays.
  const saysNothing = known !== undefined && contentText(row['content']) === JSON.stringify(blankContent);
  if (saysNothing) {
    counts.known += 1;
    return;
  }
  applyEditable(writer, customerKind, row, counts);
}

function removalOf(writer: BookWriter, customerId: Id): Id | null {
  const found = writer.get<{ id: Id }>(
    "SELECT id FROM change_log WHERE row_id = ? AND action = 'remove_details' ORDER BY id DESC LIMIT 1",
    customerId,
  );
  return found?.id ?? null;
}

export function addCustomerVersion(writer: BookWriter, row: Plain, counts: Counts): void {
  if (removalOf(writer, row['customerId'] as Id) !== null) return;
  const stored = {
    change_id: row['changeId'],
    customer_id: row['customerId'],
    content: contentText(row['content']),
  } as SqlRow;
  keepRaw(writer, 'customer-versions', 'customer_version', 'change_id', stored, counts);
}
