import { expect, test } from 'vitest';
import { placedAngle } from '../../../../core/mockup/edge-readings.ts';
import { typedAngle, wheelSentence, wheelSigmaDeg } from '../../../../renderer/screens/bench/typed-angle.ts';
import { type Instrument, newInstrument } from '../../../../renderer/state/instruments.ts';

const calibrated: Instrument = {
  ...newInstrument('degree_wheel'),
  name: 'Wheel 457',
  resolution: 0.25,
  calibratedOn: '2026-01-10',
  calibrationDueOn: '2099-01-10',
  calibrationExpanded: 0.2,
};
const step = 0.25 / Math.sqrt(12);

/** Standard uncertainty of one reading of this wheel, as the events take it. */
function sigmaOf(wheel: Instrument): number {
  const outcome = typedAngle({
    text: '92,5',
    resolutionText: String(wheel.resolution),
    reading: { scale: '0-360', growsForwards: true },
    side: null,
    zero: null,
    wheel: { id: wheel.id, sigmaDeg: wheelSigmaDeg(wheel) },
  });
  if (!outcome.ok) throw new Error(outcome.sentence);
  expect(outcome.angle.instrumentId).toBe(wheel.id);
  const placed = placedAngle({ by: 'typed', setupId: wheel.id, ...outcome.angle }, []);
  return placed?.read.readerSigmaDeg ?? Number.NaN;
}

test('a listed wheel brings its step and half of what its certificate states', () => {
  expect(sigmaOf(calibrated)).toBeCloseTo(Math.hypot(step, 0.1), 12);
  expect(wheelSentence(calibrated)).toBe(
    'Wheel 457: calibrated on 2026-01-10; its step of 0.25 deg and U 0.2 deg go into the uncertainty.',
  );
});

test('a wheel that was never calibrated, or is overdue, may be out by a whole step either way', () => {
  for (const [change, why] of [
    [{ calibratedOn: '' }, 'never calibrated'],
    [{ calibrationDueOn: '2026-02-01' }, 'calibration was due on 2026-02-01'],
  ] as const) {
    const wheel = { ...calibrated, calibrationExpanded: null, ...change };
    expect(sigmaOf(wheel)).toBeCloseTo(Math.hypot(step, 0.25 / Math.sqrt(3)), 12);
    expect(wheelSentence(wheel)).toContain(why);
  }
});

test('without a wheel of the list the step that is typed is all that counts', () => {
  const outcome = typedAngle({
    text: '10',
    resolutionText: '0,5',
    reading: { scale: '0-360', growsForwards: false },
    side: null,
    zero: null,
  });
  expect(outcome).toMatchObject({
    ok: true,
    angle: { wheelReadingDeg: 350, instrumentId: null, instrumentSigmaDeg: 0, resolutionDeg: 0.5 },
  });
});
