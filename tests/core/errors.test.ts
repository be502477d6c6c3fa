import { describe, expect, test } from 'vitest';
import {
  atLeast,
  between,
  countOf,
  notNegative,
  numbers,
  positive,
  present,
  presentOr,
  refuse,
  sameLength,
  wheelReading,
  within,
  wordsOfField,
} from '../../core/checks.ts';
import { EnvironmentError, InputError, inputErrorCodes, shownValue } from '../../core/errors.ts';
import { refusal, refused } from '../support/refusal.ts';

describe('errors', () => {
  test('an input error carries all it knows and its sentence', () => {
    const details = { code: 'negative', field: 'x', value: -1, allowed: '0 or more', message: 'No.' } as const;
    const error = new InputError(details);
    expect(error).toBeInstanceOf(Error);
    expect({ ...error, message: error.message }).toEqual({ ...details, name: 'InputError' });
  });

  test('an environment error says what happened and what to do', () => {
    const cause = new Error('EACCES');
    const error = new EnvironmentError('folder_read_only', 'The folder is read-only.', 'Choose another.', { cause });
    expect(error.message).toBe('The folder is read-only. Choose another.');
    expect([error.name, error.code, error.nextStep, error.cause]).toEqual([
      'EnvironmentError',
      'folder_read_only',
      'Choose another.',
      cause,
    ]);
  });

  test('there are eleven kinds of input error', () => {
    expect(inputErrorCodes).toHaveLength(11);
    expect(new Set(inputErrorCodes).size).toBe(11);
  });

  test.each([
    [undefined, 'empty'],
    [null, 'empty'],
    ['12,5', '"12,5"'],
    [Number.NaN, 'NaN'],
    [0.1 + 0.2, '0.3'],
    [-12.5, '-12.5'],
    [[1, 2], '[1,2]'],
    [true, 'true'],
  ])('%s is shown as %s', (value, shown) => {
    expect(shownValue(value)).toBe(shown);
  });
});

