import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Turning } from '../../../core/contract/readings.ts';
import { anglesAtDepth, crankFrom } from '../../../core/crank/geometry.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { wrapSigned, wrapTurn } from '../../../core/units.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const crank = { strokeMm: 54.5, rodLengthMm: 110 };

interface Contact {
  readonly depthMm: number;
  readonly turning: Turning;
  /** How far the wheel, or the hand, was off. */
  readonly offDeg?: number;
}

/** A wheel that shows 40 deg at true TDC, with these contacts in this order and the exhaust edge at 91.6 after TDC. */
function measured(contacts: readonly Contact[], offsetMm = 0, modulusDeg = 360): MockUpWhole {
  const records = new BenchRecords();
  const whole = records.mockUp({ forwards: 'clockwise', offsetMm });
  const at = (crankDeg: number) => records.camera(whole, wrapTurn(40 + crankDeg, modulusDeg), modulusDeg);
  const stops = contacts.map(({ depthMm, turning, offDeg = 0 }) => {
    const { upBtdcDeg, downAtdcDeg } = anglesAtDepth(crankFrom({ ...crank, offsetMm }), depthMm);
    return records.stop(whole, turning, at((turning === 'forwards' ? -upBtdcDeg : downAtdcDeg) + offDeg));
  });
  return { ...whole, readings: [...stops, records.edge(whole, 'e', 'opens', 'forwards', at(91.6))] };
}

const opening = (whole: MockUpWhole) => {
  const crankValue = timingResult(whole).events.find(({ key }) => key === 'event:e:opens')?.crank;
  if (crankValue == null) throw new Error('no opening');
  return crankValue;
};

const height = (depthMm: number, offDeg = 0): readonly Contact[] => [
  { depthMm, turning: 'forwards', offDeg },
  { depthMm, turning: 'backwards', offDeg },
];

describe('the stop at several heights', () => {
  test('law: TDC is true from any heights, in any order of their sides, with an offset and on a scale that repeats', () => {
    fc.assert(
      fc.property(
        fc.uniqueArray(fc.integer({ min: 2, max: 8 }), { minLength: 1, maxLength: 3 }),
        fc.array(fc.boolean(), { minLength: 3, maxLength: 3 }),
        fc.constantFrom(0, 1.2),
        fc.constantFrom(360, 180),
        (quarters, isBackFirst, offsetMm, modulusDeg) => {
          const contacts = quarters.flatMap((quarter, index) => {
            const sides = height(quarter * 2);
            return isBackFirst[index] === true ? sides.toReversed() : sides;
          });
          const whole = measured(contacts, offsetMm, modulusDeg);
          expect(wrapSigned(opening(whole).value - 91.6, modulusDeg)).toBeCloseTo(0, 6);
          expect(timingResult(whole).questions).toEqual([]);
        },
      ),
    );
  });

  test('a second height makes TDC surer, as a repeat does', () => {
    const one = timingResult(measured(height(6))).tdc.sigmaDeg ?? 0;
    const both = timingResult(measured([...height(6), ...height(12)])).tdc;
    const two = both.sigmaDeg ?? 0;
    expect(both.sentence).toMatch(/^True TDC from both contacts at 2 heights of the stop, /);
    expect(one).toBeGreaterThan(0);
    expect(two).toBeCloseTo(one / Math.SQRT2, 6);
  });

  test('one side at a new height changes nothing until its other side is there, and that is said', () => {
    const whole = measured([...height(6), { depthMm: 12, turning: 'forwards' }]);
    expect(opening(whole).value).toBeCloseTo(91.6, 6);
    expect(timingResult(whole).questions).toEqual([
      "True TDC: a contact turning forwards at another height of the stop without the side turning backwards: take it, or strike what is wrong. Until then it doesn't count.",
    ]);
  });

  test('heights that disagree are asked about; repeats at one height stay one height', () => {
    const slipped = timingResult(measured([...height(6), ...height(12, 2)]));
    expect(slipped.questions[0]).toMatch(/^True TDC: two heights of the stop put it 2\.00 deg apart, U 0\.\d\d\. Look/);
    const repeated = timingResult(measured([...height(6), ...height(6, 0.3), ...height(6, -0.2)]));
    expect(repeated.questions).toEqual([]);
    expect(repeated.tdc.isFound).toBe(true);
  });
});
