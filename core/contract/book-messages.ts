import { z } from 'zod';
import { idSchema, timeSchema } from './basics.ts';
import { work } from './work.ts';

const nothing = z.object({});

export const searchHitSchema = z.object({
  entity: z.enum(['customer', 'part', 'mock_up', 'build']),
  rowId: idSchema,
  title: z.string(),
  excerpt: z.string(),
});
export type SearchHit = z.infer<typeof searchHitSchema>;

/** Order of the book's list: latest change first, or by name from A to Z. */
export const bookListOrderSchema = z.enum(['changed', 'title', 'job_number', 'customer', 'engine']);
export type BookListOrder = z.infer<typeof bookListOrderSchema>;

/** Why a book can't be written: written by a newer program, damaged, held by another program, write-protected, ... */
export const bookTroubleSchema = z.object({
  kind: z.enum(['newer', 'damaged', 'locked', 'write_protected', 'unreadable', 'other']),
  sentence: z.string(),
  /** False where not even reading works. */
  isReadable: z.boolean(),
});
export type BookTrouble = z.infer<typeof bookTroubleSchema>;

/** One entry of the change log, as a screen shows it. */
export const changeSchema = z.object({
  id: idSchema,
  workplaceId: idSchema,
  workplaceName: z.string(),
  madeAt: timeSchema,
  entity: z.string(),
  rowId: idSchema,
  action: z.string(),
  /** Content before and after; null for records that are never edited, and for details that were removed. */
  before: z.json(),
  after: z.json(),
  supersedesChangeId: idSchema.nullable(),
  /** What a record that is never edited says (reading, mark, sheet); null for the edited ones. */
  record: z.json().default(null),
});
export type HistoryChange = z.infer<typeof changeSchema>;

export const backupSchema = z.object({
  /** File name inside the folder of the backups; names the backup in other messages. */
  name: z.string(),
  madeAt: timeSchema,
  sizeBytes: z.int(),
  /** Why it was made: by the day, by hand, before a restore or a new layout, or saved from a damaged book. */
  kind: z.enum(['daily', 'by_hand', 'before_restore', 'before_layout', 'salvaged']),
});
export type Backup = z.infer<typeof backupSchema>;
const backupNameSchema = z
  .string()
  .regex(/^[\w-]+\.sqlite$/)
  .max(200);

export const uploadIdSchema = z.string().regex(/^[0-9a-f]{32}$/);

/** What an archive holds, told before anything is imported. */
export const archiveSummarySchema = z.object({
  scope: z.enum(['build', 'book', 'changes']),
  madeAt: timeSchema,
  madeByName: z.string(),
  programVersion: z.string(),
  counts: z.record(z.string(), z.int()),
});
export type ArchiveSummary = z.infer<typeof archiveSummarySchema>;

/** What an import did. Nothing is stored twice: known rows are counted as known. */
export const importReportSchema = z.object({
  added: z.record(z.string(), z.int()),
  updated: z.int(),
  known: z.int(),
  conflicts: z.int(),
});
export type ImportReport = z.infer<typeof importReportSchema>;

const conflictSideSchema = z.object({
  changeId: idSchema,
  workplaceName: z.string(),
  madeAt: timeSchema,
  content: z.json(),
});
export const conflictSchema = z.object({
  id: idSchema,
  entity: z.string(),
  rowId: idSchema,
  title: z.string(),
  /** The version that counts until somebody decides: the one changed last. */
  kept: conflictSideSchema,
  other: conflictSideSchema,
});
export type Conflict = z.infer<typeof conflictSchema>;

/** Which column of a CSV file holds what; -1 where no column does. */
export const csvMappingSchema = z.object({
  delimiter: z.enum([',', ';', '\t']),
  decimal: z.enum(['point', 'comma']),
  hasHeader: z.boolean(),
  valueColumn: z.int().min(0).max(500),
  /** Column of the quantity's id; -1 where all rows are `quantity`. */
  quantityColumn: z.int().min(-1).max(500).default(-1),
  quantity: z.string().max(120).default(''),
  unitColumn: z.int().min(-1).max(500).default(-1),
  /** Of all lines that name none themselves. */
  unit: z.string().max(20).default(''),
  positionColumn: z.int().min(-1).max(500).default(-1),
  noteColumn: z.int().min(-1).max(500).default(-1),
  takenAtColumn: z.int().min(-1).max(500).default(-1),
});
export type CsvMapping = z.infer<typeof csvMappingSchema>;
/** A line of a table as it is understood. */
export const csvReadingSchema = z.object({
  line: z.int(),
  quantity: z.string(),
  position: z.string(),
  value: z.number(),
  unit: z.string(),
  note: z.string(),
});
export type CsvReading = z.infer<typeof csvReadingSchema>;
const csvTextSchema = z.string().min(1).max(5_000_000);

