import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Reading } from '../../../core/contract/readings.ts';
import {
  type ComparedRow,
  comparedMockUp,
  comparedRows,
  compareGroups,
  differenceFrom,
  isAlike,
  orderBy,
} from '../../../core/mockup/compare.ts';
import { matchOfSet } from '../../../core/mockup/set-match.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const records = new BenchRecords();

/** A mock-up whose exhaust opens there, with squish and head volume read. */
function measured(exhaustOpensDeg: number, squishMm: number, volumeCc: number | null): MockUpWhole {
  const whole = records.mockUp({
    ports: [
      { portId: 'e', kind: 'exhaust', label: 'Exhaust', widthMm: 37, heightMm: 22 },
      { portId: 't', kind: 'transfer_main', label: 'Transfers', windowCount: 4, widthMm: 18, heightMm: 11 },
    ],
  });
  if (whole.barrel.kind !== 'barrel') throw new Error('the record has no barrel');
  const readings: Reading[] = [
    records.stop(whole, 'forwards', records.camera(whole, 330)),
    records.stop(whole, 'backwards', records.camera(whole, 30)),
  ];
  for (const turning of ['forwards', 'backwards'] as const) {
    const edge = (portId: string, name: 'opens' | 'closes', deg: number) =>
      readings.push(records.edge(whole, portId, name, turning, records.camera(whole, deg)));
    edge('e', 'opens', exhaustOpensDeg);
    edge('e', 'closes', 360 - exhaustOpensDeg);
    edge('t', 'opens', 118);
    edge('t', 'closes', 242);
  }
  for (const position of ['0', '90', '180', '270']) {
    readings.push(records.quantity(whole, 'squish', squishMm, { position }));
  }
  if (volumeCc !== null) {
    readings.push(records.quantity(whole, 'head_poured', volumeCc, { unit: 'cm3', resolution: 0.1 }));
  }
  return {
    ...whole,
    barrel: { ...whole.barrel, data: { ...whole.barrel.data, boreMm: 53.6 } },
    readings,
  };
}

const rowsOf = (...wholes: MockUpWhole[]) => comparedRows(wholes.map((whole) => comparedMockUp(whole)));
const row = (rows: readonly ComparedRow[], key: string): ComparedRow => {
  const found = rows.find((one) => one.key === key);
  if (found === undefined) throw new Error(`no row ${key}`);
  return found;
};

describe('mock-ups side by side', () => {
  const rows = rowsOf(measured(92, 1, 10.9), measured(90, 1.2, null), measured(92, 1, 10.9));

  test('events, durations, areas, squish and volumes stand in rows, group after group', () => {
    for (const key of ['event:e:opens', 'duration:e', 'blowdown', 'full_area:e', 'squish_minimum', 'head_volume']) {
      expect(row(rows, key).cells).toHaveLength(3);
    }
    const order = rows.map(({ group }) => compareGroups.indexOf(group));
    expect(order).toEqual(order.toSorted((a, b) => a - b));
    expect(new Set(rows.map(({ key }) => key)).size).toBe(rows.length);
  });

  test('an earlier opening makes the duration longer by twice as much', () => {
    expect(differenceFrom(row(rows, 'event:e:opens'), 0, 1)?.difference).toBeCloseTo(-2, 6);
    expect(differenceFrom(row(rows, 'duration:e'), 0, 1)?.difference).toBeCloseTo(4, 6);
    expect(differenceFrom(row(rows, 'blowdown'), 0, 1)?.difference).toBeCloseTo(2, 6);
  });

  test('a figure that one of them lacks stays open there and gives no difference', () => {
    const volume = row(rows, 'head_volume');
    expect(volume.cells.map(({ value }) => value === null)).toEqual([false, true, false]);
    expect(differenceFrom(volume, 0, 1)).toBeNull();
    expect(differenceFrom(volume, 0, 2)?.distinguishable).toBe(false);
  });

  test('equal within the uncertainty is alike; a real difference is not', () => {
    expect(isAlike(row(rows, 'event:t:opens'))).toBe(true);
    expect(isAlike(row(rows, 'duration:e'))).toBe(false);
    expect(isAlike(row(rows, 'squish_minimum'))).toBe(false);
  });

  test('columns in the order of a row; what is missing comes last both ways', () => {
    expect(orderBy(row(rows, 'duration:e'), 'rising')).toEqual([0, 2, 1]);
    expect(orderBy(row(rows, 'duration:e'), 'falling')).toEqual([1, 0, 2]);
    expect(orderBy(row(rows, 'head_volume'), 'rising').at(-1)).toBe(1);
    expect(orderBy(row(rows, 'head_volume'), 'falling').at(-1)).toBe(1);
  });

  test('a closing is held against limits before its dead centre', () => {
    expect(row(rows, 'event:e:closes').cells[0]?.limitValue).toBeCloseTo(92, 6);
    expect(row(rows, 'event:e:opens').cells[0]?.limitValue).toBeCloseTo(92, 6);
  });

  test('edges on both sides of TDC lie near each other', () => {
    const cell = (value: number) => ({
      value: { value, sigma: 0.1, degreesOfFreedom: null, contributions: [] },
      limitValue: null,
      judged: row(rows, 'blowdown').cells[0]?.judged as ComparedRow['cells'][number]['judged'],
    });
    const crossing = { ...row(rows, 'event:e:opens'), cells: [cell(359), cell(1)] };
    expect(differenceFrom(crossing, 0, 1)?.difference).toBeCloseTo(2, 9);
  });
});

describe('how well a set matches', () => {
  const rows = rowsOf(measured(92, 1, 10.9), measured(90, 1.2, 10.95), measured(92.1, 1.01, 10.8));
  const matches = matchOfSet(rows);
  const match = (key: string) => matches.find((one) => one.key === key);

  test('the spread is the largest less the smallest, and says which they are', () => {
    expect(match('event:e:opens')).toMatchObject({ lowestIndex: 1, highestIndex: 2 });
    expect(match('event:e:opens')?.spread.value).toBeCloseTo(2.1, 6);
    expect(match('squish_minimum')?.spread.value).toBeCloseTo(0.2, 9);
  });

  test('held against the trade it conforms, does not, or cannot be decided', () => {
    expect(match('event:e:opens')?.judged.verdict).toBe('not_conforming');
    expect(match('squish_minimum')?.judged.verdict).toBe('not_conforming');
    expect(match('event:t:opens')?.judged.verdict).not.toBe('not_conforming');
    expect(match('head_volume')?.judged.verdict).toBe('cannot_be_decided');
  });

  test('figures without a rule, and figures of one member only, are left out', () => {
    expect(match('duration:e')).toBeUndefined();
    expect(matchOfSet(rowsOf(measured(92, 1, 10.9), measured(92, 1, null))).map(({ key }) => key)).not.toContain(
      'head_volume',
    );
  });
});
