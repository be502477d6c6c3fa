import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { hostname } from 'node:os';
import { join } from 'node:path';
import { v7 } from 'uuid';
import { z } from 'zod';
import { idSchema } from '../../core/contract/basics.ts';

const workplaceFileSchema = z.object({ id: idSchema, name: z.string().min(1).max(200), computer: z.string() });
export type Workplace = z.infer<typeof workplaceFileSchema>;

const fileName = 'workplace.json';

/**
 * Who this computer is. The file stands beside the book and not in it: a book that is copied to another computer,
 * or restored from a backup, must go on under another workplace, since numbers of the change log are never given twice.
 * @param folder the user's data folder
 */
export function readWorkplace(folder: string, computer: string = hostname()): Workplace {
  const path = join(folder, fileName);
  if (existsSync(path)) {
    try {
      const found = workplaceFileSchema.parse(JSON.parse(readFileSync(path, 'utf8')));
      if (found.computer === computer) return found;
    } catch {
      // A damaged file is replaced: the only loss is that the log goes on under a new id.
    }
  }
  return renewWorkplace(folder, computer);
}

/** Gives this computer a new workplace id, for instance after a restore. */
export function renewWorkplace(folder: string, computer: string = hostname()): Workplace {
  const made: Workplace = { id: v7(), name: computer === '' ? 'this computer' : computer, computer };
  const path = join(folder, fileName);
  try {
    writeFileSync(`${path}.new`, JSON.stringify(made, null, 2));
    renameSync(`${path}.new`, path);
  } catch {
    // A write-protected folder: the book opens read-only then and no row is made under this id.
  }
  return made;
}
