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
  test('are asked about where a number has more than one meaning, and only for events', () => {
    if (event === null) throw new Error('the exhaust has no event');
    expect(event.reference).toBe('ATDC');
    expect(meaningsOfLimits(typed(null, 86, 90), null, event).map(({ id }) => id)).toEqual(['near', 'far', 'duration']);
    expect(eventOf('duration:e', ports)).toBeNull();
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
