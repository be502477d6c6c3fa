import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { parseCsv } from '../../../electron/archive/csv.ts';
import { guessMapping, parseNumber, parseTime } from '../../../electron/handlers/csv.ts';
import { makeMockUp, openTestBook } from '../../support/book.ts';

describe('CSV text', () => {
  it.each([
    [
      'a,b\n1,2\n',
      ',',
      [
        ['a', 'b'],
        ['1', '2'],
      ],
    ],
    [
      '\ufeffa;b\r\n"1;5";"x ""y"""',
      ';',
      [
        ['a', 'b'],
        ['1;5', 'x "y"'],
      ],
    ],
    ['"line\nbreak",2', ',', [['line\nbreak', '2']]],
    [
      'a,,\n\n,b',
      ',',
      [
        ['a', '', ''],
        ['', 'b'],
      ],
    ],
    ['"unclosed,1', ',', [['unclosed,1']]],
  ])('%j is split into rows and cells', (text, delimiter, rows) => {
    expect(parseCsv(text, delimiter)).toEqual(rows);
  });

  it.each([
    ['1.5', 'point', 1.5],
    ['0,5', 'comma', 0.5],
    ['0,5', 'point', null],
    ['1.5', 'comma', null],
    ['1,234', 'point', null],
    ['-2', 'comma', -2],
    ['', 'point', null],
    ['0x10', 'point', null],
    ['1e3', 'point', 1000],
    ['Infinity', 'point', null],
    ['\u22120,05', 'comma', -0.05],
    ['.5', 'point', null],
  ] as const)('%j with a decimal %s is %s', (text, decimal, value) => {
    expect(parseNumber(text, decimal)).toBe(value);
  });

  it.each([
    ['2026-03-01', new Date(2026, 2, 1).toISOString()],
    ['2026-03-01 14:05', new Date(2026, 2, 1, 14, 5).toISOString()],
    ['2026-03-01T14:05:06.5Z', '2026-03-01T14:05:06.500Z'],
    ['2026-03-01 14:05 +02:00', '2026-03-01T12:05:00.000Z'],
  ])('%j is a time', (text, time) => {
    expect(new Date(parseTime(text)).toISOString()).toBe(time);
  });

  // Each of these means another day to somebody, or to the engine that reads it.
  it.each(['01.03.2026', '03/04/2026', '46082.5', '2026-02-31', '2026-3-1', 'March 2026', '2026-03-01 25:00'])(
    '%j is refused as a time instead of guessed',
    (text) => {
      expect(parseTime(text)).toBeNaN();
    },
  );

  it('with a comma inside quoted cells has a decimal comma', () => {
    expect(guessMapping('gap,place\n"0,31",top\n"0,29",bottom\n')).toMatchObject({
      delimiter: ',',
      decimal: 'comma',
      valueColumn: 0,
    });
  });

  it.each(['csv.inspect', 'csv.import'] as const)(
    'of two bytes a character is refused by %s with what to do',
    async (name) => {
      const { dispatch } = await openTestBook();
      const mapping = { delimiter: ',', decimal: 'point', hasHeader: false, valueColumn: 0, quantity: 'stroke' };
      const text = 'v\u0000a\u0000l\u0000';
      expect(await dispatch(name, { text, mapping, importId: v7(), mockUpId: v7() })).toMatchObject({
        ok: false,
        error: { message: expect.stringMatching(/save it as CSV with UTF-8/) as string },
      });
    },
  );

  it('gets a first mapping from its header and its numbers', () => {
    expect(
      guessMapping('quantity;position;value;unit\nring_end_gap;top;0,31;mm\nring_end_gap;bottom;0,29;mm\n'),
    ).toMatchObject({
      delimiter: ';',
      decimal: 'comma',
      hasHeader: true,
      quantityColumn: 0,
      positionColumn: 1,
      valueColumn: 2,
      unitColumn: 3,
    });
    expect(guessMapping('place,reading (mm)\ntop,0.31\n')).toMatchObject({ valueColumn: 1, unit: 'mm' });
    expect(guessMapping('place,gap [thou]\ntop,12\n')).toMatchObject({ valueColumn: 1, unit: 'thou' });
    expect(guessMapping('place,gap (second ring)\ntop,0.31\n')).toMatchObject({ unit: '' });
    expect(guessMapping('top,0.31\nbottom,0.29\n')).toMatchObject({
      delimiter: ',',
      decimal: 'point',
      hasHeader: false,
      valueColumn: 1,
    });
  });
});

describe('importing CSV readings', () => {
  const text =
    'quantity;position;value;unit;note\nring_end_gap;top;0,31;mm;first\nring_end_gap;bottom;abc;mm;\n;side;0,3;mm;\nring_end_gap;middle;0,29;mm;\n';

  it('stores each good line as a reading and tells the reason of each refused one', async () => {
    const { client } = await openTestBook();
    const { mockUp } = await makeMockUp(client);
    const { mapping, columns, rowCount } = await client.call('csv.inspect', { text });
    expect(columns).toEqual(['quantity', 'position', 'value', 'unit', 'note']);
    expect(rowCount).toBe(4);
    const importId = v7();
    const report = await client.call('csv.import', { importId, mockUpId: mockUp.id, text, mapping, measuredBy: 'Bo' });
    expect(report.added).toBe(2);
    expect(report.refused).toEqual([
      { line: 3, reason: '"abc" is not a number with a decimal comma' },
      { line: 4, reason: expect.stringMatching(/^quantity/) as string },
    ]);
    const { readings } = await client.call('mockUp.whole', { id: mockUp.id });
    expect(
      readings.map(({ subject, measuredBy }) => [
        subject.what === 'quantity' && [subject.position, subject.value, subject.typedText],
        measuredBy,
      ]),
    ).toEqual([
      [['top', 0.31, '0,31'], 'Bo'],
      [['middle', 0.29, '0,29'], 'Bo'],
    ]);
    expect(await client.call('csv.import', { importId, mockUpId: mockUp.id, text, mapping })).toMatchObject({
      added: 0,
    });
    expect((await client.call('mockUp.whole', { id: mockUp.id })).readings).toHaveLength(2);
  });
});
