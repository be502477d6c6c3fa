import { z } from 'zod';

/** What crosses a process boundary when something can't be done: plain data, ready for the screen. */
export const failureSchema = z.object({
  code: z.string(),
  /** Says what, where and how to mend it. */
  message: z.string(),
  field: z.string().optional(),
});
export type Failure = z.infer<typeof failureSchema>;

export type Envelope<T> = { ok: true; value: T } | { ok: false; error: Failure };

export const envelopeSchema = z.discriminatedUnion('ok', [
  z.object({ ok: z.literal(true), value: z.unknown() }),
  z.object({ ok: z.literal(false), error: failureSchema }),
]);
