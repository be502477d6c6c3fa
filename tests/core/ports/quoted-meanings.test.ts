import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { portKinds, portKindTable } from '../../../core/ports/kinds.ts';
import { quotedMeanings, quotedReference } from '../../../core/ports/quoted-meanings.ts';
import { refused } from '../../support/refusal.ts';

const short = (kind: (typeof portKinds)[number], edge: 'opens' | 'closes', typed: number) =>
  quotedMeanings(kind, edge, typed).map(({ title, quotedDeg, isReversed }) => [title, quotedDeg, isReversed]);

describe('a bare number for a port event', () => {
  test('88 for an exhaust may be after TDC, before BDC and half a duration, or a duration', () => {
    expect(short('exhaust', 'opens', 88)).toEqual([
      ['after TDC (ATDC)', 88, false],
      ['before BDC (BBDC), which is half a duration', 92, true],
      ['a whole duration', 136, true],
    ]);
    expect(short('exhaust', 'closes', 88)[1]).toEqual(['after BDC (ABDC), which is half a duration', 92, true]);
  });

  test('184 can only be a duration, so nothing is to be asked', () => {
    expect(short('transfer_main', 'opens', 184)).toEqual([['a whole duration', 88, true]]);
  });

  test('a skirt intake counts from TDC, where half its duration is the same number', () => {
    expect(short('intake_skirt', 'opens', 70)).toEqual([
      ['before TDC (BTDC), which is half a duration', 70, false],
      ['after BDC (ABDC)', 110, true],
      ['a whole duration', 35, false],
    ]);
  });

  test('a disc intake has no half duration, a reed has no angle at all', () => {
    expect(short('intake_disc', 'opens', 130)).toEqual([
      ['before TDC (BTDC)', 130, false],
      ['after BDC (ABDC)', 50, true],
    ]);
    expect(short('intake_disc', 'closes', 65)).toEqual([
      ['after TDC (ATDC)', 65, false],
      ['before BDC (BBDC)', 115, true],
    ]);
    expect(quotedMeanings('intake_reed', 'opens', 90)).toEqual([]);
    expect(quotedReference('intake_reed', 'opens')).toBe('');
    expect(quotedReference('intake_disc', 'opens')).toBe('BTDC');
  });

  test('every meaning lies inside the legal angles, each angle once a direction', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...portKinds),
        fc.constantFrom('opens', 'closes'),
        fc.double({ min: 0.5, max: 359.5, noNaN: true }),
        (kind, edge, typed) => {
          const legal = portKindTable[kind].legalDeg;
          const meanings = quotedMeanings(kind, edge, typed);
          for (const { quotedDeg } of meanings) {
            expect(quotedDeg).toBeGreaterThan(legal?.lower ?? 0);
            expect(quotedDeg).toBeLessThan(legal?.upper ?? 0);
          }
          expect(new Set(meanings.map(({ id }) => id)).size).toBe(meanings.length);
        },
      ),
    );
  });

  test('what is no angle of a turn is refused', () => {
    expect(refused(() => quotedMeanings('exhaust', 'opens', 400))).toBe('out_of_range typedDeg');
  });
});
