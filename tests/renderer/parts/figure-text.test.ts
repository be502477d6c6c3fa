import { describe, expect, test } from 'vitest';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { stepQuantity } from '../../../core/mockup/steps.ts';
import { exactly, valueWith } from '../../../core/uncertainty/value.ts';
import { expandedText, figureText } from '../../../renderer/parts/figure-text.ts';
import { limitsWithUnit } from '../../../renderer/parts/limits-text.ts';
import { writtenUnit } from '../../../renderer/parts/unit-words.ts';
import { asTyped } from '../../../renderer/screens/checks/as-typed.ts';
import { readingText } from '../../../renderer/screens/checks/reading-chips.tsx';
import { usualStepOf } from '../../../renderer/screens/checks/usual-step.ts';
import { cellExpanded } from '../../../renderer/screens/compare/compare-words.ts';
import { BenchRecords } from '../../support/bench-records.ts';

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

  test('units are written as the trade writes them, on every screen alike', () => {
    expect(['1', 'deg', 'cm3', 's mm2', 's/m'].map(writtenUnit)).toEqual(['', 'deg', 'cm³', 's·mm²', 's·mm²/cm³']);
    expect(figureText(10.9, 'cm3', 2, metric)).toBe('10.90 cm³');
  });

  test('where everything counts as exact, Compare shows no uncertainty', () => {
    const area = { isCrankAngle: false, unit: 'mm2', decimals: 1 };
    expect(cellExpanded(area, exactly(786), metric)).toBe('');
    expect(cellExpanded(area, u(0.2), metric)).toBe('± 0.4');
  });

  test('limits of a length say that they are in mm, and so does a bare number beside inches', () => {
    const limits = { quantity: 'squish', nominal: null, lower: 0.85, upper: 1.1, source: 'manual', sourceDate: '' };
    expect(limitsWithUnit({ ...limits, unit: 'mm' })).toBe('0.85 to 1.1 mm');
    expect(limitsWithUnit({ ...limits, unit: 'deg' })).toBe('0.85 to 1.1');
    expect(limitsWithUnit(null)).toBeNull();
    const records = new BenchRecords();
    const whole = records.mockUp();
    const [bare] = joinStamps([records.quantity(whole, 'stroke', 54.5)], []);
    if (bare === undefined) throw new Error('no stamp');
    expect(readingText(bare)).toBe('54.5 mm');
  });

  test('in inches an instrument has its own usual steps, of which a metric one is none', () => {
    const step = (kind: 'length' | 'volume', usualStep: number | null, units: typeof metric | typeof inch) =>
      usualStepOf({ kind, usualStep }, units);
    expect(step('length', 0.01, metric)).toBe(0.01);
    expect(step('length', 0.01, inch)).toBeCloseTo(0.0127, 10);
    expect(step('length', 0.02, inch)).toBeCloseTo(0.0254, 10);
    expect(step('length', 0.05, inch)).toBeCloseTo(0.0508, 10);
    expect(step('length', 0.5, inch)).toBe(0.5);
    expect(step('volume', 0.05, inch)).toBe(0.05);
    expect(step('length', null, inch)).toBeNull();
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
