import { z } from 'zod';
import { idSchema, timeSchema } from '../../core/contract/basics.ts';
import {
  buildContentSchema,
  customerContentSchema,
  mockUpContentSchema,
  partContentSchema,
} from '../../core/contract/parts.ts';
import {
  markKindSchema,
  readerStateSchema,
  readingContentSchema,
  wheelSetupContentSchema,
} from '../../core/contract/readings.ts';

/** Rises when an older program could no longer read what is written; additions don't raise it. */
export const archiveFormatVersion = 1;
export const archiveFormatName = 'portsight-book';
export const manifestFile = 'portsight.json';
/** Rows in one data file: small enough to be read at once. */
export const rowsInFile = 2000;

const made = { id: idSchema, workplaceId: idSchema, createdAt: timeSchema };
const changeIdSchema = idSchema;
const pictureFileSchema = z.string().regex(/^pictures\/[0-9a-f-]{36}\.(jpg|png)$/);
const sheetFileSchema = z.string().regex(/^sheets\/[0-9a-f-]{36}\.html$/);

/** The rows of each data file. Contents are the records as the screens enter them. */
export const archiveRows = {
  workplaces: z.object({ id: idSchema, name: z.string().max(200), createdAt: timeSchema }),
  changes: z.object({
    id: changeIdSchema,
    workplaceId: idSchema,
    /** Counts from 1 without gaps in each workplace's log. */
    seq: z.int().min(1),
    madeAt: timeSchema,
    entity: z.enum([
      'customer',
      'part',
      'build',
      'mock_up',
      'wheel_setup',
      'reading',
      'reading_mark',
      'picture',
      'sheet',
    ]),
    rowId: idSchema,
    action: z.enum(['create', 'update', 'keep', 'remove_details']),
    before: z.json(),
    after: z.json(),
    supersedesChangeId: changeIdSchema.nullable(),
    resolvesChangeId: changeIdSchema.nullable(),
  }),
  customers: z.object({ ...made, content: customerContentSchema, changeId: changeIdSchema }),
  'customer-versions': z.object({ changeId: changeIdSchema, customerId: idSchema, content: customerContentSchema }),
  parts: z.object({ ...made, content: partContentSchema, changeId: changeIdSchema }),
  builds: z.object({ ...made, content: buildContentSchema, changeId: changeIdSchema }),
  'mock-ups': z.object({ ...made, content: mockUpContentSchema, changeId: changeIdSchema }),
  pictures: z.object({
    ...made,
    mime: z.enum(['image/jpeg', 'image/png']),
    widthPx: z.int().positive().max(20_000),
    heightPx: z.int().positive().max(20_000),
    changeId: changeIdSchema,
    file: pictureFileSchema,
  }),
  'wheel-setups': z.object({ ...made, mockUpId: idSchema, changeId: changeIdSchema }),
  'wheel-setup-states': z.object({
    changeId: changeIdSchema,
    setupId: idSchema,
    content: wheelSetupContentSchema,
    readerState: readerStateSchema.nullable(),
  }),
  readings: z.object({ ...made, content: readingContentSchema.omit({ id: true }), changeId: changeIdSchema }),
  marks: z.object({
    ...made,
    readingId: idSchema,
    mark: markKindSchema,
    reason: z.string().max(300),
    changeId: changeIdSchema,
  }),
  sheets: z.object({
    ...made,
    mockUpId: idSchema.nullable(),
    kind: z.string().min(1).max(60),
    title: z.string().min(1).max(200),
    changeId: changeIdSchema,
    detailsRemovedAt: timeSchema.nullable(),
    snapshot: z.json(),
    file: sheetFileSchema,
  }),
} as const;
export type ArchiveTable = keyof typeof archiveRows;
export type ArchiveRow<T extends ArchiveTable> = z.output<(typeof archiveRows)[T]>;
export const archiveTables = Object.keys(archiveRows) as ArchiveTable[];

export const manifestSchema = z.object({
  format: z.literal(archiveFormatName),
  formatVersion: z.int().min(1),
  scope: z.enum(['build', 'book', 'changes']),
  madeAt: timeSchema,
  madeBy: z.object({ workplaceId: idSchema, name: z.string().max(200) }),
  programVersion: z.string().max(60),
  /** Rows of each table. */
  counts: z.partialRecord(z.enum(archiveTables as [ArchiveTable, ...ArchiveTable[]]), z.int().min(0)),
  /** SHA-256 of each data file, hexadecimal; pictures and sheets carry theirs in the zip's own CRC. */
  files: z.record(z.string().regex(/^data\/[a-z-]+-\d{4}\.json$/), z.string().regex(/^[0-9a-f]{64}$/)),
});
export type Manifest = z.infer<typeof manifestSchema>;

/** Every name that may stand in an archive; anything else is refused. */
export const archiveNamePattern =
  /^(portsight\.json|read-me\.txt|schema\.json|data\/[a-z-]+-\d{4}\.json|tables\/[a-z-]+\.csv|pictures\/[0-9a-f-]{36}\.(jpg|png)|sheets\/[0-9a-f-]{36}\.html)$/;

/** The published description of the data files, as JSON Schema. */
export function archiveJsonSchema(): Record<string, unknown> {
  const describe = (schema: z.ZodType) => z.toJSONSchema(schema, { io: 'input', unrepresentable: 'any' });
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: `Portsight archive, version ${archiveFormatVersion}`,
    manifest: describe(manifestSchema),
    rows: Object.fromEntries(archiveTables.map((table) => [table, describe(archiveRows[table])])),
  };
}
