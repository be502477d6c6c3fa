import { describe, expect, test } from 'vitest';
import { answered, noDuration, understoodDuration } from '../../../renderer/state/wanted-duration.ts';

const typed = (typedDeg: number | null) => ({ ...noDuration, typedDeg });

describe('a duration typed into the planner', () => {
  test('is asked about where the number could be half of it or an opening, and counts for nothing until then', () => {
    const found = understoodDuration('exhaust', typed(92));
    expect(found.meanings.map(({ quotedDeg }) => quotedDeg)).toEqual([92, 184, 176]);
    expect(found).toMatchObject({ chosen: null, durationDeg: null });
  });

  test('is taken as it is from half a turn on, and nothing typed is nothing', () => {
    expect(understoodDuration('exhaust', typed(184))).toMatchObject({ chosen: null, durationDeg: 184 });
    expect(understoodDuration('exhaust', typed(null))).toEqual({ meanings: [], chosen: null, durationDeg: null });
  });

  test('keeps the answer while the same figure is tried a little higher or lower, not for another figure', () => {
    const asHalf = answered(typed(92), 'half_duration');
    expect(understoodDuration('exhaust', asHalf)).toMatchObject({ chosen: 'half_duration', durationDeg: 184 });
    // On the way from 92 to 94 the field held 9.
    for (const [typedDeg, durationDeg] of [
      [9, null],
      [94, 188],
      [126, null],
    ] as const) {
      expect(understoodDuration('exhaust', { ...asHalf, typedDeg }).durationDeg).toBe(durationDeg);
    }
    expect(understoodDuration('exhaust', answered(asHalf, null)).durationDeg).toBeNull();
  });
});
