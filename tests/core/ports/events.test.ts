import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  atdcFromAbdc,
  atdcFromBbdc,
  atdcFromBtdc,
  blowdown,
  blowdownFromDurations,
  discDuration,
  discIntakeEvents,
  durationBetween,
  eventsFromTwoDirections,
  portEvents,
  quotedAngle,
  quotedEvent,
  reedTiming,
  skirtIntakeEvents,
  symmetricDuration,
  timeMs,
} from '../../../core/ports/events.ts';
import { isExhaust, isIntake, isTransfer, portKinds, portKindTable } from '../../../core/ports/kinds.ts';
import { wrapSigned, wrapTurn } from '../../../core/units.ts';
import { angles, finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const inside = finite(0.001, 179.999);

describe('ways of quoting an angle', () => {
  test('each of the four comes back to the same crank angle', () => {
    fc.assert(
      fc.property(angles, (angle) => {
        const quoted = quotedAngle(angle);
        const back = [
          quoted.atdcDeg,
          atdcFromBtdc(quoted.btdcDeg),
          atdcFromAbdc(quoted.abdcDeg),
          atdcFromBbdc(quoted.bbdcDeg),
        ];
        for (const one of back) expect(Math.abs(wrapSigned(one - angle))).toBeLessThan(1e-9);
        expect(quoted.bbdcDeg).toBeCloseTo(-quoted.abdcDeg, 12);
      }),
    );
  });

  test('exhaust 92 after TDC is 88 before BDC', () => {
    expect(quotedAngle(92)).toEqual({ atdcDeg: 92, btdcDeg: 268, abdcDeg: -88, bbdcDeg: 88 });
    expect(quotedAngle(-92).btdcDeg).toBe(92);
    expect(atdcFromBtdc(92)).toBe(268);
    expect(atdcFromAbdc(88)).toBe(268);
    expect(atdcFromBbdc(88)).toBe(92);
    expect(refused(() => quotedAngle(Number.NaN))).toBe('missing crankAngleDeg');
    expect(refused(() => atdcFromBtdc(Number.NaN))).toBe('missing btdcDeg');
    expect(refused(() => atdcFromAbdc(Number.NaN))).toBe('missing abdcDeg');
    expect(refused(() => atdcFromBbdc(Number.NaN))).toBe('missing bbdcDeg');
  });
});

describe('events of a port', () => {
  test('duration is what is left of the turn, seen from either dead centre', () => {
    fc.assert(
      fc.property(inside, inside, (open, close) => {
        const events = portEvents(open, close);
        expect(events.durationDeg).toBeCloseTo(events.openBbdcDeg + events.closeAbdcDeg, 9);
        expect(events.durationDeg).toBeCloseTo(wrapTurn(360 - close - open), 9);
        expect(events.asymmetryDeg).toBeCloseTo(-portEvents(close, open).asymmetryDeg, 12);
        expect(symmetricDuration(open)).toBeCloseTo(portEvents(open, open).durationDeg, 9);
        expect(skirtIntakeEvents(open, close).durationDeg).toBeCloseTo(360 - events.durationDeg, 9);
      }),
    );
  });

  test('edges lie strictly between the dead centres', () => {
    for (const bad of [0, 180, -1, 181]) {
      expect(refused(() => portEvents(bad, 90))).toBe('out_of_range openAtdcDeg');
      expect(refused(() => portEvents(90, bad))).toBe('out_of_range closeBtdcDeg');
      expect(refused(() => symmetricDuration(bad))).toBe('out_of_range openAtdcDeg');
      expect(refused(() => skirtIntakeEvents(bad, 90))).toBe('out_of_range openBtdcDeg');
      expect(refused(() => skirtIntakeEvents(90, bad))).toBe('out_of_range closeAtdcDeg');
      expect(refused(() => blowdown(bad, 90))).toBe('out_of_range exhaustOpenAtdcDeg');
      expect(refused(() => blowdown(90, bad))).toBe('out_of_range transferOpenAtdcDeg');
    }
    expect(skirtIntakeEvents(78, 77)).toEqual({ durationDeg: 155, asymmetryDeg: 1 });
  });

  test('a disc may open before BDC and close before TDC, as long as its total is part of a turn', () => {
    expect(discIntakeEvents(200, -10)).toEqual({ durationDeg: 190, openAbdcDeg: -20, midAtdcDeg: -105 });
    expect(refused(() => discIntakeEvents(20, -20))).toBe('inconsistent closeAtdcDeg');
    expect(refused(() => discIntakeEvents(200, 160))).toBe('inconsistent closeAtdcDeg');
    expect(discIntakeEvents(200, 159.9).durationDeg).toBeCloseTo(359.9, 9);
    expect(refused(() => discIntakeEvents(360, -100))).toBe('out_of_range openBtdcDeg');
    expect(refused(() => discIntakeEvents(100, 361))).toBe('out_of_range closeAtdcDeg');
    expect(refusal(() => discIntakeEvents(20, -25)).message).toBe(
      'Close after TDC is -25 deg; it must be more than -20 and less than 340 deg for this opening: together they must be more than 0 and less than a turn.',
    );
    expect(discDuration(150, 62)).toBe(212);
    expect(refusal(() => discDuration(300, 60)).message).toContain('less than 300 deg with this port');
    expect(discDuration(299.9, 60)).toBeCloseTo(359.9, 9);
    expect(refused(() => discDuration(0, 60))).toBe('non_positive cutoutAngleDeg');
    expect(refused(() => discDuration(60, 0))).toBe('non_positive portAngleDeg');
  });

  test('a reed has no timing', () => {
    expect(refusal(() => reedTiming())).toEqual({
      code: 'not_applicable',
      field: 'kind',
      value: 'reed',
      allowed: 'a port with fixed timing',
      message:
        'Kind is "reed"; it must be a port with fixed timing: a reed has none; record petal lift and stop height instead.',
    });
  });

  test('blowdown is the lead of the exhaust, in time where a speed is known', () => {
    expect(blowdown(83.5, 116.5, 11_000)).toEqual({ blowdownDeg: 33, blowdownTimeMs: 0.5 });
    expect(blowdown(83.5, 116.5)).toEqual({ blowdownDeg: 33 });
    expect(timeMs(36, 6000)).toBe(1);
    expect(refused(() => blowdown(90, 90))).toBe('inconsistent transferOpenAtdcDeg');
    expect(refused(() => blowdown(90, 90 + 1e-10))).toBe('inconsistent transferOpenAtdcDeg');
    expect(refused(() => blowdown(90, 100, 0))).toBe('non_positive speedRpm');
    expect(blowdownFromDurations(176, 119)).toBe(28.5);
    expect(refused(() => blowdownFromDurations(119, 119))).toBe('inconsistent transferDurationDeg');
    expect(refused(() => blowdownFromDurations(360, 119))).toBe('out_of_range exhaustDurationDeg');
    expect(refused(() => blowdownFromDurations(176, 0))).toBe('out_of_range transferDurationDeg');
    expect(refusal(() => blowdownFromDurations(100, 120)).message).toBe(
      'Transfer duration is 120 deg; it must be shorter than that of the exhaust: check whether the two are swapped.',
    );
  });

  test('without offset both roads to the blowdown agree', () => {
    fc.assert(
      fc.property(finite(60, 100), finite(1, 60), (exhaust, lead) => {
        const direct = blowdown(exhaust, exhaust + lead).blowdownDeg;
        const indirect = blowdownFromDurations(symmetricDuration(exhaust), symmetricDuration(exhaust + lead));
        expect(indirect).toBeCloseTo(direct, 9);
      }),
    );
  });
});

describe('readings both ways', () => {
  test('zero error and slack come out, whatever they were', () => {
    fc.assert(
      fc.property(finite(70, 120), finite(-180, 179.9), finite(-3, 3), (open, zero, slack) => {
        const read = (angle: number) => wrapTurn(angle + zero);
        const result = eventsFromTwoDirections({
          openForwardDeg: read(open + slack / 2),
          openBackwardDeg: read(open - slack / 2),
          closeForwardDeg: read(360 - open + slack / 2),
          closeBackwardDeg: read(360 - open - slack / 2),
        });
        expect(result.durationDeg).toBeCloseTo(360 - 2 * open, 8);
        expect(result.openAtdcDeg).toBeCloseTo(open, 8);
        expect(Math.abs(wrapSigned(result.zeroErrorDeg - zero))).toBeLessThan(1e-8);
        expect(result.openDirectionDifferenceDeg).toBeCloseTo(slack, 8);
        expect(result.closeDirectionDifferenceDeg).toBeCloseTo(slack, 8);
        expect(Math.abs(wrapSigned(result.openReadingDeg - open - zero))).toBeLessThan(1e-8);
        expect(Math.abs(wrapSigned(result.closeReadingDeg + open - zero))).toBeLessThan(1e-8);
      }),
    );
  });

  test('readings off the scale are refused by name', () => {
    const good = { openForwardDeg: 84, openBackwardDeg: 83, closeForwardDeg: 277, closeBackwardDeg: 276 };
    for (const field of Object.keys(good)) {
      expect(refused(() => eventsFromTwoDirections({ ...good, [field]: 360 }))).toBe(`out_of_range ${field}`);
    }
    expect(refused(() => eventsFromTwoDirections({ ...good, openBackwardDeg: 264 }))).toBe('singular readings');
  });

  test('a duration runs forwards from opening to closing', () => {
    expect(durationBetween(83, 277)).toBe(194);
    expect(durationBetween(290, 70)).toBe(140);
    expect(refused(() => durationBetween(Number.NaN, 1))).toBe('missing openCrankAngleDeg');
    expect(refused(() => durationBetween(1, Number.NaN))).toBe('missing closeCrankAngleDeg');
  });
});

describe('kinds of port', () => {
  test('each kind has a row under its own name and belongs to one family', () => {
    for (const kind of portKinds) {
      const row = portKindTable[kind];
      expect(row.kind).toBe(kind);
      expect([isExhaust(kind), isTransfer(kind), isIntake(kind)].filter(Boolean)).toHaveLength(1);
      expect(row.edges.length === 0).toBe(row.quoted === null);
      expect(row.hasAreaLaw).toBe(row.control === 'crown' || row.control === 'skirt');
      expect(row.decidedBy).toBe(row.control === 'crown' ? 'roof' : row.control === 'skirt' ? 'floor' : null);
      expect(row.isSymmetric).toBe(row.openAround !== null);
    }
  });

  test('the table is as agreed', () => {
    expect(portKindTable).toMatchSnapshot();
  });

  test('an event is quoted as its kind is used to', () => {
    expect(quotedEvent('exhaust', 'opens', 83.5)).toBe(83.5);
    expect(quotedEvent('exhaust', 'closes', 276.5)).toBe(83.5);
    expect(quotedEvent('intake_skirt', 'opens', 290)).toBe(70);
    expect(quotedEvent('intake_skirt', 'closes', 70)).toBe(70);
    expect(quotedEvent('intake_disc', 'opens', 215)).toBe(145);
    expect(quotedEvent('intake_disc', 'closes', 68)).toBe(68);
    expect(quotedEvent('intake_disc', 'closes', 350)).toBe(-10);
    expect(refused(() => quotedEvent('boost', 'opens', 200))).toBe('out_of_range opensAtdcDeg');
    expect(refused(() => quotedEvent('boost', 'closes', 100))).toBe('out_of_range closesBtdcDeg');
    expect(refused(() => quotedEvent('intake_skirt', 'opens', 100))).toBe('out_of_range opensBtdcDeg');
    expect(refused(() => quotedEvent('intake_reed', 'opens', 100))).toBe('not_applicable kind');
    expect(refused(() => quotedEvent('boost', 'opens', Number.NaN))).toBe('missing crankAngleDeg');
    expect(refusal(() => quotedEvent('boost', 'opens', 200)).message).toBe(
      'Opens after TDC is 200 deg; it must be between 0 and 180 deg, both excluded: Boost port opens within half a turn of TDC; check which edge and which dead centre it is.',
    );
  });
});
