import { describe, expect, test } from 'vitest';
import type { Specification } from '../../../core/contract/parts.ts';
import { eventOf, inQuotedReference, meaningsOfLimits } from '../../../renderer/state/event-limits.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const { barrel } = new BenchRecords().mockUp();
const ports = barrel.kind === 'barrel' ? barrel.data.ports : [];
const event = eventOf('event:e:opens', ports);

const typed = (nominal: number | null, lower: number | null, upper: number | null): Specification => ({
  quantity: 'event:e:opens',
  nominal,
  lower,
  upper,
  unit: 'deg',
  source: 'manual',
  sourceDate: '',
});

describe('limits typed for a port event', () => {
  test('are asked about where a number has more than one meaning, and only for the angles of a port', () => {
    if (event === null) throw new Error('the exhaust has no event');
    expect(event.reference).toBe('ATDC');
    expect(meaningsOfLimits(typed(null, 86, 90), null, event).map(({ id }) => id)).toEqual(['near', 'far', 'duration']);
    expect(eventOf('tdc', ports)).toBeNull();
    expect(eventOf('duration:gone', ports)).toBeNull();
    expect(eventOf('event:gone:opens', ports)).toBeNull();
  });

  test('before BDC a larger number is an earlier opening: lower and upper change places', () => {
    expect(inQuotedReference(typed(88, 86, 90), null, event, 'far')).toMatchObject({
      nominal: 92,
      lower: 90,
      upper: 94,
    });
    expect(inQuotedReference(typed(null, 86, null), null, event, 'far')).toMatchObject({ lower: null, upper: 94 });
    expect(inQuotedReference(typed(92, 90, 94), null, event, 'near')).toMatchObject({
      nominal: 92,
      lower: 90,
      upper: 94,
    });
    expect(inQuotedReference(typed(null, 182, 186), null, event, null)).toMatchObject({ lower: 87, upper: 89 });
  });

  test('numbers that can not all count the same are refused, kept ones are not asked about again', () => {
    expect(inQuotedReference(typed(null, 88, 184), null, event, 'far')).toBeNull();
    const kept = typed(92, 90, 94);
    if (event === null) throw new Error('the exhaust has no event');
    expect(meaningsOfLimits(kept, kept, event)).toEqual([]);
    expect(inQuotedReference({ ...kept, source: 'other' }, kept, event, null)).toMatchObject({
      nominal: 92,
      lower: 90,
    });
    expect(inQuotedReference(typed(null, null, null), null, event, null)).toMatchObject({ lower: null, upper: null });
  });

  test('other quantities stay as typed', () => {
    expect(inQuotedReference(typed(176, 174, 178), null, null, null)).toMatchObject({ lower: 174, upper: 178 });
  });
});

describe('limits typed for a duration', () => {
  const duration = eventOf('duration:e', ports);

  test('may be the duration, half of it or an opening while they are under half a turn, and nothing else from there on', () => {
    if (duration === null) throw new Error('the exhaust has no duration');
    expect(
      meaningsOfLimits(typed(null, 88, 90), null, duration).map(({ id, title, quotedDeg }) => [id, title, quotedDeg]),
    ).toEqual([
      ['duration', 'the whole duration', 88],
      ['half_duration', 'half a duration, which is before BDC (BBDC)', 176],
      ['opens', 'its opening after TDC (ATDC)', 184],
    ]);
    expect(meaningsOfLimits(typed(184, 182, 186), null, duration).map(({ id }) => id)).toEqual(['duration']);
  });

  test('are kept as durations; a later opening is a shorter one, so lower and upper change places', () => {
    expect(inQuotedReference(typed(88, 87, 89), null, duration, 'half_duration')).toMatchObject({
      nominal: 176,
      lower: 174,
      upper: 178,
    });
    expect(inQuotedReference(typed(92, 91, 93), null, duration, 'opens')).toMatchObject({
      nominal: 176,
      lower: 174,
      upper: 178,
    });
    expect(inQuotedReference(typed(null, 126, 130), null, duration, 'duration')).toMatchObject({
      lower: 126,
      upper: 130,
    });
    expect(inQuotedReference(typed(184, 182, 186), null, duration, null)).toMatchObject({ lower: 182, upper: 186 });
    expect(inQuotedReference(typed(null, 88, 184), null, duration, 'half_duration')).toBeNull();
  });

  test('of a piston-skirt intake count from TDC, those of a disc are never anything but durations', () => {
    const [skirt, disc] = [
      { portId: 'i', kind: 'intake_skirt', label: 'Intake' },
      { portId: 'd', kind: 'intake_disc', label: 'Disc' },
    ] as const;
    const records = new BenchRecords().mockUp({ ports: [skirt, disc] });
    const own = records.barrel.kind === 'barrel' ? records.barrel.data.ports : [];
    const titles = (quantity: string): string[] => {
      const of = eventOf(quantity, own);
      return of === null
        ? []
        : meaningsOfLimits(typed(72, null, null), null, of).map(({ title, quotedDeg }) => `${title}: ${quotedDeg}`);
    };
    expect(titles('duration:i')).toEqual([
      'the whole duration: 72',
      'half a duration, which is before TDC (BTDC): 144',
      'its opening after BDC (ABDC): 216',
    ]);
    expect(titles('duration:d')).toEqual(['the whole duration: 72']);
  });
});

describe('limits typed for the blowdown', () => {
  const blowdown = eventOf('blowdown', ports);

  test('may be the blowdown or the difference of the durations, which is twice that', () => {
    if (blowdown === null) throw new Error('no blowdown');
    const meanings = meaningsOfLimits(typed(null, 24, 28), null, blowdown);
    expect(meanings.map(({ id, quotedDeg }) => [id, quotedDeg])).toEqual([
      ['blowdown', 24],
      ['duration_difference', 12],
    ]);
    expect(inQuotedReference(typed(52, 48, 56), null, blowdown, 'duration_difference')).toMatchObject({
      nominal: 26,
      lower: 24,
      upper: 28,
    });
    expect(inQuotedReference(typed(null, 24, 28), null, blowdown, 'blowdown')).toMatchObject({ lower: 24, upper: 28 });
  });

  test('of nothing need no answer, and beside another number take its', () => {
    if (blowdown === null) throw new Error('no blowdown');
    expect(meaningsOfLimits(typed(null, 0, null), null, blowdown)).toEqual([]);
    expect(inQuotedReference(typed(null, 0, null), null, blowdown, null)).toMatchObject({ lower: 0 });
    expect(meaningsOfLimits(typed(null, 0, 52), null, blowdown).map(({ quotedDeg }) => quotedDeg)).toEqual([52, 26]);
    expect(inQuotedReference(typed(null, 0, 52), null, blowdown, 'duration_difference')).toMatchObject({
      lower: 0,
      upper: 26,
    });
  });
});
