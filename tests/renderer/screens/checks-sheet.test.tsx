import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Reading } from '../../../core/contract/readings.ts';
import { checkResults } from '../../../core/mockup/check-results.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { checkSheetHtml } from '../../../electron/database/sheet-html.ts';
import { checksSheetData } from '../../../renderer/screens/sheets/checks-sheet-data.ts';
import type { ChecksSheetData } from '../../../renderer/screens/sheets/sheet-data.ts';
import { sheetHtml } from '../../../renderer/screens/sheets/sheet-html.tsx';
import { initialPreferences, type Preferences } from '../../../renderer/state/preference-list.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const records = new BenchRecords();
const whole = records.mockUp({
  specifications: [
    {
      quantity: 'stroke',
      nominal: null,
      lower: 54.4,
      upper: 54.6,
      unit: 'mm',
      source: "maker's sheet",
      sourceDate: '2nd edition',
    },
  ],
});

function dataOf(readings: readonly Reading[], preferences: Preferences = initialPreferences): ChecksSheetData | string {
  const built: MockUpWhole = { ...whole, readings: [...readings] };
  return checksSheetData(checkResults(built), {
    whole: built,
    result: timingResult(built),
    preferences,
    version: '1',
    printedAt: '2026-11-25T10:00:00.000Z',
  });
}

function sheetOf(readings: readonly Reading[], preferences?: Preferences): ChecksSheetData {
  const data = dataOf(readings, preferences);
  if (typeof data === 'string') throw new Error(data);
  return data;
}

const rowsOf = (data: ChecksSheetData) => data.pages.flat().flatMap(({ rows }) => rows);

describe('the sheet of checks', () => {
  test('waits for the first reading', () => {
    expect(dataOf([])).toMatch(/Nothing was read/);
  });

  test('shows readings as typed, result, uncertainty, limits with source, and the state of every step', () => {
    const data = sheetOf([54.5, 54.52].map((value) => records.quantity(whole, 'stroke', value)));
    expect(rowsOf(data)).toEqual([
      expect.objectContaining({
        quantity: 'Stroke, TDC to BDC',
        readings: '54.5; 54.52',
        value: '54.510 mm',
        limits: "54.4 to 54.6 mm, maker's sheet, 2nd edition",
        verdict: 'conforming',
      }),
    ]);
    const titles = data.pages.flat().map(({ title, state }) => `${title}: ${state}`);
    expect(titles).toHaveLength(15);
    expect(titles).toContain('Stroke and rod: done');
    expect(titles).toContain('Squish: open');
  });

  test('a result of several places leaves the readings to the lines of its places', () => {
    const data = sheetOf(['0', '180'].map((position) => records.quantity(whole, 'squish', 0.9, { position })));
    expect(rowsOf(data).find(({ quantity }) => quantity === 'Squish, mean')?.readings).toBe('');
    expect(rowsOf(data).find(({ quantity }) => quantity === 'Squish gap by solder, exhaust side')?.readings).toBe(
      '0.9',
    );
  });

  test('in inches the results are in inches, with a comma where one is wanted', () => {
    const preferences: Preferences = { ...initialPreferences, lengthUnit: 'inch', decimalMark: 'comma' };
    const [row] = rowsOf(sheetOf([records.quantity(whole, 'stroke', 54.5)], preferences));
    expect(row?.value).toBe('2,1457 in');
  });

  test('goes on over as many pages as it needs, without losing or repeating a row', () => {
    const many = Array.from({ length: 120 }, (_, index) =>
      records.quantity(whole, 'squish', 0.9 + index / 1000, { position: String(index * 3) }),
    );
    const data = sheetOf(many);
    expect(data.pages.length).toBeGreaterThan(2);
    const squish = rowsOf(data).filter(({ quantity }) => quantity.startsWith('Squish gap by solder'));
    expect(new Set(squish.map(({ quantity }) => quantity)).size).toBe(squish.length);
    expect(squish.length).toBe(120);
    for (const page of data.pages.slice(1)) expect(page[0]?.rows.length).toBeGreaterThan(0);
    const html = sheetHtml(data, null);
    expect(html).toContain(`page ${data.pages.length} of ${data.pages.length}`);
  });

  test('is a page that may be kept: no script, no address, the words of a person escaped', () => {
    const note = '<script>alert(1)</script> two dots';
    const data = sheetOf([records.quantity(whole, 'marks', 1, { unit: '', resolution: null, note })]);
    const html = sheetHtml(data, null);
    expect(() => checkSheetHtml(html)).not.toThrow();
    expect(html).toContain('&lt;script&gt;alert(1)&lt;/script&gt; two dots');
  });
});
