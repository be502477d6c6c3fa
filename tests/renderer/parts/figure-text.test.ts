import { describe, expect, test } from 'vitest';
import { stepQuantity } from '../../../core/mockup/steps.ts';
import { exactly, valueWith } from '../../../core/uncertainty/value.ts';
import { expandedText, figureText } from '../../../renderer/parts/figure-text.ts';
import { asTyped } from '../../../renderer/screens/checks/as-typed.ts';

const metric = { lengthUnit: 'mm', decimalMark: 'point' } as const;
const inch = { lengthUnit: 'inch', decimalMark: 'comma' } as const;
const u = (sigma: number) => valueWith(1, sigma, 'test', 'resolution');

describe('figures as they are shown', () => {
  test('lengths are in the unit that the person reads, all else in its own', () => {
    expect(figureText(-0.125, 'mm', 3, metric)).toBe('−0.125 mm');
    expect(figureText(0.87, 'mm', 3, inch)).toBe('0,0343 in');
    expect(figureText(17.04, 'deg', 1, inch)).toBe('17,0 deg');
    expect(figureText(12.317, '1', 2, metric)).toBe('12.32');
  });

  test('an uncertainty never reads as none, unless there is none', () => {
    expect(expandedText(u(0.006), 'mm', 3, metric)).toBe('0.012');
    expect(expandedText(u(0.001), '1', 2, metric)).toBe('0.002');
    expect(expandedText(u(0.0001), 'mm', 3, inch)).toBe('0,00001');
    expect(expandedText(exactly(1), 'mm', 3, metric)).toBe('0.000');
  });

  test('a bare number keeps the unit that it was typed in, one with a unit stays as it is', () => {
    const stroke = stepQuantity('stroke');
    const torque = stepQuantity('torque_barrel');
    if (stroke === null || torque === null) throw new Error('the steps have no stroke or no torque');
    expect(asTyped(' 54.5 ', stroke, metric)).toBe('54.5 mm');
    expect(asTyped('2,1457', stroke, inch)).toBe('2,1457 in');
    expect(asTyped('34.5 thou', stroke, metric)).toBe('34.5 thou');
    expect(asTyped('22', torque, metric)).toBe('22 N·m');
  });
});
