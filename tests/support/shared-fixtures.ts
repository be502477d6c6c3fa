import { existsSync } from 'node:fs';
import { join } from 'node:path';

const root = join(import.meta.dirname, '..', '..');

/**
 * Finds the folder of large fixtures and reference numbers: `PORTSIGHT_FIXTURES`, else a folder `shared` beside the clone.
 * A user's clone has neither; tests that need it then skip with `missingFixturesReason`.
 */
export const sharedFolder: string | null =
  [process.env['PORTSIGHT_FIXTURES'], join(root, '..', 'shared')].find(
    (folder): folder is string => folder !== undefined && existsSync(join(folder, 'fixtures')),
  ) ?? null;

export const missingFixturesReason =
  'the large fixtures are not beside this clone; set PORTSIGHT_FIXTURES to a folder that holds fixtures/ and reference/';

/** Path inside the fixtures folder; throws where it is missing, so call it only after checking `sharedFolder`. */
export function sharedPath(...parts: string[]): string {
  if (sharedFolder === null) throw new Error(missingFixturesReason);
  return join(sharedFolder, ...parts);
}
