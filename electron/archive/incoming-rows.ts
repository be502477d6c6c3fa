import type { Id } from '../../core/contract/basics.ts';
import { rowCheckSum, type SqlRow } from '../database/check-sum.ts';
import type { BookWriter } from '../database/connection.ts';
import { insertRow, updateRow } from '../database/rows.ts';
import { checkSheetHtml } from '../database/sheet-html.ts';
import type { ArchiveTable } from './format.ts';
import type { Archive } from './read-archive.ts';
import { contentText, incomingRaw, madeIn, type Plain } from './tables.ts';
import { badArchive } from './zip-reader.ts';

/** What an import came to so far, in rows. */
export interface Counts {
  added: Record<string, number>;
  updated: number;
  known: number;
  conflicts: number;
}

export function count(counts: Counts, table: ArchiveTable): void {
  counts.added[table] = (counts.added[table] ?? 0) + 1;
}

/** @returns true where the entry is new. Log entries keep their number; a number that stands for two entries means that one of the books was tampered with. */
export function addChange(writer: BookWriter, row: Plain, counts: Counts): boolean {
  const stored = incomingRaw.changes.toRow(row);
  // Details in the log could never be removed again: they belong into the versions beside it.
  if (stored['entity'] === 'customer' && (stored['content_before'] !== null || stored['content_after'] !== null)) {
    throw badArchive("its change log holds a customer's details, which don't belong there");
  }
  const known = writer.get<SqlRow>('SELECT * FROM change_log WHERE id = ?', stored['id'] as Id);
  if (known !== undefined) {
    if (known['check_sum'] !== rowCheckSum(stored))
      throw badArchive('an entry of its change log differs from the same entry here');
    counts.known += 1;
    return false;
  }
  const sameNumber = writer.get(
    'SELECT 1 AS there FROM change_log WHERE workplace_id = ? AND seq = ?',
    stored['workplace_id'] as Id,
    stored['seq'] as number,
  );
  if (sameNumber !== undefined) throw badArchive('its change log counts differently from the one here');
  insertRow(writer, 'change_log', stored);
  count(counts, 'changes');
  return true;
}

/** A row that is never edited: new or known, and if known then the same. */
export function keepRaw(
  writer: BookWriter,
  archiveTable: ArchiveTable,
  table: string,
  key: string,
  row: SqlRow,
  counts: Counts,
): void {
  const known = writer.get<{ check_sum: number }>(`SELECT check_sum FROM ${table} WHERE ${key} = ?`, row[key] as Id);
  if (known === undefined) {
    insertRow(writer, table, row);
    count(counts, archiveTable);
  } else if (known.check_sum === rowCheckSum(row)) counts.known += 1;
  else throw badArchive(`a row of ${archiveTable} differs from the same row here, and such rows are never edited`);
}

export function addRaw(
  writer: BookWriter,
  table: 'wheel-setups' | 'wheel-setup-states' | 'marks',
  row: Plain,
  counts: Counts,
): void {
  const { table: target, toRow } = incomingRaw[table];
  keepRaw(writer, table, target, table === 'wheel-setup-states' ? 'change_id' : 'id', toRow(row), counts);
}

export function addPicture(writer: BookWriter, archive: Archive, row: Plain, counts: Counts): void {
  const bytes = archive.file(row['file'] as string);
  const isJpeg = bytes[0] === 0xff && bytes[1] === 0xd8;
  const isPng = bytes.toString('latin1', 1, 4) === 'PNG';
  if (row['mime'] === 'image/jpeg' ? !isJpeg : !isPng) throw badArchive(`${String(row['file'])} is no picture`);
  keepRaw(
    writer,
    'pictures',
    'picture',
    'id',
    {
      ...madeIn(row),
      mime: row['mime'],
      width_px: row['widthPx'],
      height_px: row['heightPx'],
      change_id: row['changeId'],
      bytes,
    } as SqlRow,
    counts,
  );
}

export function addSheet(writer: BookWriter, archive: Archive, row: Plain, counts: Counts): void {
  const html = archive.file(row['file'] as string).toString('utf8');
  checkSheetHtml(html);
  const known = writer.get<{ details_removed_at: string | null }>(
    'SELECT details_removed_at FROM sheet WHERE id = ?',
    row['id'] as Id,
  );
  const stored = {
    ...madeIn(row),
    mock_up_id: row['mockUpId'],
    kind: row['kind'],
    title: row['title'],
    change_id: row['changeId'],
    snapshot: contentText(row['snapshot']),
    html,
    details_removed_at: row['detailsRemovedAt'],
  } as SqlRow & { id: string };
  // Details that were removed on one side stay removed on both. Without an entry of such a removal nobody may replace
  // what was printed.
  const isBlanked = known !== undefined && known.details_removed_at === null && row['detailsRemovedAt'] !== null;
  if (isBlanked && hasRemoval(writer, row['id'] as Id)) {
    updateRow(writer, 'sheet', stored);
    counts.updated += 1;
  } else if (known !== undefined) counts.known += 1;
  else keepRaw(writer, 'sheets', 'sheet', 'id', stored, counts);
}

/** Did a customer that the sheet's build has or had ask for that? */
function hasRemoval(writer: BookWriter, sheetId: Id): boolean {
  const found = writer.get(
    `SELECT 1 AS there FROM sheet s JOIN mock_up m ON m.id = s.mock_up_id
     JOIN change_log b ON b.row_id = m.build_id AND b.entity = 'build'
     JOIN change_log r ON r.action = 'remove_details'
       AND r.row_id IN (b.content_before ->> 'customerId', b.content_after ->> 'customerId')
     WHERE s.id = ? LIMIT 1`,
    sheetId,
  );
  return found !== undefined;
}
