import type { Id, Time } from '../../core/contract/basics.ts';
import { logChange } from './change-log.ts';
import type { SqlRow } from './check-sum.ts';
import type { BookWriter } from './connection.ts';
import { getEditable } from './editable.ts';
import { customerKind } from './kinds.ts';
import { updateRow } from './rows.ts';

/** What stands in the place of removed details, in the book and on kept sheets. */
export const removedDetails = '(details removed)';

/** A customer's record without the person. */
export const blankContent = { name: removedDetails, contact: '' };

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
  const sheetsChanged = blankSheets(writer, id, madeAt);
  blankCustomer(writer, row, changeId);
  return { sheetsChanged, name };
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

/** Sheets of the customer's builds name them, perhaps by an earlier name: it is blanked there, and the sheet says so. */
export function blankSheets(writer: BookWriter, customerId: Id, at: Time): number {
  const versions = writer.all<{ content: string }>(
    'SELECT content FROM customer WHERE id = ?1 UNION SELECT content FROM customer_version WHERE customer_id = ?1',
    customerId,
  );
  const texts = versions
    .flatMap(({ content }) => Object.values(JSON.parse(content) as Record<string, string>))
    .map((detail) => detail.trim())
    .filter((detail) => detail.length > 1 && detail !== removedDetails)
    // The longer name first: "Ada Quill" must not leave "-Moss" behind.
    .sort((first, second) => second.length - first.length);
  if (texts.length === 0) return 0;
  const sheets = writer.all<SqlRow & { id: string; html: string; snapshot: string }>(
    `SELECT s.* FROM build b JOIN mock_up m ON m.build_id = b.id JOIN sheet s ON s.mock_up_id = m.id WHERE b.customer_id = ?`,
    customerId,
  );
  let changed = 0;
  for (const { check_sum: _, ...sheet } of sheets) {
    const html = blank(
      sheet.html,
      texts.flatMap((text) => [escapedHtml(text), text]),
      removedDetails,
    );
    const snapshot = blank(
      sheet.snapshot,
      texts.map((text) => JSON.stringify(text).slice(1, -1)),
      removedDetails,
    );
    if (html === sheet.html && snapshot === sheet.snapshot) continue;
    updateRow(writer, 'sheet', { ...sheet, html, snapshot, details_removed_at: at } as SqlRow & { id: string });
    changed += 1;
  }
  return changed;
}

function blank(text: string, details: readonly string[], replacement: string): string {
  return details.reduce((rest, detail) => rest.replaceAll(detail, () => replacement), text);
}

function escapedHtml(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}
