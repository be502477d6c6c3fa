import { z } from 'zod';
import { paperNames } from '../wheel/coded/wheel-sheet.ts';
import { idSchema, timeSchema } from './basics.ts';
import { bookListOrderSchema, bookMessages, bookTroubleSchema } from './book-messages.ts';
import {
  buildContentSchema,
  buildSchema,
  customerContentSchema,
  customerSchema,
  mockUpContentSchema,
  mockUpSchema,
  partContentSchema,
  partKindSchema,
  partSchema,
} from './parts.ts';
import {
  markKindSchema,
  readerStateSchema,
  readingContentSchema,
  readingMarkSchema,
  readingSchema,
  wheelSetupContentSchema,
  wheelSetupSchema,
} from './readings.ts';
import { workMessages, workProgressSchema } from './work.ts';

const nothing = z.object({});
const base64Schema = z.base64().max(40_000_000);

export const pictureContentSchema = z.object({
  id: idSchema,
  mime: z.enum(['image/jpeg', 'image/png']),
  widthPx: z.int().positive().max(20_000),
  heightPx: z.int().positive().max(20_000),
  bytes: base64Schema,
});
export type PictureContent = z.infer<typeof pictureContentSchema>;

/** One line of the book's list. */
export const bookRowSchema = z.object({
  buildId: idSchema,
  title: z.string(),
  jobNumber: z.string(),
  customer: z.string(),
  engine: z.string(),
  measuredBy: z.string(),
  mockUps: z.int(),
  readings: z.int(),
  changedAt: timeSchema,
});
export type BookRow = z.infer<typeof bookRowSchema>;

/** Everything of one mock-up that its screens need, in one answer. */
export const mockUpWholeSchema = z.object({
  mockUp: mockUpSchema,
  build: buildSchema,
  customer: customerSchema.nullable(),
  engine: partSchema,
  barrel: partSchema,
  piston: partSchema.nullable(),
  head: partSchema.nullable(),
  baseGasket: partSchema.nullable(),
  headGasket: partSchema.nullable(),
  setups: z.array(wheelSetupSchema),
  readings: z.array(readingSchema),
  marks: z.array(readingMarkSchema),
});
export type MockUpWhole = z.infer<typeof mockUpWholeSchema>;

export const sheetSchema = z.object({
  id: idSchema,
  workplaceId: idSchema,
  createdAt: timeSchema,
  mockUpId: idSchema.nullable(),
  title: z.string(),
  kind: z.string(),
});
export type Sheet = z.infer<typeof sheetSchema>;

/**
 * All messages between page and host, the same over Electron's IPC and the loopback host.
 * Both sides parse what arrives; an unknown name or wrong shape is refused.
 */