describe('checks', () => {
  test.each([
    ['rodLengthMm', 'rod length', 'mm'],
    ['areaMm2', 'area', 'mm²'],
    ['openAtdcDeg', 'open after TDC', 'deg'],
    ['caseVolumeBdcCc', 'case volume BDC', 'cm³'],
    ['uBoreMm', 'uncertainty of bore', 'mm'],
    ['positionBtdcMm', 'position before TDC', 'mm'],
    ['tdcSigma', 'TDC sigma', ''],
    ['clearanceVolumeCc', 'clearance volume', 'cm³'],
    ['speedRpm', 'speed', 'rev/min'],
    ['waveSpeedMps', 'wave speed', 'm/s'],
    ['accelerationMps2', 'acceleration', 'm/s²'],
    ['temperatureCelsius', 'temperature', '°C'],
    ['ringRiseK', 'ring rise', 'K'],
    ['massG', 'mass', 'g'],
    ['powerKw', 'power', 'kW'],
    ['modulusGPa', 'modulus', 'GPa'],
    ['readings[2]', 'readings[2]', ''],
    ['targetRatio', 'target ratio', ''],
    ['main_left edgeDepthMm', 'main left edge depth', 'mm'],
    ['mm', 'mm', ''],
    ['', '', ''],
  ])('the field %s reads "%s" in "%s"', (field, words, unit) => {
    expect(wordsOfField(field)).toEqual({ words, unit });
  });

  test('a refusal puts its sentence together from field, value and range', () => {
    expect(refusal(() => refuse('out_of_range', 'stopDepthMm', 60, 'less than 54 mm', 'measure it again.'))).toEqual({
      code: 'out_of_range',
      field: 'stopDepthMm',
      value: 60,
      allowed: 'less than 54 mm',
      message: 'Stop depth is 60 mm; it must be less than 54 mm: measure it again.',
    });
    expect(refusal(() => refuse('missing', 'shape', 'square', 'round', 'choose.')).message).toBe(
      'Shape is "square"; it must be round: choose.',
    );
  });

  test.each([undefined, null, 'twelve', '12', Number.NaN, Number.NEGATIVE_INFINITY, true, [1], {}])(
    '%s in a number field is missing',
    (value) => {
      for (const check of [present, positive, notNegative, wheelReading, countOfRequired]) {
        expect(refused(() => check('strokeMm', value))).toBe('missing strokeMm');
      }
      expect(refused(() => between('strokeMm', value, 0, 1, ''))).toBe('missing strokeMm');
      expect(refused(() => within('strokeMm', value, 0, 1, ''))).toBe('missing strokeMm');
    },
  );

  function countOfRequired(field: string, value: unknown): number {
    return countOf(field, value ?? Number.NaN);
  }

  test('what is present passes unchanged', () => {
    expect(present('x', 0)).toBe(0);
    expect(positive('x', 2e-9)).toBe(2e-9);
    expect(notNegative('x', 0)).toBe(0);
    expect(presentOr('x', undefined, 7)).toBe(7);
    expect(presentOr('x', null, 7)).toBe(7);
    expect(presentOr('x', 3, 7)).toBe(3);
    expect(refused(() => presentOr('x', 'three', 7))).toBe('missing x');
    expect(refusal(() => present('boreMm', undefined)).message).toBe(
      'Bore is empty; it must be a finite number: enter it, or measure it first.',
    );
  });

  test('borders have a slack of 1e-9', () => {
    expect(refused(() => positive('x', 1e-9))).toBe('non_positive x');
    expect(refusal(() => positive('strokeMm', -2)).message).toBe(
      'Stroke is -2 mm; it must be greater than 0 mm: check the reading and its sign.',
    );
    expect(notNegative('x', -1e-9)).toBe(-1e-9);
    expect(refusal(() => notNegative('cutMm', -0.1)).message).toBe(
      'Cut is -0.1 mm; it must be 0 mm or more: enter the size without a sign.',
    );
    expect(refused(() => notNegative('x', -2e-9))).toBe('negative x');
    for (const edge of [5, 5 + 1e-9, 10, 10 - 1e-9]) {
      expect(refused(() => between('x', edge, 5, 10, ''))).toBe('out_of_range x');
    }
    expect(between('x', 5 + 2e-9, 5, 10, '')).toBe(5 + 2e-9);
    expect(between('x', 10 - 2e-9, 5, 10, '')).toBe(10 - 2e-9);
    expect(within('x', 5 - 1e-9, 5, 10, '')).toBe(5 - 1e-9);
    expect(within('x', 10 + 1e-9, 5, 10, '')).toBe(10 + 1e-9);
    for (const edge of [5 - 2e-9, 10 + 2e-9])
      expect(refused(() => within('x', edge, 5, 10, ''))).toBe('out_of_range x');
    expect(refusal(() => between('angleDeg', 0, 0, 180, 'turn on.')).message).toBe(
      'Angle is 0 deg; it must be between 0 and 180 deg, both excluded: turn on.',
    );
    expect(refusal(() => within('angleDeg', -1, 0, 180, 'turn on.')).message).toBe(
      'Angle is -1 deg; it must be from 0 to 180 deg: turn on.',
    );
  });

  test('a wheel reading lies from 0 to just under 360', () => {
    expect(wheelReading('x', 0)).toBe(0);
    expect(wheelReading('x', 359.999)).toBe(359.999);
    for (const reading of [360, -0.001]) expect(refused(() => wheelReading('xDeg', reading))).toBe('out_of_range xDeg');
    expect(refusal(() => wheelReading('xDeg', 360)).message).toBe(
      'X is 360 deg; it must be from 0 to just under 360 deg: give 360 as 0 and count upwards from 0.',
    );
  });

  test('lists name the entry at fault', () => {
    expect(numbers('gaps', [1, 2])).toEqual([1, 2]);
    expect(numbers('gaps', [])).toEqual([]);
    expect(refusal(() => numbers('gaps', 3)).message).toBe(
      'Gaps is 3; it must be a list of numbers: enter the readings.',
    );
    expect(refused(() => numbers('gaps', [1, null, 3]))).toBe('missing gaps[2]');
    expect(atLeast('gaps', [1, 2], 2, '')).toEqual([1, 2]);
    expect(refusal(() => atLeast('gaps', [1], 3, 'why'))).toEqual({
      code: 'insufficient_data',
      field: 'gaps',
      value: [1],
      allowed: 'at least 3 readings',
      message: 'Gaps is [1]; it must be at least 3 readings: why; take 2 more.',
    });
    expect(refusal(() => atLeast('gaps', [], 1, 'why')).allowed).toBe('at least 1 reading');
  });

  test('a count is a whole number above 0, one where absent', () => {
    expect(countOf('count', undefined)).toBe(1);
    expect(countOf('count', 4)).toBe(4);
    expect(countOf('count', 2 + 1e-10)).toBe(2);
    expect(refused(() => countOf('count', 0))).toBe('non_positive count');
    expect(refusal(() => countOf('count', 1.5)).message).toBe(
      'Count is 1.5; it must be a whole number: count them again.',
    );
  });

  test('lists that belong together are equally long', () => {
    expect(() => sameLength('a', [1], 'b', [2])).not.toThrow();
    expect(refusal(() => sameLength('readings', [1], 'angles', [2, 3])).message).toBe(
      'Readings is [1]; it must be as long as angles (2): give one value of each for every place.',
    );
  });
});
