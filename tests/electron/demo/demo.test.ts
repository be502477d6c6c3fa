import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { type ComparedMockUp, comparedMockUp, comparedRows, differenceFrom } from '../../../core/mockup/compare.ts';
import { loadDemo } from '../../../electron/demo/load.ts';
import { openTestBook } from '../../support/book.ts';

/** The demo's mock-ups in the order of their barrels, evaluated. */
async function demoMockUps(): Promise<readonly ComparedMockUp[]> {
  const { client } = await openTestBook();
  expect(await loadDemo(client)).toBe(true);
  // A second call must leave the book as it is.
  expect(await loadDemo(client)).toBe(false);
  const list = await client.call('mockUp.list', {});
  const wholes: MockUpWhole[] = [];
  for (const { id } of list) wholes.push(await client.call('mockUp.whole', { id }));
  return wholes.toSorted((a, b) => a.barrel.name.localeCompare(b.barrel.name)).map((whole) => comparedMockUp(whole));
}

const verdictsOf = (mockUp: ComparedMockUp | undefined) =>
  new Map(
    [...(mockUp?.checks.timing.figures ?? []), ...(mockUp?.checks.rows ?? [])].map((row) => [
      row.key,
      row.judged.verdict,
    ]),
  );

describe('the demo workshop', () => {
  test('three barrels are measured at every step, the fourth waits', async () => {
    const mockUps = await demoMockUps();
    expect(mockUps.map(({ whole }) => whole.barrel.name)).toEqual(['Barrel A', 'Barrel B', 'Barrel C', 'Barrel D']);
    for (const { checks } of mockUps.slice(0, 3)) {
      expect(checks.steps.filter(({ state }) => state === 'open').map(({ step }) => step.id)).toEqual([]);
      // No reading contradicts another.
      expect(checks.questions).toEqual([]);
    }
    expect(mockUps[3]?.whole.readings).toEqual([]);
    expect(mockUps[3]?.checks.next?.step.id).toBe('box_check');
  });

  test('A conforms, B is out of its limits, C is tilted and its duration cannot be decided', async () => {
    const [a, b, c] = (await demoMockUps()).map(verdictsOf);
    expect([...(a?.values() ?? [])]).not.toContain('not_conforming');
    expect(a?.get('duration:exhaust')).toBe('conforming');
    expect(b?.get('duration:exhaust')).toBe('not_conforming');
    expect(c?.get('duration:exhaust')).toBe('cannot_be_decided');
    expect(c?.get('squish_tilt_front_rear')).toBe('not_conforming');
  });

  test('squish follows from deck, gasket and band; ratios and time-areas are there', async () => {
    const rows = comparedRows(await demoMockUps());
    const at = (key: string, index: number) =>
      rows.find((row) => row.key === key)?.cells[index]?.value?.value ?? Number.NaN;
    for (const index of [0, 1, 2]) {
      expect(at('squish_mean', index)).toBeCloseTo(at('deck_mean', index) + 0.48 + 0.35, 1);
      expect(at('full_stroke_ratio', index)).toBeGreaterThan(11);
      expect(at('time_area:exhaust', index)).toBeGreaterThan(0);
    }
    const duration = rows.find((row) => row.key === 'duration:exhaust');
    expect(duration === undefined ? null : differenceFrom(duration, 0, 1)?.distinguishable).toBe(true);
  });
});
