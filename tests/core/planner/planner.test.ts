import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { portTimeArea, skirtTimeArea } from '../../../core/area/time-area.ts';
import { crankFrom } from '../../../core/crank/geometry.ts';
import { type MockUpChange, plannedEffect, sizesAfter } from '../../../core/planner/effects.ts';
import { type MockUpPort, type MockUpSizes, mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { planFor } from '../../../core/planner/plan-for.ts';
import { changeForDuration, checkedStackChange, squishAfter, stackEffect } from '../../../core/planner/stack.ts';
import { depthFromDuration, eventsFromDepth, skirtEventsFromDepth } from '../../../core/ports/edge-height.ts';
import { squishVelocityMax } from '../../../core/squish/velocity.ts';
import { discVolume } from '../../../core/volumes/burette.ts';
import { compressionRatios } from '../../../core/volumes/ratio.ts';
import { kartMockUp } from '../../support/example-mock-up.ts';
import { finite } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

/** A whole engine as it stands on the bench, every height measured from the crank centre up. */
interface Bench {
  readonly strokeMm: number;
  readonly rodLengthMm: number;
  readonly offsetMm: number;
  readonly boreMm: number;
  /** Gudgeon pin to crown edge. */
  readonly crownMm: number;
  readonly skirtMm: number;
  /** Case mouth over the crank centre, base gasket, barrel foot to top, head gasket. */
  readonly caseMm: number;
  readonly baseGasketMm: number;
  readonly barrelMm: number;
  readonly headGasketMm: number;
  readonly gasketBoreMm: number;
  /** Depth of the squish face over the head's joint face, and the volume over the joint face. */
  readonly recessMm: number;
  readonly headCc: number;
  readonly domeCc: number;
  /** Over the barrel's foot. */
  readonly exhaustRoofMm: number;
  readonly transferRoofMm: number;
  readonly intakeFloorMm: number;
}

const bowlDiameterMm = 38;

const bench: Bench = {
  strokeMm: 54,
  rodLengthMm: 108,
  offsetMm: 0.5,
  boreMm: 54,
  crownMm: 30,
  skirtMm: 58,
  caseMm: 80,
  baseGasketMm: 0.5,
  barrelMm: 84.9,
  headGasketMm: 0.4,
  gasketBoreMm: 55,
  recessMm: 0.35,
  headCc: 12,
  domeCc: 3,
  exhaustRoofMm: 58.2,
  transferRoofMm: 43,
  intakeFloorMm: 12,
};

/** Sizes as they follow from the heights: nothing is shifted, everything is measured anew. */
function sizesOf(engine: Bench): MockUpSizes {
  const { strokeMm, rodLengthMm, offsetMm, boreMm } = engine;
  const geometry = { strokeMm, rodLengthMm, offsetMm };
  const crownAtTop = crankFrom(geometry).tdcHeightMm + engine.crownMm;
  const foot = engine.caseMm + engine.baseGasketMm;
  const top = foot + engine.barrelMm;
  const deck = top - crownAtTop;
  return {
    geometry,
    boreMm,
    deckMm: deck,
    ignitionAdvanceDeg: 18,
    bowlDiameterMm,
    // The crankcase up to the crown at BDC, less everything that turns in it.
    crankcaseVolumeBdcCc: 400 + discVolume(boreMm, crankFrom(geometry).bdcHeightMm - 80),
    squishMm: deck + engine.headGasketMm + engine.recessMm,
    clearanceVolumeCc:
      engine.headCc + discVolume(engine.gasketBoreMm, engine.headGasketMm) + discVolume(boreMm, deck) - engine.domeCc,
    headGasketBoreMm: engine.gasketBoreMm,
    ports: [
      { portId: 'exhaust', kind: 'exhaust', edgeDepthMm: crownAtTop - foot - engine.exhaustRoofMm },
      { portId: 'transfer', kind: 'transfer_main', edgeDepthMm: crownAtTop - foot - engine.transferRoofMm },
      {
        portId: 'intake',
        kind: 'intake_skirt',
        edgeDepthMm: crownAtTop - engine.skirtMm - foot - engine.intakeFloorMm,
      },
    ],
  };
}

/** The same engine rebuilt with the change made to its parts. */
function rebuilt(engine: Bench, change: MockUpChange): Bench {
  const { baseGasketChangeMm = 0, baseCutMm = 0, headCutMm = 0, deckCutMm = 0, headGasketChangeMm = 0 } = change;
  const { rodLengthChangeMm = 0, bowlCutCc = 0, edgeGroundMm = {} } = change;
  const { strokeChangeMm = 0, squishBandCutMm = 0 } = change;
  const { exhaust = 0, intake = 0 } = edgeGroundMm;
  return {
    ...engine,
    strokeMm: engine.strokeMm + strokeChangeMm,
    rodLengthMm: engine.rodLengthMm + rodLengthChangeMm,
    baseGasketMm: engine.baseGasketMm + baseGasketChangeMm,
    barrelMm: engine.barrelMm - baseCutMm - deckCutMm,
    headGasketMm: engine.headGasketMm + headGasketChangeMm,
    recessMm: engine.recessMm - headCutMm + squishBandCutMm,
    headCc:
      engine.headCc -
      discVolume(engine.boreMm, headCutMm) +
      discVolume(engine.boreMm, squishBandCutMm) -
      discVolume(bowlDiameterMm, squishBandCutMm) +
      bowlCutCc,
    exhaustRoofMm: engine.exhaustRoofMm - baseCutMm + exhaust,
    transferRoofMm: engine.transferRoofMm - baseCutMm,
    intakeFloorMm: engine.intakeFloorMm - baseCutMm - intake,
  };
}

const changes: fc.Arbitrary<MockUpChange> = fc.record({
  baseGasketChangeMm: finite(-0.3, 0.5),
  baseCutMm: finite(0, 0.2),
  headCutMm: finite(0, 0.2),
  deckCutMm: finite(0, 0.2),
  headGasketChangeMm: finite(-0.2, 0.5),
  strokeChangeMm: finite(-0.5, 0.2),
  rodLengthChangeMm: finite(-0.5, 0.1),
  squishBandCutMm: finite(0, 0.3),
  bowlCutCc: finite(0, 1),
  edgeGroundMm: fc.record({ exhaust: finite(0, 1), intake: finite(0, 1) }),
});

describe('planner', () => {
  test('its effects are those of measuring the changed engine anew', () => {
    fc.assert(
      fc.property(changes, (change) => {
        const planned = plannedEffect(sizesOf(bench), change);
        const measured = mockUpFigures(sizesOf(rebuilt(bench, change)));
        for (const [index, port] of planned.after.ports.entries()) {
          expect(port.durationDeg).toBeCloseTo(measured.ports[index]?.durationDeg ?? 0, 8);
          expect(port.opensAtdcDeg).toBeCloseTo(measured.ports[index]?.opensAtdcDeg ?? 0, 8);
          expect(port.closesAtdcDeg).toBeCloseTo(measured.ports[index]?.closesAtdcDeg ?? 0, 8);
        }
        expect(planned.after.squishMm).toBeCloseTo(measured.squishMm ?? 0, 10);
        expect(planned.after.clearanceVolumeCc).toBeCloseTo(measured.clearanceVolumeCc ?? 0, 10);
        expect(planned.after.deckMm).toBeCloseTo(measured.deckMm ?? 0, 10);
        expect(planned.after.crankcaseRatio).toBeCloseTo(measured.crankcaseRatio ?? 0, 8);
        expect(planned.after.ignitionBtdcMm).toBeCloseTo(measured.ignitionBtdcMm ?? 0, 10);
        expect(planned.after.fullStrokeRatio).toBeCloseTo(measured.fullStrokeRatio ?? 0, 8);
        expect(planned.after.trappedRatio).toBeCloseTo(measured.trappedRatio ?? 0, 8);
        expect(planned.after.blowdown?.blowdownDeg).toBeCloseTo(measured.blowdown?.blowdownDeg ?? 0, 8);
        expect(planned.before).toEqual(mockUpFigures(sizesOf(bench)));
      }),
    );
  });

  test('no change changes nothing, and undoing a change restores everything', () => {
    expect(sizesAfter(kartMockUp, {})).toEqual(kartMockUp);
    fc.assert(
      fc.property(finite(-0.3, 0.8), finite(-0.3, 0.8), (base, head) => {
        const there = sizesAfter(kartMockUp, { baseGasketChangeMm: base, headGasketChangeMm: head });
        const back = sizesAfter(there, { baseGasketChangeMm: -base, headGasketChangeMm: -head });
        expect(back.squishMm).toBeCloseTo(kartMockUp.squishMm as number, 12);
        expect(back.clearanceVolumeCc).toBeCloseTo(kartMockUp.clearanceVolumeCc as number, 12);
        for (const [index, port] of back.ports.entries()) {
          expect(port.edgeDepthMm).toBeCloseTo(kartMockUp.ports[index]?.edgeDepthMm ?? 0, 12);
        }
      }),
    );
  });

  test('ground edges make their own window taller and leave the others alone', () => {
    const after = sizesAfter(kartMockUp, { edgeGroundMm: { exhaust: 0.5, intake: 0.3 } });
    expect(after.ports[0]).toMatchObject({ edgeDepthMm: 25.9, window: { heightMm: 26.5 } });
    expect(after.ports[7]).toMatchObject({ edgeDepthMm: 15.3, window: { heightMm: 17.3 } });
    expect(after.ports.slice(1, 7)).toEqual(kartMockUp.ports.slice(1, 7));
    expect(after.squishMm).toBe(kartMockUp.squishMm);
    expect(refused(() => sizesAfter(kartMockUp, { edgeGroundMm: { exhaust: -0.5 } }))).toBe(
      'negative exhaust edgeGroundMm',
    );
  });

  test('the far edge of a window opens no port earlier, it only makes the window taller', () => {
    const after = sizesAfter(kartMockUp, { farEdgeGroundMm: { exhaust: 0.4, intake: 0.2, boost: 0 } });
    expect(after.ports[0]).toMatchObject({ edgeDepthMm: 26.4, window: { heightMm: 26.4 } });
    expect(after.ports[7]).toMatchObject({ edgeDepthMm: 15, window: { heightMm: 17.2 } });
    expect(after.ports.slice(1, 7)).toEqual(kartMockUp.ports.slice(1, 7));
    expect(refused(() => sizesAfter(kartMockUp, { farEdgeGroundMm: { exhaust: -0.5 } }))).toBe(
      'negative exhaust farEdgeGroundMm',
    );
  });

  test('a recut squish band adds a ring; without the bowl nobody knows which', () => {
    const after = sizesAfter(kartMockUp, { squishBandCutMm: 0.2 });
    expect(after.squishMm).toBeCloseTo(1.15, 12);
    expect(after.clearanceVolumeCc).toBeCloseTo(10.4 + discVolume(53.9, 0.2) - discVolume(37, 0.2), 12);
    expect(after.ports).toEqual(kartMockUp.ports);
    expect(refused(() => sizesAfter({ ...kartMockUp, bowlDiameterMm: undefined }, { squishBandCutMm: 0.2 }))).toBe(
      'missing bowlDiameterMm',
    );
    expect(refused(() => sizesAfter(kartMockUp, { squishBandCutMm: -0.2 }))).toBe('negative squishBandCutMm');
  });

  test('the head gasket has no say in the ports, its volume is that of its own hole', () => {
    const after = sizesAfter(kartMockUp, { headGasketChangeMm: 0.2 });
    expect(after.ports).toEqual(kartMockUp.ports);
    expect(after.clearanceVolumeCc).toBeCloseTo(10.4 + discVolume(55, 0.2), 12);
    const plain = sizesAfter({ ...kartMockUp, headGasketBoreMm: undefined }, { headGasketChangeMm: 0.2 });
    expect(plain.clearanceVolumeCc).toBeCloseTo(10.4 + discVolume(53.9, 0.2), 12);
  });

  test('disc and reed stay where they are', () => {
    const ports: MockUpPort[] = [
      { portId: 'disc', kind: 'intake_disc', disc: { openBtdcDeg: 140, closeAtdcDeg: 65 } },
      { portId: 'reed', kind: 'intake_reed' },
    ];
    const sizes = { ...kartMockUp, ports };
    expect(sizesAfter(sizes, { baseGasketChangeMm: 0.5 }).ports).toEqual(ports);
    const figures = mockUpFigures(sizes);
    expect(figures.ports).toEqual([
      {
        portId: 'disc',
        kind: 'intake_disc',
        timeArea: null,
        fullAreaMm2: null,
        opensAtdcDeg: -140,
        closesAtdcDeg: 65,
        durationDeg: 205,
      },
      {
        portId: 'reed',
        kind: 'intake_reed',
        timeArea: null,
        fullAreaMm2: null,
        opensAtdcDeg: null,
        closesAtdcDeg: null,
        durationDeg: null,
      },
    ]);
    expect(figures.blowdown).toBeNull();
    expect(figures.trappedRatio).toBeNull();
    expect(figures.fullStrokeRatio).not.toBeNull();
  });

  test('unknown squish and volume stay unknown', () => {
    const bare = { geometry: kartMockUp.geometry, boreMm: 53.9, ports: kartMockUp.ports };
    const after = sizesAfter(bare, { baseGasketChangeMm: 0.2 });
    expect(after).not.toHaveProperty('squishMm');
    expect(after).not.toHaveProperty('clearanceVolumeCc');
    expect(mockUpFigures(after)).toMatchObject({
      squishMm: null,
      clearanceVolumeCc: null,
      fullStrokeRatio: null,
      trappedRatio: null,
      crankcaseRatio: null,
      squishVelocity: null,
    });
  });

  test('a change that is no number is refused by name', () => {
    for (const field of [
      'baseGasketChangeMm',
      'baseCutMm',
      'headCutMm',
      'deckCutMm',
      'headGasketChangeMm',
      'rodLengthChangeMm',
      'strokeChangeMm',
      'squishBandCutMm',
      'bowlCutCc',
    ]) {
      expect(refused(() => sizesAfter(kartMockUp, { [field]: Number.NaN }))).toBe(`missing ${field}`);
    }
    const ground = (value: number) => () => sizesAfter(kartMockUp, { edgeGroundMm: { boost: value } });
    expect(refused(ground(Number.NaN))).toBe('missing boost edgeGroundMm');
    const unknown = { ...kartMockUp, ports: [{ portId: 'exhaust', kind: 'exhaust' as const }] };
    expect(refused(() => planFor(unknown, { port: { portId: 'exhaust', durationDeg: 190 } }))).toBe(
      'missing exhaust edgeDepthMm',
    );
    expect(refused(() => planFor(kartMockUp, { port: { portId: 'exhaust', durationDeg: 360 } }))).toBe(
      'out_of_range durationDeg',
    );
  });

  test('parts that would touch are refused', () => {
    expect(refused(() => sizesAfter(kartMockUp, { headCutMm: 0.95 }))).toBe('collision squishMm');
    expect(refusal(() => sizesAfter({ ...kartMockUp, squishMm: undefined }, { deckCutMm: 5 }))).toMatchObject({
      code: 'collision',
      field: 'clearanceVolumeCc',
    });
    expect(refusal(() => sizesAfter({ ...kartMockUp, squishMm: undefined }, { deckCutMm: 5 })).message).toMatch(
      /^Clearance volume is -1\.\d+ cm³; it must be greater than 0 cm³ after the change: the parts would touch; take off less\.$/,
    );
    expect(refused(() => sizesAfter(kartMockUp, { bowlCutCc: -1 }))).toBe('negative bowlCutCc');
    expect(refused(() => sizesAfter({ ...kartMockUp, squishMm: 0 }, {}))).toBe('non_positive squishMm');
    const incomplete = { ...kartMockUp, ports: [{ portId: 'exhaust', kind: 'exhaust' as const }] };
    expect(refused(() => sizesAfter(incomplete, {}))).toBe('missing exhaust edgeDepthMm');
  });
});

describe('figures of a whole mock-up', () => {
  const figures = mockUpFigures(kartMockUp);
  const { geometry, boreMm } = kartMockUp;

  test('are those of its single formulas', () => {
    for (const port of kartMockUp.ports.slice(0, 7)) {
      const events = eventsFromDepth(geometry, port.edgeDepthMm as number);
      const found = figures.ports.find(({ portId }) => portId === port.portId);
      expect(found?.opensAtdcDeg).toBeCloseTo(events.openAtdcDeg, 9);
      expect(found?.closesAtdcDeg).toBeCloseTo(360 - events.closeBtdcDeg, 9);
      expect(found?.durationDeg).toBeCloseTo(events.durationDeg, 9);
      expect(found?.timeArea).toEqual(
        portTimeArea({
          geometry,
          boreMm,
          window: port.window as NonNullable<typeof port.window>,
          roofDepthMm: port.edgeDepthMm as number,
          speedRpm: 11_500,
          count: port.windowCount,
        }),
      );
    }
    const intake = figures.ports[7];
    const skirt = skirtEventsFromDepth(geometry, 75, 60);
    expect(intake?.opensAtdcDeg).toBeCloseTo(-skirt.openBtdcDeg, 9);
    expect(intake?.closesAtdcDeg).toBeCloseTo(skirt.closeAtdcDeg, 9);
    expect(intake?.durationDeg).toBeCloseTo(skirt.durationDeg, 9);
    const window = { widthMm: 30, heightMm: 17, radiusTopMm: 5, radiusBottomMm: 5 };
    expect(intake?.timeArea).toEqual(skirtTimeArea({ geometry, boreMm, window, skirtDepthMm: 15, speedRpm: 11_500 }));
    expect(figures.ports[1]?.fullAreaMm2).toBeCloseTo(2 * (90 - (2 - Math.PI / 2) * 8), 9);
    const ratios = compressionRatios({ geometry, boreMm, clearanceVolumeCc: 10.4, exhaustClosingDepthMm: 26.4 });
    expect(figures.fullStrokeRatio).toBeCloseTo(ratios.fullStrokeRatio, 12);
    expect(figures.trappedRatio).toBeCloseTo(ratios.trappedRatio, 12);
    expect(figures.sweptVolumeCc).toBeCloseTo(discVolume(boreMm, figures.travelMm), 12);
    expect(figures.crankcaseRatio).toBeCloseTo(1 + figures.sweptVolumeCc / 285, 12);
    expect(figures.squishVelocity).toEqual(
      squishVelocityMax({
        geometry,
        boreMm,
        bowlDiameterMm: 37,
        squishMm: 0.95,
        clearanceVolumeCc: 10.4,
        speedRpm: 11_500,
        taperDeg: 1,
      }),
    );
  });

  test('the blowdown runs from the first exhaust to the earliest transfer, all exhaust windows counted from their own opening', () => {
    const { blowdown } = figures;
    expect(blowdown).toMatchObject({ exhaustPortId: 'exhaust', transferPortId: 'boost' });
    const open = (depth: number) => eventsFromDepth(geometry, depth).openAtdcDeg;
    expect(blowdown?.blowdownDeg).toBeCloseTo(open(41) - open(26.4), 9);
    expect(blowdown?.blowdownTimeMs).toBeCloseTo(((open(41) - open(26.4)) / 69_000) * 1000, 9);
    const part = (index: number) => {
      const port = kartMockUp.ports[index] as MockUpPort;
      return portTimeArea({
        geometry,
        boreMm,
        window: port.window as NonNullable<typeof port.window>,
        roofDepthMm: port.edgeDepthMm as number,
        speedRpm: 11_500,
        untilDepthMm: 41,
        count: port.windowCount,
      }).timeAreaSMm2;
    };
    expect(blowdown?.timeArea?.timeAreaSMm2).toBeCloseTo(part(0) + part(1), 12);
  });

  test('without speed there are no times, without a window no areas', () => {
    const slow = mockUpFigures({ ...kartMockUp, speedRpm: undefined });
    expect(slow.blowdown).toMatchObject({ blowdownTimeMs: null, timeArea: null });
    expect(slow.ports.every(({ timeArea }) => timeArea === null)).toBe(true);
    expect(slow.squishVelocity).toBeNull();
    const [exhaust, ...others] = kartMockUp.ports;
    const bare = mockUpFigures({
      ...kartMockUp,
      ports: [{ ...(exhaust as MockUpPort), window: undefined }, ...others],
    });
    expect(bare.ports[0]).toMatchObject({ timeArea: null, fullAreaMm2: null });
    expect(bare.ports[1]?.timeArea).not.toBeNull();
    expect(bare.blowdown?.timeArea).toBeNull();
    for (const missing of ['squishMm', 'clearanceVolumeCc', 'bowlDiameterMm', 'speedRpm']) {
      expect(mockUpFigures({ ...kartMockUp, [missing]: undefined }).squishVelocity).toBeNull();
    }
  });

  test('a transfer that opens first has a negative lead and an empty blowdown window', () => {
    const swapped = mockUpFigures({
      ...kartMockUp,
      ports: [
        { portId: 'e', kind: 'exhaust', edgeDepthMm: 41, window: { widthMm: 30, heightMm: 10 } },
        { portId: 't', kind: 'boost', edgeDepthMm: 30 },
      ],
    });
    expect(swapped.blowdown?.blowdownDeg).toBeLessThan(0);
    expect(swapped.blowdown?.timeArea?.angleAreaDegMm2).toBe(0);
    expect(mockUpFigures({ ...kartMockUp, ports: kartMockUp.ports.slice(0, 2) }).blowdown).toBeNull();
    expect(mockUpFigures({ ...kartMockUp, ports: kartMockUp.ports.slice(2) }).blowdown).toBeNull();
  });

  test('refusals name the port', () => {
    const withPort = (port: object) => () =>
      mockUpFigures({ ...kartMockUp, ports: [{ portId: 'left', kind: 'boost', ...port } as MockUpPort] });
    expect(refused(withPort({}))).toBe('missing left edgeDepthMm');
    expect(refused(withPort({ edgeDepthMm: 54.1 }))).toBe('out_of_range left edgeDepthMm');
    expect(refused(withPort({ edgeDepthMm: 40, windowCount: 0 }))).toBe('non_positive left windowCount');
    expect(refused(withPort({ edgeDepthMm: 40, window: { widthMm: 0, heightMm: 3 } }))).toBe('non_positive widthMm');
    expect(refused(() => mockUpFigures({ ...kartMockUp, boreMm: 0 }))).toBe('non_positive boreMm');
    expect(refused(() => mockUpFigures({ ...kartMockUp, speedRpm: 0 }))).toBe('non_positive speedRpm');
    expect(refused(() => mockUpFigures({ ...kartMockUp, squishMm: 0 }))).toBe('non_positive squishMm');
    expect(refused(() => mockUpFigures({ ...kartMockUp, clearanceVolumeCc: 0 }))).toBe(
      'non_positive clearanceVolumeCc',
    );
  });
});

describe('plan to wanted figures', () => {
  test('takes the barrel first, then the squish, then the bowl, and arrives', () => {
    fc.assert(
      fc.property(
        finite(188, 200),
        finite(0.8, 1.3),
        finite(9, 12),
        fc.boolean(),
        (durationDeg, squishMm, value, trapped) => {
          const ratio = { kind: trapped ? 'trapped' : 'full_stroke', value: trapped ? value / 1.8 : value } as const;
          const plan = planFor(kartMockUp, { port: { portId: 'exhaust', durationDeg }, squishMm, ratio });
          const figures = mockUpFigures(plan.sizesAfter);
          expect(figures.ports[0]?.durationDeg).toBeCloseTo(durationDeg, 6);
          expect(figures.squishMm).toBeCloseTo(squishMm, 9);
          expect(trapped ? figures.trappedRatio : figures.fullStrokeRatio).toBeCloseTo(ratio.value, 8);
          expect(plan.steps.every(({ amount }) => amount > 0)).toBe(true);
        },
      ),
    );
  });

  test('names its steps, and which of them is no cut', () => {
    const now = mockUpFigures(kartMockUp).ports[0]?.durationDeg as number;
    const steps = (durationDeg: number, squishMm: number, value: number) =>
      planFor(kartMockUp, {
        port: { portId: 'exhaust', durationDeg },
        squishMm,
        ratio: { kind: 'full_stroke', value },
      }).steps;
    expect(steps(now + 3, 0.95, 9).map(({ step }) => step)).toEqual(['raise_barrel', 'cut_head_or_deck', 'cut_bowl']);
    expect(steps(now - 2, 0.95, 20).map(({ step }) => step)).toEqual(['lower_barrel', 'add_head_gasket', 'fill_bowl']);
    const [raise, cut, bowl] = steps(now + 3, 0.95, 9);
    expect(raise?.change).toEqual({ baseGasketChangeMm: raise?.amount });
    expect(raise?.caution).toBe('Moves every port, the squish and the volume: look at all of them.');
    expect(cut).toMatchObject({ caution: null, change: { headCutMm: cut?.amount } });
    expect(cut?.amount).toBeCloseTo(raise?.amount ?? 0, 9);
    expect(bowl).toMatchObject({ caution: null, change: { bowlCutCc: bowl?.amount } });
    const [lower, gasket, fill] = steps(now - 2, 0.95, 20);
    expect(lower?.change).toEqual({ baseCutMm: lower?.amount });
    expect(gasket).toMatchObject({ caution: null, change: { headGasketChangeMm: gasket?.amount } });
    expect(fill).toMatchObject({
      change: {},
      caution: 'The bowl is too large already: it takes another head or insert, not a cut.',
    });
  });

  test('a grinder only lengthens, and moves that one roof', () => {
    const now = mockUpFigures(kartMockUp).ports[0]?.durationDeg as number;
    const plan = planFor(kartMockUp, { port: { portId: 'exhaust', durationDeg: now + 3 } }, true);
    const [step] = plan.steps;
    expect(step).toMatchObject({
      step: 'grind_roof',
      caution: null,
      change: { edgeGroundMm: { exhaust: step?.amount } },
    });
    expect(mockUpFigures(plan.sizesAfter).ports[2]).toEqual(mockUpFigures(kartMockUp).ports[2]);
    expect(
      refusal(() => planFor(kartMockUp, { port: { portId: 'exhaust', durationDeg: now - 1 } }, true)).message,
    ).toMatch(/it must be longer than it is now: a grinder can only raise a roof; lower the barrel instead\.$/);
    for (const portId of ['intake', 'nowhere']) {
      expect(refusal(() => planFor(kartMockUp, { port: { portId, durationDeg: 190 } })).message).toBe(
        `Port id is "${portId}"; it must be a port that the crown opens: choose an exhaust or a transfer.`,
      );
    }
  });

  test('what is already right takes no step', () => {
    const figures = mockUpFigures(kartMockUp);
    const targets = {
      port: { portId: 'exhaust', durationDeg: figures.ports[0]?.durationDeg as number },
      squishMm: 0.95,
      ratio: { kind: 'trapped', value: figures.trappedRatio as number },
    } as const;
    expect(planFor(kartMockUp, targets)).toEqual({ steps: [], sizesAfter: kartMockUp });
    expect(planFor(kartMockUp, {})).toEqual({ steps: [], sizesAfter: kartMockUp });
  });

  test('the barrel meets the deck or the volume where one of them governs', () => {
    const sizes = { ...kartMockUp, deckMm: 0.2 };
    for (const deckMm of [0.05, -0.1, 0.6]) {
      const { steps, sizesAfter: after } = planFor(sizes, { deckMm });
      expect(after.deckMm).toBeCloseTo(deckMm, 12);
      expect(steps.map(({ step }) => step)).toEqual([deckMm > 0.2 ? 'raise_barrel' : 'lower_barrel']);
    }
    const byVolume = planFor(sizes, { clearanceVolumeCc: 10.9 });
    expect(byVolume.sizesAfter.clearanceVolumeCc).toBeCloseTo(10.9, 10);
    expect(byVolume.steps[0]).toMatchObject({
      step: 'raise_barrel',
      amount: expect.closeTo(0.5 / discVolume(53.9, 1), 9),
    });
    expect(planFor(sizes, { deckMm: 0.2 }).steps).toEqual([]);
  });

  test('the deck by the barrel and a duration by the roof go together, in that order', () => {
    const { steps, sizesAfter: after } = planFor(
      { ...kartMockUp, deckMm: 0.2 },
      { deckMm: 0.1, port: { portId: 'exhaust', durationDeg: 198 } },
      true,
    );
    expect(steps.map(({ step }) => step)).toEqual(['lower_barrel', 'grind_roof']);
    expect(after.deckMm).toBeCloseTo(0.1, 12);
    expect(mockUpFigures(after).ports[0]?.durationDeg).toBeCloseTo(198, 8);
  });

  test('targets that contradict each other are refused', () => {
    const sizes = { ...kartMockUp, deckMm: 0.2 };
    const port = { portId: 'exhaust', durationDeg: 199 };
    expect(refused(() => planFor(sizes, { deckMm: 0.1, port }))).toBe('inconsistent targets');
    expect(refused(() => planFor(sizes, { deckMm: 0.1, clearanceVolumeCc: 11 }, true))).toBe('inconsistent targets');
    expect(refused(() => planFor(sizes, { clearanceVolumeCc: 11, squishMm: 0.9 }))).toBe(
      'inconsistent clearanceVolumeCc',
    );
    expect(refused(() => planFor(sizes, { clearanceVolumeCc: 11, ratio: { kind: 'trapped', value: 7 } }))).toBe(
      'inconsistent clearanceVolumeCc',
    );
    expect(refused(() => planFor(kartMockUp, { deckMm: 0.1 }))).toBe('missing deckMm');
    expect(refused(() => planFor(sizes, { deckMm: Number.NaN }))).toBe('missing targetDeckMm');
    expect(refused(() => planFor(sizes, { clearanceVolumeCc: 0 }))).toBe('non_positive targetClearanceVolumeCc');
    expect(refused(() => planFor({ ...sizes, clearanceVolumeCc: undefined }, { clearanceVolumeCc: 11 }))).toBe(
      'missing clearanceVolumeCc',
    );
  });

  test('what is not known yet cannot be aimed at', () => {
    expect(refused(() => planFor({ ...kartMockUp, squishMm: undefined }, { squishMm: 1 }))).toBe('missing squishMm');
    expect(refused(() => planFor(kartMockUp, { squishMm: 0 }))).toBe('non_positive targetSquishMm');
    const ratio = { kind: 'trapped', value: 7 } as const;
    expect(refused(() => planFor({ ...kartMockUp, clearanceVolumeCc: undefined }, { ratio }))).toBe(
      'missing clearanceVolumeCc',
    );
    expect(refusal(() => planFor({ ...kartMockUp, ports: [] }, { ratio })).message).toBe(
      'Exhaust is empty; it must be an exhaust port with its height: the trapped ratio starts at its closing.',
    );
    expect(planFor({ ...kartMockUp, ports: [] }, { ratio: { kind: 'full_stroke', value: 11 } }).steps).toHaveLength(1);
  });

  test('only what goes together at the end counts: a lowered barrel may need its squish back first', () => {
    const now = mockUpFigures(kartMockUp).ports[0]?.durationDeg as number;
    const port = { portId: 'exhaust', durationDeg: now - 8 };
    expect(refused(() => planFor(kartMockUp, { port }))).toBe('collision squishMm');
    expect(planFor(kartMockUp, { port, squishMm: 0.9 }).steps.map(({ step }) => step)).toEqual([
      'lower_barrel',
      'add_head_gasket',
    ]);
    expect(
      refused(() => planFor({ ...kartMockUp, squishMm: undefined }, { port: { ...port, durationDeg: now - 30 } })),
    ).toBe('collision clearanceVolumeCc');
  });
});

describe('stack change', () => {
  const input = {
    geometry: { strokeMm: 54, rodLengthMm: 110, offsetMm: 0.8 },
    exhaustDepthMm: 26,
    transferDepthMm: 41.5,
    squishMm: 1,
  };

  test('agrees with the whole-engine planner', () => {
    fc.assert(
      fc.property(finite(-0.4, 0.8), finite(0, 0.2), finite(0, 0.2), (base, deck, gasket) => {
        const change = { baseGasketChangeMm: base, deckCutMm: deck, headGasketChangeMm: gasket };
        const effect = stackEffect({ ...input, ...change, skirtIntakeDepthMm: 15 });
        const figures = mockUpFigures(
          sizesAfter(
            {
              geometry: input.geometry,
              boreMm: 54,
              squishMm: 1,
              ports: [
                { portId: 'e', kind: 'exhaust', edgeDepthMm: 26 },
                { portId: 't', kind: 'transfer_main', edgeDepthMm: 41.5 },
                { portId: 'i', kind: 'intake_skirt', edgeDepthMm: 15 },
              ],
            },
            change,
          ),
        );
        expect(effect.cylinderRaiseMm).toBe(base);
        expect(effect.squishMm).toBeCloseTo(figures.squishMm ?? 0, 12);
        expect(effect.exhaustDurationDeg).toBeCloseTo(figures.ports[0]?.durationDeg ?? 0, 9);
        expect(effect.transferDurationDeg).toBeCloseTo(figures.ports[1]?.durationDeg ?? 0, 9);
        expect(effect.intakeDurationDeg).toBeCloseTo(figures.ports[2]?.durationDeg ?? 0, 9);
        expect(effect.blowdownDeg).toBeCloseTo(figures.blowdown?.blowdownDeg ?? 0, 9);
      }),
    );
  });

  test('raising shortens the blowdown and the skirt intake, and lengthens the rest', () => {
    const now = stackEffect({ ...input, skirtIntakeDepthMm: 15 });
    const raised = stackEffect({ ...input, skirtIntakeDepthMm: 15, baseGasketChangeMm: 0.5 });
    expect(raised.exhaustDurationDeg).toBeGreaterThan(now.exhaustDurationDeg);
    expect(raised.transferDurationDeg - now.transferDurationDeg).toBeGreaterThan(
      raised.exhaustDurationDeg - now.exhaustDurationDeg,
    );
    expect(raised.blowdownDeg).toBeLessThan(now.blowdownDeg);
    expect(raised.intakeDurationDeg).toBeLessThan(now.intakeDurationDeg as number);
    expect(stackEffect(input)).not.toHaveProperty('intakeDurationDeg');
  });

  test('refuses by name', () => {
    for (const field of ['baseCutMm', 'headCutMm', 'deckCutMm']) {
      expect(refused(() => stackEffect({ ...input, [field]: -0.1 }))).toBe(`negative ${field}`);
    }
    expect(refused(() => stackEffect({ ...input, squishMm: 0 }))).toBe('non_positive squishMm');
    expect(refused(() => stackEffect({ ...input, headCutMm: 1 }))).toBe('collision squishMm');
    expect(refused(() => stackEffect({ ...input, exhaustDepthMm: 0.3, baseGasketChangeMm: 0.3 }))).toBe(
      'out_of_range exhaustDepthMm',
    );
    expect(refused(() => stackEffect({ ...input, transferDepthMm: 53.9, baseCutMm: 0.5 }))).toBe(
      'out_of_range transferDepthMm',
    );
    expect(refused(() => stackEffect({ ...input, skirtIntakeDepthMm: 0.3, baseGasketChangeMm: 0.3 }))).toBe(
      'out_of_range skirtIntakeDepthMm',
    );
    expect(refused(() => stackEffect({ ...input, transferDepthMm: 25 }))).toBe('inconsistent transferOpenAtdcDeg');
    expect(refused(() => stackEffect({ ...input, exhaustDepthMm: Number.NaN }))).toBe('missing exhaustDepthMm');
    expect(
      checkedStackChange({
        baseCutMm: 0.1,
        headCutMm: 0.2,
        deckCutMm: 0.3,
        baseGasketChangeMm: 0.5,
        headGasketChangeMm: -0.2,
      }),
    ).toEqual({
      cylinderRaiseMm: 0.4,
      headGasketChangeMm: -0.2,
      topCutMm: 0.5,
    });
    expect(refusal(() => squishAfter(1, -1)).message).toBe(
      'Squish is 0 mm; it must be greater than 0 mm after the change: the piston would touch the head; take off less or add a gasket.',
    );
  });

  test('the change for a duration gives that duration', () => {
    fc.assert(
      fc.property(finite(170, 195), finite(170, 200), (currentDurationDeg, targetDurationDeg) => {
        const { cylinderRaiseMm, squishAfterMm, headOrDeckCutMm } = changeForDuration({
          geometry: input.geometry,
          currentDurationDeg,
          targetDurationDeg,
          squishMm: 10,
        });
        expect(squishAfterMm).toBeCloseTo(10 + cylinderRaiseMm, 12);
        expect(headOrDeckCutMm).toBe(cylinderRaiseMm);
        if (Math.abs(targetDurationDeg - currentDurationDeg) > 1e-6) {
          expect(cylinderRaiseMm > 0).toBe(targetDurationDeg > currentDurationDeg);
        }
        const before = depthFromDuration(input.geometry, currentDurationDeg).edgeDepthMm;
        expect(eventsFromDepth(input.geometry, before - cylinderRaiseMm).durationDeg).toBeCloseTo(targetDurationDeg, 7);
      }),
    );
    const change = { geometry: input.geometry, currentDurationDeg: 190, targetDurationDeg: 192, squishMm: 1 };
    expect(refused(() => changeForDuration({ ...change, currentDurationDeg: 0 }))).toBe(
      'out_of_range currentDurationDeg',
    );
    expect(refused(() => changeForDuration({ ...change, targetDurationDeg: 360 }))).toBe(
      'out_of_range targetDurationDeg',
    );
    expect(refused(() => changeForDuration({ ...change, squishMm: 0 }))).toBe('non_positive squishMm');
    expect(refused(() => changeForDuration({ ...change, targetDurationDeg: 170 }))).toBe('collision squishMm');
  });
});
