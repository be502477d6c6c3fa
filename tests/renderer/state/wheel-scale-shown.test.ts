import { describe, expect, test } from 'vitest';
import {
  comparePointer,
  scaleAtReference,
  scaleCarriedOn,
  scaleDifference,
  scaleShown,
} from '../../../renderer/state/wheel-scale-shown.ts';

const wheel = (forwards: 'clockwise' | 'anticlockwise', shownAtReferenceDeg: number) => ({
  wheelReading: { scale: '0-360' as const, growsForwards: true },
  shownAtReferenceDeg,
  forwards,
  eccentricityOfRadius: 0.004,
  continuesSetupId: null,
});

describe.each(['clockwise', 'anticlockwise'] as const)('forwards %s', (forwards) => {
  /** The pointer shows 100 with the wheel at 30. */
  const content = wheel(forwards, scaleAtReference(100, 30, forwards));
  const shownAt = (rotationDeg: number) => {
    const shown = scaleShown(content, rotationDeg);
    if (shown === null) throw new Error('nothing is shown');
    return shown;
  };
  const step = forwards === 'clockwise' ? 1 : -1;

  test('a number entered once is right at every place, and over a knock', () => {
    expect(shownAt(30).risingDeg).toBeCloseTo(100, 9);
    expect(shownAt(30 + step * 45).risingDeg).toBeCloseTo(145, 9);
    const later = wheel(forwards, scaleCarriedOn(content.shownAtReferenceDeg, 250, forwards) ?? Number.NaN);
    expect(scaleShown(later, 30 - 250)?.risingDeg).toBeCloseTo(100, 9);
    expect(scaleCarriedOn(null, 250, forwards)).toBeNull();
    expect(scaleCarriedOn(5, 250, null)).toBeNull();
  });

  test('a pointer that was moved is told from one that is only read roughly, whichever way it went', () => {
    const shown = shownAt(30 + step * 262);
    expect(shown.risingDeg).toBeCloseTo(2, 9);
    expect(comparePointer(content, shown, 2.5)).toMatchObject({ agrees: true });
    expect(comparePointer(content, shown, 1.6)).toMatchObject({ agrees: true });
    const further = comparePointer(content, shown, 3.5);
    expect(further).toMatchObject({ agrees: false });
    expect(further.byDeg).toBeCloseTo(1.5, 9);
    expect(further.sentences[0]).toContain('1.5 deg off what it should show, further on turning forwards');
    const back = comparePointer(content, shown, 359.5);
    expect(back.byDeg).toBeCloseTo(-2.5, 9);
    expect(back.sentences[0]).toContain('further back');
    expect(back.sentences.join(' ')).toContain('Check TDC by the stop from both sides to tell them apart');
    expect(back.sentences.join(' ')).not.toContain('carried on');
    const carried = comparePointer({ ...content, continuesSetupId: 'earlier' }, shown, 359.5);
    expect(carried.sentences.join(' ')).toContain('the crank was turned before the readings were carried on');
  });

  test('a zero that stands beside TDC is explained, with the side on which it lies', () => {
    const shown = shownAt(30);
    expect(scaleDifference(content, shown, 100.2).sentence).toContain('agree');
    expect(scaleDifference(content, shown, 92).sentence).toContain('8.0 deg before true TDC');
    expect(scaleDifference(content, shown, 108).sentence).toContain('8.0 deg after true TDC');
  });
});
