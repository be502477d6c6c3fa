import { expect, test } from 'vitest';
import type { Reading, ReadingMark } from '../../../core/contract/readings.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { afterStamp, type BenchWanted, sinceProven, subjectOf } from '../../../renderer/state/bench-run.ts';
import { BenchRecords } from '../../support/bench-records.ts';

test('a stamp keeps the criterion of its port, and that of the mock-up where the port has none', () => {
  const records = new BenchRecords();
  const whole = records.mockUp();
  const wire = { kind: 'wire', thicknessMm: 0.3 } as const;
  const mockUp = { ...whole.mockUp, portCriteria: { t: wire } };
  const angle = records.camera(whole, 92);
  const criterion = (portId: string) => {
    const subject = subjectOf(
      { what: 'port_edge', turning: 'forwards', portId, edge: 'opens' },
      'forwards',
      angle,
      mockUp,
    );
    return subject.what === 'port_edge' ? subject.criterion : null;
  };
  expect(criterion('t')).toEqual(wire);
  expect(criterion('e')).toEqual({ kind: 'first_light', thicknessMm: 0 });
});

test('a check of TDC asks for its other side until it has both, whatever was refined or struck meanwhile', () => {
  const records = new BenchRecords();
  const whole = records.mockUp();
  const run = records.id();
  const inRun = (reading: Reading): Reading => ({ ...reading, benchRunId: run });
  const first = inRun(records.check(whole, 'forwards', records.camera(whole, 10)));
  const refined = { ...inRun(records.check(whole, 'forwards', records.camera(whole, 10.02))), supersedesId: first.id };
  const second = inRun(records.check(whole, 'backwards', records.camera(whole, 70)));
  const forwards = { what: 'tdc_check', turning: 'forwards' } as const;
  const backwards = { what: 'tdc_check', turning: 'backwards' } as const;
  const next = (readings: Reading[], wanted: BenchWanted, marks: ReadingMark[] = []) =>
    afterStamp(joinStamps(readings, marks), wanted, run);
  expect(next([], forwards)).toEqual(backwards);
  expect(next([], backwards)).toEqual(forwards);
  expect(next([first, refined], backwards)).toBeNull();
  expect(next([first, refined, second], forwards)).toEqual(backwards);
  expect(next([first], backwards, [records.mark(first, 'struck')])).toEqual(forwards);
  // A side that was read in another sitting belongs to a stop that was taken out since.
  expect(next([{ ...first, benchRunId: records.id() }], backwards)).toEqual(forwards);
  expect(next([], { what: 'stop_contact', turning: 'forwards' })).toBeNull();
});

test('"wheel moved" puts in doubt what came after the last check that was right; what is struck stays as it is', () => {
  const records = new BenchRecords();
  const whole = records.mockUp();
  const readings = [10, 20, 30, 40].map((deg) =>
    records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, deg)),
  );
  const [, second, third] = readings;
  if (second === undefined || third === undefined) throw new Error('four readings');
  const stamps = joinStamps([...readings, records.quantity(whole, 'deck', 0.1)], [records.mark(third, 'struck')]);
  const ids = (provenAt: string) => sinceProven(stamps, provenAt).map(({ root }) => readings.indexOf(root));
  expect(ids('')).toEqual([0, 1, 3]);
  expect(ids(second.takenAt)).toEqual([3]);
});
