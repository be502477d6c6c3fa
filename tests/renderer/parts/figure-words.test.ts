import { describe, expect, test } from 'vitest';
import { portSchema } from '../../../core/contract/parts.ts';
import { figureTitle, shownDifference, shownExpanded, shownFigure } from '../../../renderer/parts/figure-words.ts';
import { shownSizes } from '../../../renderer/parts/shown-size.ts';

const metric = shownSizes({ lengthUnit: 'mm', decimalMark: 'point' });
const inches = shownSizes({ lengthUnit: 'inch', decimalMark: 'comma' });

describe('figures as text', () => {
  test.each([
    [{ kind: 'squish', unit: 'mm' }, 0.95, '0.95 mm', '0,0374 in'],
    [{ kind: 'deck', unit: 'mm' }, -0.2, '−0.20 mm', '−0,0079 in'],
    [{ kind: 'full_area', unit: 'mm2' }, 786.4, '786 mm²', '1,219 in²'],
    [{ kind: 'opens', unit: 'deg' }, 91.6, '91.6 ATDC', '91,6 ATDC'],
    [{ kind: 'opens', unit: 'deg' }, -72.04, '72.0 BTDC', '72,0 BTDC'],
    [{ kind: 'duration', unit: 'deg' }, 176.04, '176.0 deg', '176,0 deg'],
    [{ kind: 'specific_time_area', unit: 's/m' }, 0.014, '0.01400 s·mm²/cm³', '0,01400 s·mm²/cm³'],
    [{ kind: 'trapped_ratio', unit: '1' }, 7.126, '7.13', '7,13'],
  ] as const)('%j of %f', (item, value, inMetric, inInches) => {
    expect(shownFigure(item, value, metric)).toBe(inMetric);
    expect(shownFigure(item, value, inches)).toBe(inInches);
  });

  test.each([
    ['mm', 0.05, '0.10'],
    ['mm', 0.003, '0.006'],
    ['s mm2', 0.0062, '0.012'],
    ['s mm2', 0.0002, '0.0004'],
    ['deg', 0.16, '0.32'],
    ['deg mm2', 415, '830'],
    ['s/m', 0.0000001, '0.0000002'],
  ] as const)('U of a figure in %s with u %f', (unit, sigma, text) => {
    expect(shownExpanded({ unit }, sigma, metric)).toBe(text);
  });

  test('a difference has its sign, and nothing has none', () => {
    expect(shownDifference({ unit: 'mm' }, 0.3, metric)).toBe('+0.30');
    expect(shownDifference({ unit: 'mm' }, -0.3, inches)).toBe('−0,0118');
    expect(shownDifference({ unit: 'deg' }, -0.0001, metric)).toBe('0.00');
    expect(shownDifference({ unit: 'mm2' }, 12.4, metric)).toBe('+12');
  });

  test('titles speak of a group of windows in the plural, and of the whole without a port', () => {
    const exhaust = portSchema.parse({ portId: 'e', kind: 'exhaust', label: 'Exhaust' });
    const transfers = portSchema.parse({ portId: 't', kind: 'transfer_main', label: 'Transfers', side: 'both' });
    const ports = [exhaust, transfers];
    expect(figureTitle({ kind: 'opens', portId: 'e' }, ports)).toBe('Exhaust opens');
    expect(figureTitle({ kind: 'closes', portId: 't' }, ports)).toBe('Transfers close');
    expect(figureTitle({ kind: 'duration', portId: 't' }, ports)).toBe('Transfers, duration');
    expect(figureTitle({ kind: 'squish', portId: null }, ports)).toBe('Squish, smallest');
  });
});
