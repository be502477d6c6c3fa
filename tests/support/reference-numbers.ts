import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseCases, type ReferenceCase } from '../../electron/cli/reference-file.ts';
import { sharedFolder, sharedPath } from './shared-fixtures.ts';

/** Cases kept in the repository: numbers computed apart from this program, twice each. */
export const keptReferenceFile = join(import.meta.dirname, '..', '..', 'native-fixtures', 'reference-numbers.json');

export function keptCases(): ReferenceCase[] {
  return parseCases(readFileSync(keptReferenceFile, 'utf8'));
}

/** The file that the kept one was copied from; null where it isn't beside this clone. */
export function sharedCases(): ReferenceCase[] | null {
  return sharedFolder === null ? null : parseCases(readFileSync(sharedPath('reference', 'golden.json'), 'utf8'));
}
