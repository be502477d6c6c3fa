import { expect, test } from 'vitest';
import { repeatsOf } from '../../../core/mockup/repeats.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { BenchRecords } from '../../support/bench-records.ts';

function repeated(forwards: readonly number[], backwards: readonly number[], way: 'clockwise' | 'anticlockwise') {
  const records = new BenchRecords();
  const whole = records.mockUp({ forwards: way });
  const sign = way === 'clockwise' ? 1 : -1;
  const at = (turning: 'forwards' | 'backwards') => (deg: number) =>
    records.edge(whole, 'e', 'opens', turning, records.camera(whole, (((sign * deg) % 360) + 360) % 360));
  const readings = [...forwards.map(at('forwards')), ...backwards.map(at('backwards'))];
  return { readings, result: repeatsOf(joinStamps(readings, []), whole.setups) };
}

test.each(['clockwise', 'anticlockwise'] as const)(
  'mean, spread, scatter and slack of repeats through zero, %s',
  (way) => {
    const { result } = repeated([359.8, 0.1, 0.4], [0.9, 0.7], way);
    expect(result.forwards?.count).toBe(3);
    expect(result.forwards?.meanDeg).toBeCloseTo(0.1, 9);
    expect(result.forwards?.spreadDeg).toBeCloseTo(0.6, 9);
    expect(result.forwards?.scatterDeg).toBeCloseTo(0.3, 9);
    expect(result.backwards?.meanDeg).toBeCloseTo(0.8, 9);
    expect(result.differenceDeg).toBeCloseTo(-0.7, 9);
  },
);

test('one reading has no scatter, and one direction no difference', () => {
  const { result } = repeated([90], [], 'clockwise');
  expect(result.forwards?.scatterDeg).toBeNull();
  expect(result.backwards).toBeNull();
  expect(result.differenceDeg).toBeNull();
});

test('the repeat that stands apart is marked and still counts; ordinary scatter marks none', () => {
  const { readings, result } = repeated([90, 90.2, 89.9, 92.5], [], 'clockwise');
  expect(result.forwards?.outlierIds).toEqual([readings[3]?.id]);
  expect(result.forwards?.count).toBe(4);
  expect(result.forwards?.meanDeg).toBeCloseTo(90.65, 9);
  expect(repeated([90, 90.2, 89.9, 90.5], [], 'clockwise').result.forwards?.outlierIds).toEqual([]);
});
