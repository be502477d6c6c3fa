import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Port } from '../../../core/contract/parts.ts';
import type { Edge } from '../../../core/contract/readings.ts';
import { anglesAtDepth, crankFrom } from '../../../core/crank/geometry.ts';
import { type MeasuredSizes, nothingMeasured } from '../../../core/mockup/measured-sizes.ts';
import { sizesOf } from '../../../core/mockup/sizes.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { uncertainFigure } from '../../../core/planner/uncertain-figures.ts';
import { type Value, valueWith } from '../../../core/uncertainty/value.ts';
import { wrapTurn } from '../../../core/units.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const window = { widthMm: 30, heightMm: 20, cornerRadiusTopMm: 4, cornerRadiusBottomMm: 4 };
const ports: readonly Partial<Port>[] = [
  { portId: 'e', kind: 'exhaust', label: 'Exhaust', ...window, edgeFromDeckMm: 27 },
  { portId: 't', kind: 'transfer_main', label: 'Transfers', windowCount: 4, ...window, widthMm: 18, heightMm: 12 },
];

function read(value: number, sigma: number): Value {
  return valueWith(value, sigma, 'instrument', 'resolution');
}

const measured: MeasuredSizes = {
  ...nothingMeasured,
  deckMm: read(0.3, 0.01),
  squishMm: read(0.95, 0.02),
  headVolumeCc: read(10.9, 0.05),
  domeVolumeCc: read(0, 0.02),
  headGasketMm: read(0.5, 0.01),
};

interface Given {
  readonly ports?: readonly Partial<Port>[];
  readonly boreMm?: number | null;
  /** Crank angles read, turning forwards only. */
  readonly angles?: readonly (readonly [string, Edge, number])[];
  readonly offsetMm?: number;
  readonly governs?: MockUpWhole['mockUp']['governs'];
}

function mockUp(given: Given): MockUpWhole {
  const records = new BenchRecords();
  const plain = records.mockUp({ ports: given.ports ?? ports, offsetMm: given.offsetMm ?? 0 });
  if (plain.barrel.kind !== 'barrel' || plain.engine.kind !== 'engine') throw new Error('the record has other parts');
  const whole: MockUpWhole = {
    ...plain,
    mockUp: { ...plain.mockUp, governs: given.governs ?? 'port_timing' },
    engine: { ...plain.engine, data: { ...plain.engine.data, speedRpm: 11_000 } },
    barrel: {
      ...plain.barrel,
      data: { ...plain.barrel.data, boreMm: given.boreMm === undefined ? 53.6 : given.boreMm },
    },
  };
  const crank = crankFrom({ strokeMm: 54.5, rodLengthMm: 110, offsetMm: given.offsetMm ?? 0 });
  const stop = anglesAtDepth(crank, 6);
  const at = (crankDeg: number) => records.camera(whole, wrapTurn(crankDeg + 40));
  return {
    ...whole,
    readings: [
      records.stop(whole, 'forwards', at(-stop.upBtdcDeg)),
      records.stop(whole, 'backwards', at(stop.downAtdcDeg)),
      ...(given.angles ?? []).map(([portId, edge, crankDeg]) =>
        records.edge(whole, portId, edge, 'forwards', at(crankDeg)),
      ),
    ],
  };
}

const sizesFor = (given: Given, sizes: MeasuredSizes = measured) => {
  const whole = mockUp(given);
  return sizesOf(whole, timingResult(whole), sizes);
};

/** Both edges of both ports, as the crank of this offset meets depths of 27 and 41 mm. */
function anglesOf(offsetMm: number): readonly (readonly [string, Edge, number])[] {
  const crank = crankFrom({ strokeMm: 54.5, rodLengthMm: 110, offsetMm });
  const exhaust = anglesAtDepth(crank, 27);
  const transfer = anglesAtDepth(crank, 41);
  return [
    ['e', 'opens', exhaust.downAtdcDeg],
    ['t', 'opens', transfer.downAtdcDeg],
    ['t', 'closes', 360 - transfer.upBtdcDeg],
    ['e', 'closes', 360 - exhaust.upBtdcDeg],
  ];
}

