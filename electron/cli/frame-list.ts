import { readFile } from 'node:fs/promises';
import { z } from 'zod';

const rimSchema = z.object({
  centrePx: z.tuple([z.number(), z.number()]),
  fullAxesPx: z.tuple([z.number().positive(), z.number().positive()]),
  angleDeg: z.number(),
});

const fileName = z
  .string()
  .min(1)
  .refine((name) => !name.includes('\0'), 'a file name can’t hold a zero byte');

const frameListSchema = z.object({
  setups: z.array(
    z.object({ id: z.string().min(1), reference: fileName, frames: z.array(fileName), rim: rimSchema.optional() }),
  ),
});

/** Which pictures belong together: for each set-up its reference frame and the others, in any order. */
export type FrameList = z.infer<typeof frameListSchema>;
export type FrameListSetup = FrameList['setups'][number];

/** A frames file that can't be used; the message says why and how to mend it. */
export class FrameListError extends Error {}

/** @throws FrameListError */
export async function readFrameList(path: string): Promise<FrameList> {
  let text: string;
  try {
    text = await readFile(path, 'utf8');
  } catch {
    throw new FrameListError(
      `${path} can't be opened. Put a frames.json beside the pictures or name one with --frames FILE.`,
    );
  }
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw new FrameListError(`${path} is not JSON: ${error instanceof Error ? error.message : String(error)}.`);
  }
  const parsed = frameListSchema.safeParse(value);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new FrameListError(
    `${path}: ${issue?.path.join('.') ?? ''}: ${issue?.message ?? 'unexpected content'}. Expected {"setups": [{"id", "reference", "frames": [...], "rim"?}]}.`,
  );
}
