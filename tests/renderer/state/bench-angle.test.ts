import { expect, test } from 'vitest';
import type { AngleReading, WheelSetup } from '../../../core/contract/readings.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { crankAngle, rotationInUse, tdcOfSetup } from '../../../renderer/state/bench-angle.ts';
import { setupsWorthCarryingOn } from '../../../renderer/state/bench-kept-setup.ts';
import { BenchRecords } from '../../support/bench-records.ts';

/**
 * Contacts 40 degrees either side of TDC, which lies at 200 from the first reference. The camera is knocked with the
 * crank at 30 from there, and again with the crank at 350 from the second reference: the third reference lies at 20.
 */
function knockedTwice(forwards: 'clockwise' | 'anticlockwise', contactsWith: 0 | 1 | 2 = 0) {
  const records = new BenchRecords();
  const bare = records.mockUp({ forwards });
  const [first] = bare.setups;
  if (first === undefined) throw new Error('a mock-up without a set-up');
  const next = (before: WheelSetup, continuesAtDeg: number): WheelSetup => ({
    ...first,
    id: records.id(),
    continuesSetupId: before.id,
    continuesAtDeg,
  });
  const second = next(first, 30);
  const third = next(second, 350);
  const apart: WheelSetup = { ...first, id: records.id() };
  const setups = [first, second, third, apart];
  const referenceDeg = [0, 30, 20][contactsWith] ?? 0;
  const read = (rotationDeg: number): AngleReading => ({
    ...records.camera(bare, rotationDeg - referenceDeg),
    setupId: setups[contactsWith]?.id ?? '',
  });
  const whole = { ...bare, setups };
  const [before, after] = forwards === 'clockwise' ? [160, 240] : [240, 160];
  const readings = [records.stop(whole, 'forwards', read(before)), records.stop(whole, 'backwards', read(after))];
  return { whole: { ...whole, readings }, stamps: joinStamps(readings, []), first, second, third, apart };
}

test.each([
  // The crank a quarter turn on from TDC in the picture: at 290 from the first reference, 260 and 270 from the others.
  ['clockwise', 90],
  ['anticlockwise', 270],
] as const)('the live angle counts on over a knock, forwards %s', (forwards, crankDeg) => {
  const { whole, stamps, first, second, third, apart } = knockedTwice(forwards);
  expect(crankAngle(whole, stamps, first.id, 290)).toBeCloseTo(crankDeg, 9);
  expect(crankAngle(whole, stamps, second.id, 260)).toBeCloseTo(crankDeg, 9);
  expect(crankAngle(whole, stamps, third.id, 270)).toBeCloseTo(crankDeg, 9);
  expect(crankAngle(whole, stamps, apart.id, 290)).toBeNull();
  expect(tdcOfSetup(whole, stamps, apart.id)).toBeNull();
});

test.each([1, 2] as const)(
  'contacts taken after the knock give the set-ups before it their TDC as well, %s',
  (index) => {
    const { whole, stamps, first, third } = knockedTwice('clockwise', index);
    expect(tdcOfSetup(whole, stamps, first.id)).toBeCloseTo(200, 9);
    expect(crankAngle(whole, stamps, first.id, 290)).toBeCloseTo(90, 9);
    expect(crankAngle(whole, stamps, third.id, 270)).toBeCloseTo(90, 9);
  },
);

test('there is no live angle while forwards is not known', () => {
  const { whole, stamps, first, third } = knockedTwice('clockwise');
  const setups = whole.setups.map((one) => (one.id === third.id ? { ...one, forwards: null } : one));
  expect(crankAngle({ ...whole, setups }, stamps, third.id, 270)).toBeNull();
  expect(crankAngle({ ...whole, setups }, stamps, first.id, 290)).toBeCloseTo(90, 9);
});

test('stamps from before a knock keep their place on the tape and on the way to the edge', () => {
  const { whole, first, third, apart } = knockedTwice('clockwise');
  const [contact] = whole.readings;
  if (contact === undefined || contact.subject.what === 'quantity') throw new Error('no contact');
  const { angle } = contact.subject;
  expect(rotationInUse(whole, first.id, angle)).toBeCloseTo(160, 9);
  expect(rotationInUse(whole, third.id, angle)).toBeCloseTo(140, 9);
  expect(rotationInUse(whole, apart.id, angle)).toBeNull();
  expect(rotationInUse(whole, 'gone', angle)).toBeNull();
});

test('a set-up without stamps of its own is worth carrying on where it carries stamps on itself', () => {
  const { whole, first, second, third } = knockedTwice('clockwise');
  expect(setupsWorthCarryingOn(whole.setups, whole.readings)).toEqual(new Set([first.id, second.id, third.id]));
  expect(setupsWorthCarryingOn(whole.setups, [])).toEqual(new Set());
});
