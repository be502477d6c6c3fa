import type { SqlRow } from '../database/check-sum.ts';
import type { ArchiveTable } from './format.ts';

const parse = (text: unknown): unknown => (text === null || text === undefined ? null : JSON.parse(text as string));
const text = (value: unknown): string | null => (value === null ? null : JSON.stringify(value));

export type Plain = Record<string, unknown>;

const madeOut = (row: Plain): Plain => ({
  id: row['id'],
  workplaceId: row['workplace_id'],
  createdAt: row['created_at'],
});
const madeIn = (row: Plain): { id: string; workplace_id: string; created_at: string } => ({
  id: row['id'] as string,
  workplace_id: row['workplaceId'] as string,
  created_at: row['createdAt'] as string,
});

/** How a table of the book becomes rows of a data file. */
export interface Outgoing {
  readonly archive: ArchiveTable;
  readonly table: string;
  /** Column by which rows are chosen, and by which they are ordered. */
  readonly chosenBy: string;
  readonly orderedBy: string;
  toArchive(row: Plain): Plain;
}

export const outgoing: readonly Outgoing[] = [
  {
    archive: 'changes',
    table: 'change_log',
    chosenBy: 'row_id',
    orderedBy: 'workplace_id, seq',
    toArchive: (row) => ({
      id: row['id'],
      workplaceId: row['workplace_id'],
      seq: row['seq'],
      madeAt: row['made_at'],
      entity: row['entity'],
      rowId: row['row_id'],
      action: row['action'],
      before: parse(row['content_before']),
      after: parse(row['content_after']),
      supersedesChangeId: row['supersedes_change_id'],
      resolvesChangeId: row['resolves_change_id'],
    }),
  },
  ...(['customer', 'part', 'build', 'mock_up'] as const).map(
    (table): Outgoing => ({
      archive: ({ customer: 'customers', part: 'parts', build: 'builds', mock_up: 'mock-ups' } as const)[table],
      table,
      chosenBy: 'id',
      orderedBy: 'id',
      toArchive: (row) => ({ ...madeOut(row), content: parse(row['content']), changeId: row['change_id'] }),
    }),
  ),
  {
    archive: 'customer-versions',
    table: 'customer_version',
    chosenBy: 'customer_id',
    orderedBy: 'change_id',
    toArchive: (row) => ({
      changeId: row['change_id'],
      customerId: row['customer_id'],
      content: parse(row['content']),
    }),
  },
  {
    archive: 'pictures',
    table: 'picture',
    chosenBy: 'id',
    orderedBy: 'id',
    toArchive: (row) => ({
      ...madeOut(row),
      mime: row['mime'],
      widthPx: row['width_px'],
      heightPx: row['height_px'],
      changeId: row['change_id'],
      file: `pictures/${String(row['id'])}.${row['mime'] === 'image/png' ? 'png' : 'jpg'}`,
    }),
  },
  {
    archive: 'wheel-setups',
    table: 'wheel_setup',
    chosenBy: 'id',
    orderedBy: 'id',
    toArchive: (row) => ({ ...madeOut(row), mockUpId: row['mock_up_id'], changeId: row['change_id'] }),
  },
  {
    archive: 'wheel-setup-states',
    table: 'wheel_setup_state',
    chosenBy: 'setup_id',
    orderedBy: 'change_id',
    toArchive: (row) => ({
      changeId: row['change_id'],
      setupId: row['setup_id'],
      content: parse(row['content']),
      readerState: row['reader_state'],
    }),
  },
  {
    archive: 'readings',
    table: 'reading',
    chosenBy: 'id',
    orderedBy: 'change_id',
    toArchive: (row) => ({ ...madeOut(row), content: parse(row['content']), changeId: row['change_id'] }),
  },
  {
    archive: 'marks',
    table: 'reading_mark',
    chosenBy: 'id',
    orderedBy: 'change_id',
    toArchive: (row) => ({
      ...madeOut(row),
      readingId: row['reading_id'],
      mark: row['mark'],
      reason: row['reason'],
      changeId: row['change_id'],
    }),
  },
  {
    archive: 'sheets',
    table: 'sheet',
    chosenBy: 'id',
    orderedBy: 'change_id',
    toArchive: (row) => ({
      ...madeOut(row),
      mockUpId: row['mock_up_id'],
      kind: row['kind'],
      title: row['title'],
      changeId: row['change_id'],
      detailsRemovedAt: row['details_removed_at'],
      snapshot: parse(row['snapshot']),
      file: `sheets/${String(row['id'])}.html`,
    }),
  },
];

/** Rows that are never edited, as they go back into their tables. Contents keep the exact text they had. */
export const incomingRaw = {
  changes: {
    table: 'change_log',
    toRow: (row: Plain): SqlRow =>
      ({
        id: row['id'],
        workplace_id: row['workplaceId'],
        seq: row['seq'],
        made_at: row['madeAt'],
        entity: row['entity'],
        row_id: row['rowId'],
        action: row['action'],
        content_before: text(row['before']),
        content_after: text(row['after']),
        supersedes_change_id: row['supersedesChangeId'],
        resolves_change_id: row['resolvesChangeId'],
      }) as SqlRow,
  },
  'wheel-setups': {
    table: 'wheel_setup',
    toRow: (row: Plain): SqlRow =>
      ({ ...madeIn(row), mock_up_id: row['mockUpId'], change_id: row['changeId'] }) as SqlRow,
  },
  'wheel-setup-states': {
    table: 'wheel_setup_state',
    toRow: (row: Plain): SqlRow =>
      ({
        change_id: row['changeId'],
        setup_id: row['setupId'],
        reference_picture_id: (row['content'] as Plain)['referencePictureId'] ?? null,
        content: text(row['content']),
        reader_state: row['readerState'],
      }) as SqlRow,
  },
  marks: {
    table: 'reading_mark',
    toRow: (row: Plain): SqlRow =>
      ({
        ...madeIn(row),
        reading_id: row['readingId'],
        mark: row['mark'],
        reason: row['reason'],
        change_id: row['changeId'],
      }) as SqlRow,
  },
} as const;

export { madeIn, text as contentText };
