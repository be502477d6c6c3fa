import { v7 } from 'uuid';
import { describe, expect, it } from 'vitest';
import { parseCsv } from '../../../electron/archive/csv.ts';
import { guessMapping, parseNumber } from '../../../electron/handlers/csv.ts';
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
  ] as const)('%j with a decimal %s is %s', (text, decimal, value) => {
    expect(parseNumber(text, decimal)).toBe(value);
  });

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
