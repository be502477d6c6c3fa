import { z } from 'zod';

/** Names one run of longer work; made by the page, which hears of its progress and may stop it by that name. */
export const workIdSchema = z.uuid();

/** Goes into the input of every message that may take long. Without a name the work can't be stopped. */
export const work = { workId: workIdSchema.nullable().default(null) };

export const workMessages = {
  /** Asks work to end. It ends at the next place where nothing is half done, and its own call answers `stopped`. */
  'work.stop': { input: z.object({ workId: workIdSchema }), output: z.object({ wasRunning: z.boolean() }) },
} as const satisfies Record<string, { input: z.ZodType; output: z.ZodType }>;

/** How far a piece of work is. */
export const workProgressSchema = z.object({
  topic: z.literal('work'),
  workId: workIdSchema,
  sentence: z.string(),
  /** 0 to 1; null where nobody can tell. */
  part: z.number().min(0).max(1).nullable(),
});