describe('sizes of a mock-up', () => {
  test('law: figures worked out from the sizes are the events that were read, whatever the offset', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 2, noNaN: true }), (offsetMm) => {
        const { sizes, edgeDepths } = sizesFor({ angles: anglesOf(offsetMm), offsetMm });
        expect(edgeDepths.map(({ by }) => by)).toEqual(['duration', 'duration']);
        if (sizes === null) throw new Error('no sizes');
        expect(sizes.ports.map(({ edgeDepthMm }) => edgeDepthMm)).toEqual([
          expect.closeTo(27, 6),
          expect.closeTo(41, 6),
        ]);
        const figures = mockUpFigures(sizes);
        for (const [portId, edge, crankDeg] of anglesOf(offsetMm)) {
          const port = figures.ports.find((one) => one.portId === portId);
          expect(edge === 'opens' ? port?.opensAtdcDeg : port?.closesAtdcDeg).toBeCloseTo(crankDeg, 6);
        }
      }),
      { seed: 5, numRuns: 40 },
    );
  });

  test('the uncertainty of a duration comes back as it was read', () => {
    const whole = mockUp({ angles: anglesOf(0) });
    const timing = timingResult(whole);
    const { sizes, uncertainties } = sizesOf(whole, timing, measured);
    if (sizes === null) throw new Error('no sizes');
    const back = uncertainFigure(sizes, uncertainties, ({ ports: all }) => all[0]?.durationDeg ?? null);
    const direct = timing.figures.find(({ key }) => key === 'duration:e')?.value;
    expect(back?.value).toBeCloseTo(direct?.value ?? Number.NaN, 6);
    expect(back?.sigma).toBeCloseTo(direct?.sigma ?? Number.NaN, 3);
  });

  test('one edge alone gives its depth, with the uncertainty of true TDC in it', () => {
    const opening = sizesFor({ angles: anglesOf(0).filter(([, edge]) => edge === 'opens') });
    expect(opening.edgeDepths.map(({ by }) => by)).toEqual(['opening', 'opening']);
    expect(opening.edgeDepths[0]?.depthMm.value).toBeCloseTo(27, 6);
    const both = sizesFor({ angles: anglesOf(0) });
    expect(opening.edgeDepths[0]?.depthMm.sigma).toBeGreaterThan(both.edgeDepths[0]?.depthMm.sigma ?? 1);
    const closing = sizesFor({ angles: anglesOf(0).filter(([, edge]) => edge === 'closes') });
    expect(closing.edgeDepths[0]?.depthMm.value).toBeCloseTo(27, 6);
  });

  test('where the deck governs, height less deck counts before the angle; otherwise the angle', () => {
    const byDeck = sizesFor({ angles: anglesOf(0), governs: 'deck_dimension' });
    expect(byDeck.edgeDepths[0]).toMatchObject({ by: 'height', other: { by: 'duration' } });
    expect(byDeck.edgeDepths[0]?.depthMm.value).toBeCloseTo(27 - 0.3, 12);
    expect(byDeck.edgeDepths[1]?.by).toBe('duration');
    const byTiming = sizesFor({ angles: anglesOf(0) });
    expect(byTiming.edgeDepths[0]).toMatchObject({ by: 'duration', other: { by: 'height' } });
  });

  test('an angle and a height that disagree by more than a degree are asked about', () => {
    expect(sizesFor({ angles: anglesOf(0) }).edgeDepths[0]?.question).toBeNull();
    const off = ports.map((port) => (port.portId === 'e' ? { ...port, edgeFromDeckMm: 28.4 } : port));
    const { edgeDepths, remarks } = sizesFor({ angles: anglesOf(0), ports: off });
    expect(edgeDepths[0]?.question).toMatch(/^Exhaust: its angles and its height disagree by 2\.\d deg/);
    expect(remarks).toContain(edgeDepths[0]?.question);
  });

  test('a height measured in the bore counts before the one entered with the barrel', () => {
    const height = { ...measured, portHeightsMm: { e: read(27.6, 0.02) } };
    const { edgeDepths } = sizesFor({}, height);
    expect(edgeDepths[0]?.depthMm.value).toBeCloseTo(27.3, 12);
    expect(edgeDepths[0]?.depthMm.sigma).toBeCloseTo(Math.hypot(0.02, 0.01), 12);
  });

  test('a proud piston lies above the deck: the edge is deeper by as much', () => {
    const proud = { ...measured, deckMm: read(-0.2, 0.01) };
    expect(sizesFor({}, proud).edgeDepths[0]?.depthMm.value).toBeCloseTo(27.2, 12);
  });

  test('a skirt intake by height needs the skirt; its duration lies about TDC', () => {
    const intake: Partial<Port> = { portId: 'i', kind: 'intake_skirt', label: 'Intake', ...window, edgeFromDeckMm: 52 };
    const missing = sizesFor({ ports: [intake] }).missing.find(({ portId }) => portId === 'i');
    expect(missing?.sentence).toContain('skirt length');
    const crank = crankFrom({ strokeMm: 54.5, rodLengthMm: 110 });
    const { downAtdcDeg } = anglesAtDepth(crank, 15);
    const byAngle = sizesFor({
      ports: [intake],
      angles: [
        ['i', 'opens', 360 - downAtdcDeg],
        ['i', 'closes', downAtdcDeg],
      ],
    });
    expect(byAngle.edgeDepths[0]).toMatchObject({ by: 'duration', depthMm: { value: expect.closeTo(15, 6) } });
  });

  test('a disc keeps its angles and a reed needs none', () => {
    const { sizes, missing } = sizesFor({
      ports: [
        { portId: 'd', kind: 'intake_disc', label: 'Disc' },
        { portId: 'r', kind: 'intake_reed', label: 'Reed' },
      ],
      angles: [
        ['d', 'opens', 215],
        ['d', 'closes', 70],
      ],
    });
    expect(sizes?.ports[0]?.disc).toEqual({ openBtdcDeg: expect.closeTo(145, 9), closeAtdcDeg: expect.closeTo(70, 9) });
    expect(sizes?.ports[1]).toMatchObject({ portId: 'r', kind: 'intake_reed' });
    expect(missing.filter(({ portId }) => portId !== null)).toEqual([]);
    expect(sizesFor({ ports: [{ portId: 'd', kind: 'intake_disc', label: 'Disc' }] }).missing[0]?.sentence).toBe(
      'Disc: its edges are not read yet.',
    );
  });

  test('the volume over the piston follows from its parts, or from the assembled filling', () => {
    const { sizes, uncertainties } = sizesFor({ angles: anglesOf(0) });
    const disc = (Math.PI / 4) * 53.6 ** 2 * 1e-3;
    expect(sizes?.clearanceVolumeCc).toBeCloseTo(10.9 + disc * 0.8, 9);
    expect(uncertainties.clearanceVolumeCc).toBeCloseTo(Math.hypot(0.05, 0.02, disc * 0.01, disc * 0.01), 9);
    const filled = sizesFor({ angles: anglesOf(0) }, { ...measured, assembledVolumeCc: read(12.8, 0.06) });
    expect(filled.sizes?.clearanceVolumeCc).toBe(12.8);
    expect(filled.uncertainties.clearanceVolumeCc).toBe(0.06);
  });

  test.each([
    ['the bore', { boreMm: null }, nothingMeasured, 'everything', 'barrel'],
    ['the edges', {}, nothingMeasured, 'events', 'bench'],
    ['squish', { angles: anglesOf(0) }, { ...measured, squishMm: null }, 'squish', 'checks'],
    ['the deck', { angles: anglesOf(0) }, { ...measured, deckMm: null }, 'ratios', 'checks'],
    ['the bowl', { angles: anglesOf(0) }, measured, 'squish_velocity', 'head'],
    ['the crankcase', { angles: anglesOf(0) }, measured, 'crankcase_ratio', 'engine'],
    [
      'a window',
      {
        ports: [{ portId: 'e', kind: 'exhaust', label: 'Exhaust', widthMm: 30 }],
        angles: anglesOf(0).filter(([id]) => id === 'e'),
      },
      measured,
      'time_areas',
      'barrel',
    ],
  ] as const)('%s missing is said, with the place where it is given', (_what, given: Given, sizes, group, where) => {
    const { missing } = sizesFor(given, sizes);
    const found = missing.find((one) => one.group === group);
    expect(found?.where).toBe(where);
    expect(found?.sentence).toMatch(/^[A-Z].*\.$/);
  });

  test('a window that can not be is told, and only its areas are left out', () => {
    const broken = ports.map((port) => (port.portId === 'e' ? { ...port, cornerRadiusTopMm: 18 } : port));
    const { sizes, missing } = sizesFor({ ports: broken, angles: anglesOf(0) });
    expect(sizes?.ports[0]?.window).toBeUndefined();
    expect(missing.find(({ portId }) => portId === 'e')).toMatchObject({ group: 'time_areas' });
    if (sizes === null) throw new Error('no sizes');
    const figures = mockUpFigures(sizes);
    expect(figures.ports[0]?.durationDeg).toBeGreaterThan(170);
    expect(figures.ports[0]?.timeArea).toBeNull();
  });

  test('a crank that could not turn, or an edge outside the travel, is told instead of thrown', () => {
    const whole = mockUp({ angles: anglesOf(0) });
    const timing = timingResult(whole);
    if (whole.engine.kind !== 'engine') throw new Error('no engine');
    const short = { ...whole, engine: { ...whole.engine, data: { ...whole.engine.data, rodLengthMm: 20 } } };
    const { sizes, missing } = sizesOf(short, timing, measured);
    expect(sizes).toBeNull();
    expect(missing[0]).toMatchObject({ group: 'everything', where: 'engine' });
    expect(missing[0]?.sentence).toContain('the crank could not turn');
    const deep = ports.map((port) => ({ ...port, edgeFromDeckMm: 80 }));
    const outside = sizesFor({ ports: deep });
    expect(outside.edgeDepths).toEqual([]);
    expect(outside.missing.find(({ portId }) => portId === 'e')?.sentence).toMatch(
      /^Exhaust: its edges are not read yet\. .*never opens/,
    );
  });

  test('an edge on the wrong side of TDC is no depth', () => {
    const { missing } = sizesFor({
      angles: [['e', 'opens', 270]],
      ports: ports.map((port) => ({ ...port, edgeFromDeckMm: null })),
    });
    expect(missing.find(({ portId }) => portId === 'e')?.sentence).toContain('check which edge');
  });

  test('a disc that would be open for no time at all is told', () => {
    const { sizes, missing } = sizesFor({
      ports: [{ portId: 'd', kind: 'intake_disc', label: 'Disc' }],
      angles: [
        ['d', 'opens', 30],
        ['d', 'closes', 30],
      ],
    });
    expect(sizes?.ports).toEqual([]);
    expect(missing[0]?.sentence).toMatch(/^Disc: .*less than a turn/);
  });

  test('a volume that can not be is told', () => {
    const { sizes, missing } = sizesFor({ angles: anglesOf(0) }, { ...measured, domeVolumeCc: read(40, 0.1) });
    expect(sizes?.clearanceVolumeCc).toBeUndefined();
    expect(missing.find(({ group }) => group === 'ratios')?.where).toBe('checks');
  });

  test('a gap or volume that comes out as nothing counts as not measured, and is told once', () => {
    const odd = {
      ...measured,
      squishMm: read(0, 0.01),
      assembledVolumeCc: read(-0.2, 0.1),
      crankcaseVolumeBdcCc: read(0, 1),
    };
    const { sizes, missing } = sizesFor({ angles: anglesOf(0) }, odd);
    if (sizes === null) throw new Error('no sizes');
    expect(() => mockUpFigures(sizes)).not.toThrow();
    expect(sizes.squishMm).toBeUndefined();
    // The parts still give the volume that the filling doesn't.
    expect(sizes.clearanceVolumeCc).toBeGreaterThan(10);
    expect(missing.filter(({ group }) => group === 'squish').map(({ sentence }) => sentence)).toEqual([
      "The squish comes out as 0, which can't be: look at its readings.",
    ]);
    expect(missing.filter(({ group }) => group === 'crankcase_ratio')).toHaveLength(1);
  });

  test('sizes of head, gasket and crankcase come from the parts where nothing was read', () => {
    const whole = mockUp({ angles: anglesOf(0) });
    const records = new BenchRecords();
    const made = { id: records.id(), workplaceId: records.workplaceId, createdAt: '2026-03-01T10:00:00.000Z' };
    const common = { ...made, name: 'Part', marks: '', notes: '' };
    const withParts: MockUpWhole = {
      ...whole,
      mockUp: { ...whole.mockUp, headGasketMm: 0.4 },
      head: {
        ...common,
        kind: 'head',
        data: { volumeCc: 11, bowlDiameterMm: 38, squishBandTaperDeg: 1, specifications: [] },
      },
      headGasket: {
        ...common,
        kind: 'gasket',
        data: { place: 'head', thicknessNewMm: null, thicknessCrushedMm: null, boreMm: 56 },
      },
      piston: {
        ...common,
        kind: 'piston',
        data: {
          diameterMm: null,
          gaugeHeightMm: null,
          skirtLengthMm: 38,
          domeVolumeCc: 0.5,
          massG: null,
          specifications: [],
        },
      },
    };
    const onlyDeck = { ...nothingMeasured, deckMm: read(0.3, 0.01), squishMm: read(0.95, 0.02) };
    const { sizes, missing, uncertainties } = sizesOf(withParts, timingResult(withParts), onlyDeck);
    const disc = (diameterMm: number, heightMm: number) => ((Math.PI / 4) * diameterMm ** 2 * heightMm) / 1000;
    expect(sizes?.clearanceVolumeCc).toBeCloseTo(11 + disc(56, 0.4) + disc(53.6, 0.3) - 0.5, 9);
    // Head and dome to 0.1 cm3, the gasket to 0.01 mm, as they are usually read; the deck as it was.
    const step = (size: number) => size / Math.sqrt(12);
    expect(uncertainties.clearanceVolumeCc).toBeCloseTo(
      Math.hypot(step(0.1), step(0.1), disc(56, step(0.01)), disc(53.6, 0.01)),
      6,
    );
    expect(uncertainties.boreMm).toBeCloseTo(step(0.01), 9);
    expect(sizes).toMatchObject({ headGasketBoreMm: 56, bowlDiameterMm: 38, squishTaperDeg: 1 });
    expect(missing.map(({ group }) => group)).toEqual(['crankcase_ratio', 'ignition']);
    if (sizes === null) throw new Error('no sizes');
    expect(mockUpFigures(sizes).squishVelocity?.maxSquishVelocityMps).toBeGreaterThan(5);
    // A bowl as wide as the bore leaves no band: only its velocity is left out.
    if (withParts.head?.kind !== 'head') throw new Error('no head');
    const wide = { ...withParts, head: { ...withParts.head, data: { ...withParts.head.data, bowlDiameterMm: 54 } } };
    const without = sizesOf(wide, timingResult(wide), onlyDeck);
    expect(without.sizes?.bowlDiameterMm).toBeUndefined();
    expect(without.missing.find(({ group }) => group === 'squish_velocity')?.sentence).toMatch(/^No squish velocity: /);
  });

  test('another speed than the engine’s is taken for the areas', () => {
    const whole = mockUp({ angles: anglesOf(0) });
    const timing = timingResult(whole);
    expect(sizesOf(whole, timing, measured, 6000).sizes?.speedRpm).toBe(6000);
    expect(sizesOf(whole, timing, measured).sizes?.speedRpm).toBe(11_000);
    if (whole.engine.kind !== 'engine') throw new Error('no engine');
    const unset = { ...whole, engine: { ...whole.engine, data: { ...whole.engine.data, speedRpm: null } } };
    const { sizes, missing } = sizesOf(unset, timing, measured);
    expect(sizes?.speedRpm).toBeUndefined();
    expect(missing.some(({ group }) => group === 'time_areas')).toBe(true);
  });
});
