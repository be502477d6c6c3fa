import { describe, expect, test } from 'vitest';
import { type MockUpFigures, type MockUpSizes, mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { uncertainFigure } from '../../../core/planner/uncertain-figures.ts';
import { ratioWithUncertainty } from '../../../core/volumes/ratio.ts';
import { kartMockUp } from '../../support/example-mock-up.ts';
import { refused } from '../../support/refusal.ts';

const straight: MockUpSizes = { ...kartMockUp, geometry: { strokeMm: 54, rodLengthMm: 110 } };

describe('figures with uncertainty', () => {
  test('the full-stroke ratio follows its derivatives', () => {
    const found = uncertainFigure(
      straight,
      { boreMm: 0.01, strokeMm: 0.02, clearanceVolumeCc: 0.05 },
      (figures) => figures.fullStrokeRatio,
    );
    const known = ratioWithUncertainty({
      boreMm: straight.boreMm,
      strokeMm: 54,
      clearanceVolumeCc: 10.4,
      uBoreMm: 0.01,
      uStrokeMm: 0.02,
      uClearanceCc: 0.05,
    });
    expect(found?.value).toBeCloseTo(known.ratio, 9);
    expect(found?.sigma).toBeCloseTo(known.standardUncertainty, 4);
    expect(found?.contributions.map(({ from, route }) => [from, route])).toEqual([
      ['stroke', 'propagated'],
      ['bore', 'propagated'],
      ['clearance volume', 'propagated'],
    ]);
  });

  test('each size moves what depends on it', () => {
    const duration = (sizes: MockUpSizes) => mockUpFigures(sizes).ports[0]?.durationDeg as number;
    const only = (
      uncertainties: object,
      pick: (figures: MockUpFigures) => number | null = (figures) => figures.ports[0]?.durationDeg ?? null,
    ) => uncertainFigure(kartMockUp, uncertainties, pick);
    const withGeometry = (change: object) =>
      duration({ ...kartMockUp, geometry: { ...kartMockUp.geometry, ...change } });
    expect(only({ rodLengthMm: 0.5 })?.sigma).toBeCloseTo(
      Math.abs(withGeometry({ rodLengthMm: 108.5 }) - withGeometry({ rodLengthMm: 107.5 })) / 2,
      9,
    );
    expect(only({ offsetMm: 0.1 })?.sigma).toBeCloseTo(
      Math.abs(withGeometry({ offsetMm: 0.5 }) - withGeometry({ offsetMm: 0.3 })) / 2,
      9,
    );
    const depth = only({ edgeDepthMm: { exhaust: 0.05, nowhere: 0.05 } });
    expect(depth?.sigma).toBeGreaterThan(0.1);
    expect(depth?.contributions.map(({ from, effect }) => [from, effect === 0])).toEqual([
      ['height of exhaust', false],
      ['height of nowhere', true],
    ]);
    const speed = (figures: MockUpFigures) => figures.squishVelocity?.maxSquishVelocityMps ?? null;
    for (const size of ['squishMm', 'bowlDiameterMm', 'squishTaperDeg'] as const) {
      expect(only({ [size]: 0.05 }, speed)?.sigma).toBeGreaterThan(0);
    }
    expect(only({ crankcaseVolumeBdcCc: 2 }, (figures) => figures.crankcaseRatio)?.sigma).toBeGreaterThan(0.002);
    expect(only({})).toMatchObject({ sigma: 0, contributions: [] });
  });

  test('effects keep their sign: a deeper roof is open for less, a wider bore compresses more', () => {
    const effectOn = (uncertainties: object, pick: (figures: MockUpFigures) => number | null) =>
      uncertainFigure(kartMockUp, uncertainties, pick)?.contributions.map(({ effect }) => Math.sign(effect));
    expect(effectOn({ edgeDepthMm: { exhaust: 0.05 } }, (figures) => figures.ports[0]?.durationDeg ?? null)).toEqual([
      -1,
    ]);
    expect(effectOn({ boreMm: 0.05, clearanceVolumeCc: 0.1 }, (figures) => figures.fullStrokeRatio)).toEqual([1, -1]);
    expect(effectOn({ strokeMm: 0.05 }, (figures) => figures.travelMm)).toEqual([1]);
  });

  test('a straight crank may have an uncertain offset', () => {
    const found = uncertainFigure(straight, { offsetMm: 0.2 }, (figures) => figures.ports[0]?.closesAtdcDeg ?? null);
    expect(found?.sigma).toBeGreaterThan(0);
  });

  test('what a mock-up does not have, has no uncertainty either', () => {
    const bare = { ...kartMockUp, clearanceVolumeCc: undefined };
    expect(uncertainFigure(bare, { clearanceVolumeCc: 0.1 }, (figures) => figures.fullStrokeRatio)).toBeNull();
    expect(uncertainFigure(bare, { clearanceVolumeCc: 0.1 }, (figures) => figures.squishMm)?.sigma).toBe(0);
    expect(refused(() => uncertainFigure(kartMockUp, { boreMm: -1 }, (figures) => figures.squishMm))).toBe(
      'negative bore uncertainty',
    );
  });
});