/** Messages of the build book beyond the main job: history, search, exchange, safety of data. */
export const bookMessages = {
  'book.search': {
    input: z.object({ query: z.string().max(200), limit: z.int().min(1).max(200).default(50) }),
    output: z.array(searchHitSchema),
  },
  /** Changes of one record, or of everything that belongs to a build; newest first. */
  'history.list': {
    input: z.object({
      rowId: idSchema.nullable().default(null),
      buildId: idSchema.nullable().default(null),
      limit: z.int().min(1).max(1000).default(200),
      /** Continue after this change of an earlier answer. */
      beforeId: idSchema.nullable().default(null),
    }),
    output: z.array(changeSchema),
  },
  /** Overwrites a customer's details everywhere in the book; the measurements stay. */
  'customer.removeDetails': {
    input: z.object({ id: idSchema }),
    output: z.object({
      /** Kept sheets in which the details were blanked. */
      sheetsChanged: z.int(),
      /** Records that still hold the name, as far as the search finds it: notes and titles are a person's to change. */
      stillNamedIn: z.array(searchHitSchema),
      /** Backups that still hold the details until they are thinned out or removed. */
      backupsHoldingThem: z.int(),
      /** Archives that were exported before and still lie beside the book. */
      archivesHoldingThem: z.int(),
    }),
  },
  'backup.list': { input: nothing, output: z.object({ folder: z.string(), backups: z.array(backupSchema) }) },
  'backup.make': { input: z.object(work), output: backupSchema },
  /** Looks at the book's file again, after what stood in its way has been mended. */
  'book.reopen': { input: nothing, output: z.object({ bookTrouble: bookTroubleSchema.nullable() }) },
  /** Puts a backup in the book's place; the book as it was is kept as a backup of its own. */
  'backup.restore': {
    input: z.object({ name: backupNameSchema, ...work }),
    output: z.object({ keptAs: z.string().nullable() }),
  },
  'backup.remove': { input: z.object({ name: backupNameSchema }), output: nothing },
  /** Saves what can be read of a damaged book into a file that can be restored like a backup. */
  'book.salvage': {
    input: z.object(work),
    output: z.object({ name: z.string(), saved: z.record(z.string(), z.int()), lost: z.record(z.string(), z.int()) }),
  },
  'book.check': {
    input: z.object(work),
    output: z.object({ isSound: z.boolean(), findings: z.array(z.string()) }),
  },
  'exchange.export': {
    input: z.object({
      scope: z.enum(['build', 'book', 'changes']),
      buildIds: z.array(idSchema).max(1000).default([]),
      /** For `changes`: how far the other book knows each workplace's log, from its `exchange.state`. */
      since: z.record(idSchema, z.int().min(0)).default({}),
      includeCustomers: z.boolean().default(true),
      ...work,
    }),
    output: z.object({ exportId: uploadIdSchema, fileName: z.string(), path: z.string(), sizeBytes: z.int() }),
  },
  /** The readings of some builds, or of all, as one CSV table; the same table stands in every archive. */
  'exchange.table': {
    input: z.object({ buildIds: z.array(idSchema).max(1000).default([]), ...work }),
    output: z.object({ exportId: uploadIdSchema, fileName: z.string(), path: z.string(), sizeBytes: z.int() }),
  },
  /** How far this book knows each workplace's log. */
  'exchange.state': { input: nothing, output: z.record(idSchema, z.int()) },
  'exchange.inspect': { input: z.object({ uploadId: uploadIdSchema }), output: archiveSummarySchema },
  /** What an import would do, worked out in full and then taken back: nothing is stored. */
  'exchange.rehearse': { input: z.object({ uploadId: uploadIdSchema, ...work }), output: importReportSchema },
  'exchange.import': { input: z.object({ uploadId: uploadIdSchema, ...work }), output: importReportSchema },
  'upload.begin': {
    input: z.object({ sizeBytes: z.int().min(1).max(4_000_000_000) }),
    output: z.object({ uploadId: uploadIdSchema }),
  },
  'upload.append': {
    input: z.object({ uploadId: uploadIdSchema, offset: z.int().min(0), bytes: z.base64().max(12_000_000) }),
    output: z.object({ receivedBytes: z.int() }),
  },
  /** Removes a file that came in and isn't wanted any more. */
  'upload.drop': { input: z.object({ uploadId: uploadIdSchema }), output: nothing },
  /** A piece of an exported file, for a page that saves it where the user says. */
  'download.read': {
    input: z.object({ exportId: uploadIdSchema, offset: z.int().min(0) }),
    output: z.object({ bytes: z.base64(), isLast: z.boolean() }),
  },
  'conflict.list': { input: nothing, output: z.array(conflictSchema) },
  'conflict.settle': { input: z.object({ id: idSchema, keep: z.enum(['kept', 'other']) }), output: nothing },
  'csv.inspect': {
    input: z.object({
      text: csvTextSchema,
      /** How to cut the text, where the person knows better than the first guess. */
      as: csvMappingSchema.pick({ delimiter: true, hasHeader: true }).nullable().default(null),
    }),
    output: z.object({
      mapping: csvMappingSchema,
      columns: z.array(z.string()),
      rows: z.array(z.array(z.string())),
      rowCount: z.int(),
    }),
  },
  'csv.import': {
    input: z.object({
      /** Made by the page: the same import sent again adds nothing. */
      importId: idSchema,
      mockUpId: idSchema,
      text: csvTextSchema,
      mapping: csvMappingSchema,
      measuredBy: z.string().max(200).default(''),
      /** Only says what would happen: nothing is stored. */
      isRehearsal: z.boolean().default(false),
    }),
    output: z.object({
      /** Readings stored, or in a rehearsal those that would be. */
      added: z.int(),
      refused: z.array(z.object({ line: z.int(), reason: z.string() })),
      /** Of those, readings of a quantity that has a unit, for which neither the line nor the mapping names one. */
      withoutUnit: z.int(),
      /** The first lines as they are understood. */
      understood: z.array(csvReadingSchema),
    }),
  },
  /** For asking somebody for help: log, versions, check of the book; measurements only where chosen. */
  'help.bundle': {
    input: z.object({ includeMeasurements: z.boolean().default(false), ...work }),
    output: z.object({ exportId: uploadIdSchema, fileName: z.string(), path: z.string(), sizeBytes: z.int() }),
  },
} as const satisfies Record<string, { input: z.ZodType; output: z.ZodType }>;
