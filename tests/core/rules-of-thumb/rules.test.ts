import { describe, expect, test } from 'vitest';
import { crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import {
  halfWayAdvice,
  halfWaySkirtTimeArea,
  halfWayTargets,
  halfWayTimeArea,
} from '../../../core/rules-of-thumb/half-way-time-area.ts';
import { ringFlutterLimit, ringFlutterRangeMm } from '../../../core/rules-of-thumb/ring-flutter.ts';
import { adviceCaution, isWithin, validityStatement } from '../../../core/rules-of-thumb/rule.ts';
import {
  blowdownAdvice,
  boreOutOfRoundAdvice,
  boreTaperAdvice,
  crankRunOutAdvice,
  deckAdvice,
  exhaustWidthAdvice,
  flatnessAdvice,
  pistonClearanceAdvice,
  ringGapAdvice,
  rodSideClearanceAdvice,
  squishAdvice,
  squishSpreadAdvice,
  transferDurationAdvice,
  typedTarget,
} from '../../../core/rules-of-thumb/trade-figures.ts';
import { soundSpeed, tradeWaveSpeedMps, tunedLength } from '../../../core/rules-of-thumb/tuned-length.ts';
import { refusal, refused } from '../../support/refusal.ts';

describe('validity', () => {
  const validity = { quantity: 'speed', unit: 'rev/min', lower: 6000, upper: 10_000 };

  test('outside its range the result says so', () => {
    expect([5999, 6000, 10_000, 10_001].map((speed) => isWithin(validity, speed))).toEqual([false, true, true, false]);
    expect(validityStatement(validity, 8000)).toBe('Stated for speed of 6000 to 10000 rev/min.');
    expect(validityStatement(validity, 12_345.678)).toBe(
      'Outside its range: stated for speed of 6000 to 10000 rev/min, here 12345.7 rev/min.',
    );
    expect(refused(() => isWithin(validity, Number.NaN))).toBe('missing speed');
    expect(adviceCaution).toContain("maker's manual");
  });
});

describe('ring flutter', () => {
  test('every line of the table is met and the middle lies between', () => {
    const lines = [
      [0.039, 138_000],
      [0.047, 106_000],
      [0.063, 80_000],
      [0.094, 53_000],
      [0.125, 40_000],
    ] as const;
    for (const [inch, feet] of lines) expect(ringFlutterLimit(inch * 25.4)).toBeCloseTo(feet * 0.3048, 6);
    expect(ringFlutterLimit(0.055 * 25.4)).toBeCloseTo(93_000 * 0.3048, 6);
    expect(ringFlutterRangeMm).toEqual({ lower: 0.039 * 25.4, upper: 0.125 * 25.4 });
  });

  test('the table is not extended', () => {
    expect(refusal(() => ringFlutterLimit(0.8))).toMatchObject({
      code: 'out_of_range',
      message:
        "Ring thickness is 0.8 mm; it must be from 0.991 to 3.175 mm, the lines of the table: outside it ask the ring's maker.",
    });
    expect(refused(() => ringFlutterLimit(3.18))).toBe('out_of_range ringThicknessMm');
    expect(refused(() => ringFlutterLimit(0))).toBe('non_positive ringThicknessMm');
    expect(ringFlutterLimit(ringFlutterRangeMm.lower - 5e-10)).toBeCloseTo(138_000 * 0.3048, 2);
    expect(ringFlutterLimit(ringFlutterRangeMm.upper + 5e-10)).toBeCloseTo(40_000 * 0.3048, 2);
  });
});

describe('tuned length', () => {
  test('the trade form in inches and feet is the same thing', () => {
    expect(tunedLength(193, tradeWaveSpeedMps, 12_500)).toBeCloseTo(((193 * 1700) / 12_500) * 25.4, 9);
    expect(refused(() => tunedLength(360, 500, 9000))).toBe('out_of_range exhaustDurationDeg');
    expect(refused(() => tunedLength(190, 0, 9000))).toBe('non_positive waveSpeedMps');
    expect(refused(() => tunedLength(190, 500, 0))).toBe('non_positive speedRpm');
  });

  test('sound is faster in hotter gas', () => {
    expect(soundSpeed(1.4, 287, 20)).toBeCloseTo(343.2, 1);
    expect(soundSpeed(1.4, 287, 20 + 293.15 * 3) / soundSpeed(1.4, 287, 20)).toBeCloseTo(2, 12);
    expect(refusal(() => soundSpeed(1, 287, 20)).message).toBe(
      'Gamma is 1; it must be greater than 1: hot exhaust gas has about 1.3 to 1.4.',
    );
    expect(refused(() => soundSpeed(1.4, 0, 20))).toBe('non_positive gasConstant');
    expect(refusal(() => soundSpeed(1.4, 287, -273.15)).message).toBe(
      'Temperature is -273.15 °C; it must be above -273.15 °C: nothing is colder.',
    );
    expect(soundSpeed(1.4, 287, -273.14)).toBeGreaterThan(0);
  });
});

describe('half-way time-area', () => {
  const geometry = { strokeMm: 54, rodLengthMm: 110 };
  const input = { geometry, window: { widthMm: 20, heightMm: 40 }, boreMm: 54, speedRpm: 6000 };

  test('is the area half-way to BDC times the open time over the swept volume', () => {
    const crank = crankFrom(geometry);
    const roof = depthAt(crank, 100);
    const result = halfWayTimeArea({ ...input, roofDepthMm: roof });
    expect(result.meanAreaCm2).toBeCloseTo((20 * (depthAt(crank, 140) - roof)) / 100, 9);
    expect(result.openTimeS).toBeCloseTo(160 / 36_000, 12);
    expect(result.timeAreaPerVolume).toBeCloseTo(
      (result.meanAreaCm2 * result.openTimeS) / ((Math.PI * 54 ** 3) / 4000),
      12,
    );
    expect(halfWayTimeArea({ ...input, roofDepthMm: roof, count: 2 }).meanAreaCm2).toBeCloseTo(
      2 * result.meanAreaCm2,
      12,
    );
  });

  test('for a skirt intake half-way means half-way to TDC', () => {
    const crank = crankFrom(geometry);
    const edge = depthAt(crank, 70);
    const result = halfWaySkirtTimeArea({ ...input, skirtDepthMm: edge });
    expect(result.meanAreaCm2).toBeCloseTo((20 * (edge - depthAt(crank, 35))) / 100, 9);
    expect(result.openTimeS).toBeCloseTo(140 / 36_000, 12);
    const offset = { strokeMm: 54, rodLengthMm: 110, offsetMm: 2 };
    const upstroke = crankFrom(offset);
    const floor = depthAt(upstroke, -70);
    expect(halfWaySkirtTimeArea({ ...input, geometry: offset, skirtDepthMm: floor }).meanAreaCm2).toBeCloseTo(
      (20 * (floor - depthAt(upstroke, -35))) / 100,
      9,
    );
    expect(refused(() => halfWaySkirtTimeArea({ ...input, skirtDepthMm: 0 }))).toBe('out_of_range skirtDepthMm');
  });

  test('refuses by name and brings its published ranges', () => {
    expect(refused(() => halfWayTimeArea({ ...input, roofDepthMm: 54 }))).toBe('out_of_range roofDepthMm');
    expect(refused(() => halfWayTimeArea({ ...input, roofDepthMm: 30, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => halfWayTimeArea({ ...input, roofDepthMm: 30, speedRpm: 0 }))).toBe('non_positive speedRpm');
    expect(refused(() => halfWayTimeArea({ ...input, roofDepthMm: 30, count: 0 }))).toBe('non_positive count');
    expect(halfWayTargets).toMatchSnapshot();
    expect((['exhaust', 'transfer', 'skirt_intake'] as const).map(halfWayAdvice)).toMatchSnapshot();
  });
});

describe('trade figures', () => {
  test('are advice with source and range', () => {
    expect([
      blowdownAdvice(130),
      blowdownAdvice(150),
      blowdownAdvice(180),
      transferDurationAdvice(8000),
      exhaustWidthAdvice(54),
      ringGapAdvice(54),
      squishAdvice('air'),
      squishAdvice('liquid'),
      flatnessAdvice,
      boreTaperAdvice,
      boreOutOfRoundAdvice,
      pistonClearanceAdvice,
      crankRunOutAdvice,
      rodSideClearanceAdvice,
      deckAdvice,
      squishSpreadAdvice,
      typedTarget('Blowdown', 28, 31, 'deg', 'own barrels'),
    ]).toMatchSnapshot();
  });

  test('bands join at their borders and end at their range', () => {
    expect(blowdownAdvice(140).upper).toBe(18);
    expect(blowdownAdvice(140.1).lower).toBe(18);
    expect(blowdownAdvice(170).upper).toBe(25);
    expect(blowdownAdvice(100)).toMatchObject({ lower: 10, isWithinValidity: false });
    expect(blowdownAdvice(195)).toMatchObject({ lower: 25, isWithinValidity: false });
    expect(blowdownAdvice(195).statement).toContain('Outside its range');
    expect(transferDurationAdvice(6000).lower).toBe(120);
    expect(transferDurationAdvice(10_000).upper).toBe(128);
    expect(transferDurationAdvice(9000).lower).toBe(126);
    expect(transferDurationAdvice(14_000)).toMatchObject({ lower: 128, isWithinValidity: false });
    expect(transferDurationAdvice(3000)).toMatchObject({ lower: 120, isWithinValidity: false });
    expect(refused(() => blowdownAdvice(0))).toBe('out_of_range exhaustDurationDeg');
    expect(refused(() => transferDurationAdvice(0))).toBe('non_positive speedRpm');
    expect(refused(() => exhaustWidthAdvice(0))).toBe('non_positive boreMm');
    expect(refused(() => ringGapAdvice(0))).toBe('non_positive boreMm');
  });
});