export const messages = {
  'app.info': {
    input: nothing,
    output: z.object({
      version: z.string(),
      databasePath: z.string(),
      workplaceId: idSchema,
      workplaceName: z.string(),
      shell: z.enum(['electron', 'loopback']),
      demo: z.boolean(),
      /** Why nothing can be written, or null. */
      readOnlyReason: z.string().nullable(),
      /** The same for a screen that has to say what to do: which trouble, and whether the book can at least be read. */
      bookTrouble: bookTroubleSchema.nullable(),
      /** Plain sentences for the user: port taken, network share, clock set back, ... */
      notices: z.array(z.string()),
      canPrintPdf: z.boolean(),
    }),
  },
  'book.list': {
    input: z.object({
      query: z.string().max(200).default(''),
      limit: z.int().min(1).max(1000).default(200),
      offset: z.int().min(0).default(0),
      order: bookListOrderSchema.default('changed'),
      /** Only builds on this engine, for this customer, or with or without readings. */
      engineId: idSchema.nullable().default(null),
      customerId: idSchema.nullable().default(null),
      measured: z.enum(['all', 'with_readings', 'without_readings']).default('all'),
    }),
    output: z.object({ rows: z.array(bookRowSchema), total: z.int() }),
  },
  'build.create': { input: buildContentSchema, output: buildSchema },
  'build.update': { input: z.object({ id: idSchema, content: buildContentSchema }), output: buildSchema },
  'build.whole': {
    input: z.object({ id: idSchema }),
    output: z.object({ build: buildSchema, customer: customerSchema.nullable(), mockUps: z.array(mockUpSchema) }),
  },
  'customer.create': { input: customerContentSchema, output: customerSchema },
  'customer.update': { input: z.object({ id: idSchema, content: customerContentSchema }), output: customerSchema },
  'customer.list': { input: nothing, output: z.array(customerSchema) },
  'part.create': { input: partContentSchema, output: partSchema },
  'part.update': { input: z.object({ id: idSchema, content: partContentSchema }), output: partSchema },
  'part.get': { input: z.object({ id: idSchema }), output: partSchema },
  'part.list': { input: z.object({ kind: partKindSchema.nullable().default(null) }), output: z.array(partSchema) },
  'mockUp.create': { input: mockUpContentSchema, output: mockUpSchema },
  'mockUp.update': { input: z.object({ id: idSchema, content: mockUpContentSchema }), output: mockUpSchema },
  'mockUp.copy': { input: z.object({ id: idSchema, name: z.string().min(1).max(200) }), output: mockUpSchema },
  'mockUp.whole': { input: z.object({ id: idSchema }), output: mockUpWholeSchema },
  /** Two to eight mock-ups side by side, in the order asked for. */
  'mockUp.compare': { input: z.object({ ids: z.array(idSchema).min(2).max(8) }), output: z.array(mockUpWholeSchema) },
  'mockUp.list': { input: nothing, output: z.array(mockUpSchema) },
  /** Answered only when the reading and its pictures are on disk. Sending the same id again stores nothing twice. */
  'reading.add': {
    input: z.object({ reading: readingContentSchema, pictures: z.array(pictureContentSchema).max(2).default([]) }),
    output: readingSchema,
  },
  'reading.mark': {
    input: z.object({
      readingIds: z.array(idSchema).min(1).max(10_000),
      mark: markKindSchema,
      reason: z.string().max(300),
    }),
    output: z.array(readingMarkSchema),
  },
  'picture.get': { input: z.object({ id: idSchema }), output: pictureContentSchema },
  'setup.create': {
    input: z.object({
      id: idSchema,
      content: wheelSetupContentSchema,
      readerState: readerStateSchema.nullable().default(null),
      pictures: z.array(pictureContentSchema).max(2).default([]),
    }),
    output: wheelSetupSchema,
  },
  /**
   * Keeps a further state of the same set-up; the earlier states stay in the history.
   * Without a reader state the one that is kept goes on.
   */
  'setup.update': {
    input: z.object({ id: idSchema, content: wheelSetupContentSchema, readerState: readerStateSchema.optional() }),
    output: wheelSetupSchema,
  },
  'setup.readerState': {
    input: z.object({ id: idSchema }),
    output: z.object({ readerState: readerStateSchema.nullable() }),
  },
  'preferences.get': { input: nothing, output: z.record(z.string(), z.json()) },
  'preferences.set': { input: z.object({ key: z.string().min(1).max(100), value: z.json() }), output: nothing },
  /** Keeps a printed page as it stands: self-contained HTML without scripts, and the data it was drawn from. */
  'sheet.keep': {
    input: z.object({
      mockUpId: idSchema.nullable(),
      kind: z.string().min(1).max(60),
      title: z.string().min(1).max(200),
      html: z.string().min(1).max(10_000_000),
      snapshot: z.json(),
    }),
    output: sheetSchema,
  },
  'sheet.list': { input: z.object({ mockUpId: idSchema.nullable() }), output: z.array(sheetSchema) },
  'sheet.get': {
    input: z.object({ id: idSchema }),
    output: z.object({ sheet: sheetSchema, html: z.string(), snapshot: z.json() }),
  },
  'sheet.pdf': { input: z.object({ id: idSchema }), output: z.object({ fileName: z.string(), bytes: base64Schema }) },
  /** Draws a degree wheel with a coded ring to print and cut out. */
  'wheelSheet.make': {
    input: z.object({
      paper: z.enum(paperNames),
      diameterMm: z.number(),
      boreMm: z.number(),
      grows: z.enum(['clockwise', 'anticlockwise']),
    }),
    output: z.object({ fileName: z.string(), bytes: base64Schema }),
  },
  ...bookMessages,
  ...workMessages,
} as const satisfies Record<string, { input: z.ZodType; output: z.ZodType }>;

export type MessageName = keyof typeof messages;
/** What a caller may pass: defaults may be left out. */
export type InputOf<K extends MessageName> = z.input<(typeof messages)[K]['input']>;
/** What a handler receives: defaults filled in. */
export type ParsedInputOf<K extends MessageName> = z.output<(typeof messages)[K]['input']>;
export type OutputOf<K extends MessageName> = z.output<(typeof messages)[K]['output']>;

export const messageNames = Object.keys(messages) as MessageName[];

/** Announcements of the host; they only say that something changed, the page asks for the rest. */
export const announcementSchema = z.discriminatedUnion('topic', [
  z.object({ topic: z.literal('book_changed') }),
  z.object({ topic: z.literal('mock_up_changed'), id: idSchema }),
  z.object({ topic: z.literal('notice'), sentence: z.string() }),
  workProgressSchema,
]);
export type Announcement = z.infer<typeof announcementSchema>;

/** Does it say that something in the book is different, so that what is shown has to be asked for again? */
export function saysBookChanged({ topic }: Announcement): boolean {
  return topic === 'book_changed' || topic === 'mock_up_changed';
}
