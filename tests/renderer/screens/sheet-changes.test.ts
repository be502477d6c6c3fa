import { describe, expect, it } from 'vitest';
import { sheetChanges, storedSince, versionIn } from '../../../renderer/screens/sheets/sheet-changes.ts';

const sheet = {
  kind: 'timing',
  title: 'Timing sheet',
  subtitle: 'Job: Barrel A',
  footer: 'Portsight 0.1.0, drawn 2026-01-01 10:00',
  diagram: { ports: [1, 2] },
  job: [{ name: 'Customer', value: 'Ada Quill' }],
  events: [{ event: 'Exhaust opens', forwards: '91.5', result: '91.6 ATDC', expanded: '0.40', readings: 4 }],
  results: [{ quantity: 'Exhaust duration', value: '176.8 deg', expanded: '0.50', verdict: 'conforming' }],
  method: ['True TDC from the stop.', 'U = k u with k = 2'],
};

describe('a kept sheet against one drawn now', () => {
  it('of the same figures shows nothing, whatever the time and the drawing', () => {
    expect(sheetChanges(sheet, { ...sheet, footer: 'Portsight 0.2.0, drawn 2036', diagram: null })).toEqual([]);
  });

  it('names a changed figure by what it is of, and a changed line of the method by itself', () => {
    const now = {
      ...sheet,
      results: [{ ...sheet.results[0], value: '177.1 deg' }],
      method: [sheet.method[0], 'U = k u with k = 3'],
    };
    expect(sheetChanges(sheet, now)).toEqual([
      { what: 'Exhaust duration', printed: '176.8 deg', now: '177.1 deg' },
      { what: 'U = k u with k = 2', printed: 'U = k u with k = 2', now: null },
      { what: 'U = k u with k = 3', printed: null, now: 'U = k u with k = 3' },
    ]);
  });

  it('tells a line that was not there, and rows of a plain table by their first cell', () => {
    const table = (rows: string[][]) => ({ ...sheet, tables: [{ title: 'Windows', columns: ['Port', 'mm'], rows }] });
    expect(
      sheetChanges(
        table([['Exhaust', '37']]),
        table([
          ['Exhaust', '38'],
          ['Boost', '20'],
        ]),
      ),
    ).toEqual([
      { what: 'Windows: Exhaust', printed: '37', now: '38' },
      { what: 'Windows: Boost', printed: null, now: '20' },
    ]);
  });

  it('says what was stored since, and which program drew it', () => {
    const at = (createdAt: string) => ({ createdAt }) as never;
    const whole = { readings: [at('2026-01-01T09:00:00.000Z'), at('2026-01-01T11:00:00.000Z')], marks: [] };
    expect(storedSince(whole, '2026-01-01T10:00:00.000Z')).toEqual({ readings: 1, marks: 0 });
    expect(versionIn(sheet)).toBe('0.1.0');
    expect(versionIn(null)).toBeNull();
  });
});
