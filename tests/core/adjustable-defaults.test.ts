import { expect, test } from 'vitest';
import { adjustableDefaults } from '../../core/adjustable-defaults.ts';

test('every default of our own is listed once with its reason', () => {
  expect(new Set(adjustableDefaults.map(({ key }) => key)).size).toBe(adjustableDefaults.length);
  expect(adjustableDefaults).toMatchSnapshot();
  for (const { value, reason } of adjustableDefaults) {
    expect(value).toBeGreaterThan(0);
    expect(reason).toMatch(/^[A-Z].*\.$/);
  }
});
