import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

/** Files of a folder that count as named jobs; helpers of that folder are left out. */
export function namesIn(folder: string, helpers: readonly string[]): string[] {
  return readdirSync(folder)
    .filter((file) => file.endsWith('.ts') && !helpers.includes(file))
    .map((file) => file.slice(0, -'.ts'.length))
    .toSorted();
}

/** Default export of one such file. */
export async function defaultExportOf(folder: string, name: string): Promise<unknown> {
  const loaded: unknown = await import(pathToFileURL(join(folder, `${name}.ts`)).href);
  return typeof loaded === 'object' && loaded !== null && 'default' in loaded ? loaded.default : undefined;
}
