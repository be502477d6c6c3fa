import type { Id, Time } from '../../core/contract/basics.ts';
import { logChange } from './change-log.ts';
import type { SqlRow } from './check-sum.ts';
import type { BookWriter } from './connection.ts';
import { getEditable } from './editable.ts';
import { customerKind } from './kinds.ts';
import { blankContent, customersOfBuilds, textsOfCustomers, withoutDetails } from './personal-details.ts';
import { updateRow } from './rows.ts';

interface CustomerRow {
  id: Id;
  workplace_id: Id;
  created_at: string;
  content: string;
  change_id: Id;
}

export interface Removal {
  readonly sheetsChanged: number;
  /** The name that was removed, for finding where it still stands; not stored anywhere. */
  readonly name: string;
  /** Everything that was removed, earlier versions included. */
  readonly details: readonly string[];
}

/**
 * Overwrites a customer's details in the record, in its earlier versions and on kept sheets.
 * SQLite's `secure_delete` overwrites the bytes in the file as well; the caller empties the write-ahead log.
 * @throws BookError `not_found`
 */
export function removeCustomerDetails(writer: BookWriter, id: Id): Removal {
  const { name } = getEditable(writer, customerKind, id);
  const row = writer.get<CustomerRow>('SELECT * FROM customer WHERE id = ?', id) as CustomerRow;
  const { changeId, madeAt } = logChange(writer, {
    entity: 'customer',
    rowId: id,
    action: 'remove_details',
    supersedesChangeId: row.change_id,
  });
  const details = textsOfCustomers(writer).get(id) ?? [];
  const sheetsChanged = blankSheets(writer, id, madeAt);
  blankCustomer(writer, row, changeId);
  return { sheetsChanged, name, details };
}

/** The record and its versions; also used where another book's log says that the details were removed. */
export function blankCustomer(writer: BookWriter, row: CustomerRow, changeId: Id): void {
  writer.run('DELETE FROM customer_version WHERE customer_id = ?', row.id);
  updateRow(writer, 'customer', {
    id: row.id,
    workplace_id: row.workplace_id,
    created_at: row.created_at,
    content: JSON.stringify(blankContent),
    change_id: changeId,
  });
  customerKind.follow?.(writer, row.id, blankContent);
}

type SheetRow = SqlRow & { id: string; html: string; snapshot: string; title: string };

/**
 * Sheets of builds that the customer has or once had name them, perhaps by an earlier name: it is blanked there, and the
 * sheet says so.
 */
export function blankSheets(writer: BookWriter, customerId: Id, at: Time): number {
  const details = textsOfCustomers(writer).get(customerId) ?? [];
  if (details.length === 0) return 0;
  const builds = [...customersOfBuilds(writer)].filter(([, ids]) => ids.has(customerId)).map(([buildId]) => buildId);
  const ids = writer.all<{ id: Id }>(
    `SELECT s.id FROM mock_up m JOIN sheet s ON s.mock_up_id = m.id
     WHERE m.build_id IN (SELECT value FROM json_each(?))`,
    JSON.stringify(builds),
  );
  let changed = 0;
  for (const { id } of ids) {
    const row = writer.get<SheetRow>('SELECT * FROM sheet WHERE id = ?', id);
    if (row === undefined) continue;
    const { check_sum: _, ...sheet } = row;
    const blanked = withoutDetails(sheet as SheetRow, details);
    const isSame = blanked.html === row.html && blanked.snapshot === row.snapshot && blanked.title === row.title;
    if (isSame) continue;
    updateRow(writer, 'sheet', { ...blanked, details_removed_at: at });
    changed += 1;
  }
  return changed;
}
