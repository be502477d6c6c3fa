import { describe, expect, test } from 'vitest';
import type { Reading, ReadingMark } from '../../../core/contract/readings.ts';
import { asMeasured } from '../../../core/mockup/as-measured.ts';
import { type CheckInstrument, CheckReadings, calibrationSigma } from '../../../core/mockup/check-readings.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const records = new BenchRecords();
const whole = records.mockUp();
const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
const gaugeId = records.id();
const gauge: CheckInstrument = {
  id: gaugeId,
  name: 'Bore gauge',
  resolution: 0.01,
  calibrationExpanded: 0.008,
  checkedUntil: 'always',
};

function gathered(
  readings: readonly Reading[],
  marks: readonly ReadingMark[] = [],
  instruments: CheckInstrument[] = [],
) {
  return new CheckReadings(joinStamps(readings, marks), ports, instruments);
}

describe('readings of hand instruments', () => {
  test('inch, thou and millimetre readings of one place come together in millimetres', () => {
    const readings = gathered([
      records.quantity(whole, 'squish', 0.0345, { position: '0', unit: 'in', resolution: 0.0005 }),
      records.quantity(whole, 'squish', 34.5, { position: '0', unit: 'thou', resolution: 0.5 }),
      records.quantity(whole, 'squish', 0.8763, { position: '0' }),
    ]);
    const value = readings.value('squish', '0');
    expect(value?.value).toBeCloseTo(0.8763, 10);
    // The coarsest step counts: half a thou is 0.0127 mm.
    expect(value?.sigma).toBeCloseTo(0.0127 / Math.sqrt(12), 10);
  });

  test('a reading in a unit that its quantity does not have is kept and not counted', () => {
    const [place] = gathered([records.quantity(whole, 'stroke', 54.5, { unit: 'deg' })]).places('stroke');
    expect(place).toMatchObject({ isRead: false, value: null });
    expect(place?.stamps).toHaveLength(1);
  });

  test('scatter is pooled over the places, the step stays whole', () => {
    const readings = gathered([
      records.quantity(whole, 'bore_along_pin', 53.6, { position: 'top' }),
      records.quantity(whole, 'bore_along_pin', 53.62, { position: 'top' }),
      records.quantity(whole, 'bore_along_pin', 53.59, { position: 'middle' }),
      records.quantity(whole, 'bore_along_pin', 53.59, { position: 'middle' }),
      records.quantity(whole, 'bore_along_pin', 53.58, { position: 'bottom' }),
    ]);
    // Squares 0.0002 over two degrees of freedom.
    const scatter = Math.sqrt(0.0002 / 2);
    const step = 0.01 / Math.sqrt(12);
    expect(readings.value('bore_along_pin', 'top')?.sigma).toBeCloseTo(Math.hypot(scatter / Math.SQRT2, step), 10);
    expect(readings.value('bore_along_pin', 'bottom')?.sigma).toBeCloseTo(Math.hypot(scatter, step), 10);
    expect(readings.value('bore_along_pin', 'top')?.contributions[0]).toMatchObject({
      route: 'repeats',
      degreesOfFreedom: 2,
    });
  });

  test('a burette is read twice for one volume, so its step counts twice', () => {
    const readings = gathered([records.quantity(whole, 'head_poured', 10.9, { unit: 'cm3', resolution: 0.1 })]);
    expect(readings.value('head_poured')?.sigma).toBeCloseTo((Math.SQRT2 * 0.1) / Math.sqrt(12), 10);
  });

  test('the certificate goes in, and a lapsed or missing calibration counts a step either way', () => {
    const then = '2026-03-01T10:00:00.000Z';
    expect(calibrationSigma(gauge, then)).toBe(0.004);
    expect(calibrationSigma({ ...gauge, calibrationExpanded: null }, then)).toBe(0);
    expect(calibrationSigma({ ...gauge, checkedUntil: 'never' }, then)).toBeCloseTo(0.01 / Math.sqrt(3), 12);
    expect(calibrationSigma({ ...gauge, calibrationExpanded: 0.04, checkedUntil: 'never' }, then)).toBe(0.02);
    // What lapses later does not reach back.
    expect(calibrationSigma({ ...gauge, checkedUntil: '2026-03-01' }, then)).toBe(0.004);
    expect(calibrationSigma({ ...gauge, checkedUntil: '2026-02-28' }, then)).toBeCloseTo(0.01 / Math.sqrt(3), 12);
    const taken = [
      records.quantity(whole, 'stroke', 54.5, { instrumentId: gaugeId }),
      records.quantity(whole, 'stroke', 54.5),
    ];
    const value = gathered(taken, [], [gauge]).value('stroke');
    // One of the two was read with it: half of its error is in the mean.
    expect(value?.contributions.find(({ route }) => route === 'instrument')?.effect).toBe(0.002);
  });

  test('struck, void and doubtful readings stay in the list and out of the mean; a correction replaces', () => {
    const first = records.quantity(whole, 'stroke', 54.5);
    const slip = records.quantity(whole, 'stroke', 45.5);
    const mended = records.quantity(whole, 'stroke', 54.52, { supersedesId: first.id });
    const old = records.quantity(whole, 'stroke', 54.1);
    const readings = [first, slip, mended, old];
    const marks = [records.mark(slip, 'struck', 'mistyped'), records.mark(old, 'void')];
    const [place] = gathered(readings, marks).places('stroke');
    expect(place?.usable).toEqual([54.52]);
    expect(place?.stamps).toHaveLength(3);
  });

  test('an outlier is marked and still counts', () => {
    const readings = [0.87, 0.88, 1.37].map((value) => records.quantity(whole, 'squish', value, { position: '0' }));
    const [place] = gathered(readings).places('squish');
    expect([...(place?.outlierIds ?? [])]).toEqual([readings[2]?.id]);
    expect(place?.value?.value).toBeCloseTo(1.04, 10);
  });

  test('a place that no list knows is shown with its readings', () => {
    const places = gathered([records.quantity(whole, 'squish', 0.9, { position: '45' })]).places('squish');
    expect(places.at(-1)).toMatchObject({ position: { id: '45', title: '45' }, isRead: true });
  });
});

describe('entries that were measured since', () => {
  test('what was read counts before what was entered, and a void reading does not', () => {
    const entered = { ...whole, mockUp: { ...whole.mockUp, baseGasketMm: 0.5, roomTemperatureC: 18 } };
    expect(asMeasured(entered)).toEqual({ baseGasketMm: 0.5, roomTemperatureC: 18 });
    const room = records.quantity(whole, 'room_temperature', 21, { unit: '°C', resolution: 1 });
    const gaskets = [0.44, 0.46].map((value, index) =>
      records.quantity(whole, 'base_gasket_crushed', value, { position: String(index + 1) }),
    );
    const read = { ...entered, readings: [room, ...gaskets] };
    expect(asMeasured(read).roomTemperatureC).toBe(21);
    expect(asMeasured(read).baseGasketMm).toBeCloseTo(0.45, 12);
    const voided = { ...read, marks: gaskets.map((gasket) => records.mark(gasket, 'void')) };
    expect(asMeasured(voided).baseGasketMm).toBe(0.5);
  });
});
