import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { licenceList } from '../../build/make-licence-list.ts';

test('the notices name every shipped package with the version that is installed', () => {
  const kept = readFileSync(join(import.meta.dirname, '..', '..', 'THIRD-PARTY-NOTICES.md'), 'utf8');
  expect(kept).toBe(licenceList());
});
