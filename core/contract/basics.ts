import { z } from 'zod';

/** Globally unique, time-ordered id of every row that a person makes (UUID version 7, RFC 9562). */
export const idSchema = z.uuidv7();
export type Id = z.infer<typeof idSchema>;

/** Point in time as ISO 8601 in UTC with milliseconds. */
export const timeSchema = z.iso.datetime({ precision: 3 });
export type Time = z.infer<typeof timeSchema>;

/** A line of text that names something; never blank. */
export const nameSchema = z.string().trim().min(1, 'Give it a name: the field is empty.').max(200);

/** Free text of a person. */
export const noteSchema = z.string().max(20_000).default('');

/** A finite number; JSON has no NaN or Infinity, so text that isn't a number never gets this far. */
export const numberSchema = z.number();

/** Who made a row and when: stands on every row, whatever its kind. */
export const madeSchema = z.object({
  id: idSchema,
  /** The computer that made the row. */
  workplaceId: idSchema,
  createdAt: timeSchema,
});
