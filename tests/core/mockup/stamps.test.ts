import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { MarkKind, Reading } from '../../../core/contract/readings.ts';
import { isUsable, joinStamps } from '../../../core/mockup/stamps.ts';
import { BenchRecords } from '../../support/bench-records.ts';

function threeReadings() {
  const records = new BenchRecords();
  const whole = records.mockUp();
  const first = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 90));
  const refined = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 90.02), {
    supersedesId: first.id,
  });
  const other = records.edge(whole, 't', 'opens', 'forwards', records.camera(whole, 118));
  return { records, whole, first, refined, other };
}

describe('joining readings into stamps', () => {
  test('a reading that replaces another makes one stamp with both in its history', () => {
    const { first, refined, other } = threeReadings();
    const stamps = joinStamps([other, refined, first], []);
    expect(stamps.map(({ root, current, history }) => [root.id, current.id, history.length])).toEqual([
      [first.id, refined.id, 2],
      [other.id, other.id, 1],
    ]);
  });

  test('striking the first value strikes the refined one too, and restoring brings the refined one back', () => {
    const { records, first, refined } = threeReadings();
    const struck = records.mark(first, 'struck');
    expect(joinStamps([first, refined], [struck]).map(isUsable)).toEqual([false]);
    const restored = records.mark(refined, 'restored');
    const [stamp] = joinStamps([first, refined], [restored, struck]);
    expect(stamp?.struck).toBe(false);
    expect(stamp?.current.id).toBe(refined.id);
  });

  test('of two readings that replace the same one the later counts', () => {
    const { records, whole, first, refined } = threeReadings();
    const again = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 90.03), {
      supersedesId: first.id,
    });
    expect(joinStamps([again, first, refined], [])[0]?.current.id).toBe(again.id);
  });

  test('readings that replace each other in a ring, as in a damaged book, still end in stamps', () => {
    const { first, refined } = threeReadings();
    const ring: Reading[] = [{ ...first, supersedesId: refined.id }, refined];
    const ids = joinStamps(ring, []).flatMap(({ history }) => history.map(({ id }) => id));
    expect(ids).toHaveLength(2);
    expect(new Set(ids)).toEqual(new Set([first.id, refined.id]));
  });

  test('a reading whose predecessor is elsewhere begins a stamp of its own', () => {
    const { records, refined } = threeReadings();
    const orphan = { ...refined, supersedesId: records.id() };
    expect(joinStamps([orphan], [])[0]?.root.id).toBe(orphan.id);
  });

  test('the reason shown is that of the mark that still holds', () => {
    const { records, first } = threeReadings();
    const marks = [records.mark(first, 'doubtful', 'wheel moved'), records.mark(first, 'void', 'gasket changed')];
    expect(joinStamps([first], marks)[0]?.reason).toBe('gasket changed');
    expect(joinStamps([first], [...marks, records.mark(first, 'valid')])[0]?.reason).toBe('wheel moved');
  });

  test('law: no reading is lost or doubled, whatever replaces what, and the order of rows does not matter', () => {
    fc.assert(
      fc.property(
        fc.array(fc.nat(20), { maxLength: 20 }),
        fc.array(fc.tuple(fc.nat(20), fc.constantFrom<MarkKind>('struck', 'restored', 'doubtful', 'trusted'))),
        fc.infiniteStream(fc.nat()),
        (replaces, marked, shuffle) => {
          const records = new BenchRecords();
          const whole = records.mockUp();
          const readings: Reading[] = [];
          for (const target of replaces) {
            const before = readings[target];
            const options = before === undefined ? {} : { supersedesId: before.id };
            readings.push(records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 90), options));
          }
          const marks = marked.flatMap(([index, mark]) => {
            const reading = readings[index];
            return reading === undefined ? [] : [records.mark(reading, mark)];
          });
          const keys = new Map(readings.map((reading) => [reading.id, shuffle.next().value]));
          const shuffled = readings.toSorted((a, b) => (keys.get(a.id) ?? 0) - (keys.get(b.id) ?? 0));
          const stamps = joinStamps(readings, marks);
          expect(joinStamps(shuffled, marks.toReversed())).toEqual(stamps);
          const seen = stamps.flatMap(({ history }) => history.map(({ id }) => id));
          expect(seen).toHaveLength(readings.length);
          expect(new Set(seen)).toEqual(new Set(readings.map(({ id }) => id)));
        },
      ),
      { seed: 7, numRuns: 200 },
    );
  });
});
