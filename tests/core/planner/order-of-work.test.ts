import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type MockUpChange, plannedEffect, sizesAfter } from '../../../core/planner/effects.ts';
import { figureItems, figureWords } from '../../../core/planner/figure-list.ts';
import { mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { isNoChange, orderOfWork, together } from '../../../core/planner/order-of-work.ts';
import { planFor } from '../../../core/planner/plan-for.ts';
import { uncertainEffects } from '../../../core/planner/uncertain-effect.ts';
import { uncertainFigure } from '../../../core/planner/uncertain-figures.ts';
import { voidTable } from '../../../core/planner/void-table.ts';
import { kartMockUp } from '../../support/example-mock-up.ts';
import { finite } from '../../support/generators.ts';

const everything: MockUpChange = {
  strokeChangeMm: 0.2,
  rodLengthChangeMm: -0.1,
  baseGasketChangeMm: 0.3,
  baseCutMm: 0.1,
  deckCutMm: 0.05,
  headGasketChangeMm: 0.1,
  headCutMm: 0.12,
  squishBandCutMm: 0.02,
  bowlCutCc: 0.3,
  edgeGroundMm: { exhaust: 0.4, intake: 0.2 },
  farEdgeGroundMm: { exhaust: 0.3, intake: 0.1 },
};

describe('order of work', () => {
  test('barrel height before ports, ports before squish, the bowl last', () => {
    expect(orderOfWork(everything, kartMockUp).map(({ kind, portId }) => [kind, portId])).toEqual([
      ['stroke', null],
      ['rod', null],
      ['base_gasket', null],
      ['barrel_foot', null],
      ['deck', null],
      ['port_roof', 'exhaust'],
      ['port_floor', 'exhaust'],
      ['port_roof', 'intake'],
      ['port_floor', 'intake'],
      ['head_gasket', null],
      ['head_face', null],
      ['squish_band', null],
      ['bowl', null],
    ]);
  });

  test('the roof of an exhaust and the floor of a skirt intake are the edges that decide', () => {
    const amounts = Object.fromEntries(
      orderOfWork(everything, kartMockUp).map(({ kind, portId, amount }) => [`${kind} ${portId ?? ''}`, amount]),
    );
    expect(amounts).toMatchObject({
      'port_roof exhaust': 0.4,
      'port_floor exhaust': 0.3,
      'port_roof intake': 0.1,
      'port_floor intake': 0.2,
    });
  });

  test('every step says what to mind and voids what the one table says', () => {
    for (const { voids, cautions } of orderOfWork(everything, kartMockUp)) {
      expect(voidTable[voids].voids.length).toBeGreaterThan(0);
      expect(cautions.length).toBeGreaterThan(0);
    }
    const ground = orderOfWork({ edgeGroundMm: { exhaust: 0.4 } }, kartMockUp)[0];
    expect(ground?.cautions.join(' ')).toMatch(/goggles/);
    expect(ground?.cautions.join(' ')).toMatch(/dust/);
  });

  test('its words are those that were agreed', () => {
    expect(orderOfWork(everything, kartMockUp)).toMatchSnapshot();
  });

  test('nothing planned is no work', () => {
    expect(orderOfWork({ baseGasketChangeMm: 0, edgeGroundMm: { exhaust: 0 } }, kartMockUp)).toEqual([]);
    expect(isNoChange({ baseGasketChangeMm: 0, edgeGroundMm: { exhaust: 0 }, headCutMm: undefined })).toBe(true);
    expect(isNoChange({})).toBe(true);
    expect(isNoChange({ farEdgeGroundMm: { boost: 0.1 } })).toBe(false);
    expect(isNoChange({ bowlCutCc: 0.1 })).toBe(false);
  });
});

describe('changes together', () => {
  test('law: two changes made together are the one made after the other', () => {
    const small = fc.record({
      baseGasketChangeMm: finite(-0.2, 0.3),
      headGasketChangeMm: finite(-0.1, 0.3),
      headCutMm: finite(0, 0.1),
      bowlCutCc: finite(0, 0.5),
      edgeGroundMm: fc.record({ exhaust: finite(0, 0.5) }),
    });
    fc.assert(
      fc.property(small, small, (one, other) => {
        const inTurn = mockUpFigures(sizesAfter(sizesAfter(kartMockUp, one), other));
        const atOnce = mockUpFigures(sizesAfter(kartMockUp, together([one, other])));
        for (const item of figureItems(kartMockUp)) {
          const expected = item.pick(inTurn);
          if (expected === null) expect(item.pick(atOnce)).toBeNull();
          else expect(item.pick(atOnce)).toBeCloseTo(expected, 7);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('the steps of a plan taken over together reach its targets', () => {
    const { steps } = planFor(kartMockUp, {
      port: { portId: 'exhaust', durationDeg: 199 },
      squishMm: 0.9,
      ratio: { kind: 'full_stroke', value: 12 },
    });
    const { after } = plannedEffect(kartMockUp, together(steps.map(({ change }) => change)));
    expect(after.ports[0]?.durationDeg).toBeCloseTo(199, 8);
    expect(after.squishMm).toBeCloseTo(0.9, 10);
    expect(after.fullStrokeRatio).toBeCloseTo(12, 8);
  });
});

describe('the list of figures', () => {
  test('every figure has its unit, how it follows and its source as agreed', () => {
    expect(figureWords).toMatchSnapshot();
  });

  test('keys and limits of every figure of a port and of the whole', () => {
    const items = figureItems({ ...kartMockUp, ports: kartMockUp.ports.slice(0, 1) });
    expect(items.map(({ key, limitKeys, unit }) => [key, limitKeys, unit])).toMatchSnapshot();
  });

  test('a reed has no figures of its own, a disc has no areas', () => {
    const sizes = {
      ...kartMockUp,
      ports: [
        { portId: 'reed', kind: 'intake_reed' as const },
        { portId: 'disc', kind: 'intake_disc' as const, disc: { openBtdcDeg: 140, closeAtdcDeg: 65 } },
      ],
    };
    const items = figureItems(sizes);
    expect(items.some(({ portId }) => portId === 'reed')).toBe(false);
    const figures = mockUpFigures(sizes);
    const known = items.filter((item) => item.portId === 'disc' && item.pick(figures) !== null);
    expect(known.map(({ kind }) => kind)).toEqual(['opens', 'closes', 'duration']);
    const [item] = items.filter(({ kind, portId }) => kind === 'opens' && portId === 'disc');
    expect(item?.pick(mockUpFigures({ ...kartMockUp, ports: [] }))).toBeNull();
  });
});

describe('effects with their uncertainty', () => {
  const uncertainties = {
    squishMm: 0.02,
    clearanceVolumeCc: 0.08,
    deckMm: 0.01,
    edgeDepthMm: { exhaust: 0.05, boost: 0.06 },
  };
  const sizes = { ...kartMockUp, deckMm: 0.2, ignitionAdvanceDeg: 18 };
  const effects = uncertainEffects(sizes, uncertainties, { baseGasketChangeMm: 0.3, headCutMm: 0.1 });
  const effect = (key: string) => effects.find(({ item }) => item.key === key);

  test('are those of the planner, figure by figure', () => {
    const planned = plannedEffect(sizes, { baseGasketChangeMm: 0.3, headCutMm: 0.1 });
    expect(effects.length).toBeGreaterThan(50);
    for (const { item, before, after, difference } of effects) {
      expect(before.value).toBe(item.pick(planned.before));
      expect(after?.value).toBe(item.pick(planned.after));
      expect(difference?.value).toBeCloseTo((after?.value ?? 0) - before.value, 10);
    }
  });

  test('what both sides share cancels in the difference', () => {
    expect(effect('squish')?.before.sigma).toBeCloseTo(0.02, 12);
    expect(effect('squish')?.after?.sigma).toBeCloseTo(0.02, 12);
    expect(effect('squish')?.difference).toMatchObject({
      value: expect.closeTo(0.2, 12),
      sigma: expect.closeTo(0, 12),
    });
    const duration = effect('duration:exhaust');
    expect(duration?.difference?.sigma).toBeLessThan((duration?.before.sigma ?? 0) / 20);
    expect(effect('deck')?.difference?.value).toBeCloseTo(0.3, 12);
    expect(effect('ignition_btdc')?.difference?.value).toBe(0);
  });

  test('a single figure has the same uncertainty when asked for alone', () => {
    const alone = uncertainFigure(sizes, uncertainties, ({ blowdown }) => blowdown?.blowdownDeg ?? null);
    expect(effect('blowdown')?.before).toEqual(alone);
  });

  test('what a mock-up does not have is left out', () => {
    const bare = { geometry: sizes.geometry, boreMm: sizes.boreMm, ports: sizes.ports.slice(0, 1) };
    const keys = uncertainEffects(bare, {}, {}).map(({ item }) => item.key);
    expect(keys).toEqual(['event:exhaust:opens', 'event:exhaust:closes', 'duration:exhaust', 'full_area:exhaust']);
  });
});
