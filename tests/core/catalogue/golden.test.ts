import { describe, expect, test } from 'vitest';
import { catalogue } from '../../../core/catalogue.ts';
import { checkCase } from '../../../electron/cli/check-numbers.ts';
import { keptCases, sharedCases } from '../../support/reference-numbers.ts';
import { missingFixturesReason } from '../../support/shared-fixtures.ts';

const cases = keptCases();

describe('reference numbers', () => {
  test.each(cases.map((reference) => [reference.id, reference] as const))('%s comes out', (_, reference) => {
    const { passed, remark, expected, got } = checkCase(reference);
    expect(passed, `expected ${expected}, got ${got}: ${remark}`).toBe(true);
  });

  test('every quantity of the catalogue has at least one case', () => {
    const covered = new Set(cases.map(({ quantity }) => quantity));
    expect(catalogue.map(({ id }) => id).filter((id) => !covered.has(id))).toEqual([]);
  });

  test('the kept copy is the file that it was copied from', (ctx) => {
    const shared = sharedCases();
    ctx.skip(shared === null, missingFixturesReason);
    expect(cases).toEqual(shared);
  });
});
