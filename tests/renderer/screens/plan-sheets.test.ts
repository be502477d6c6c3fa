import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Port } from '../../../core/contract/parts.ts';
import type { PlanChange, StoredPlan } from '../../../core/contract/plans.ts';
import { anglesAtDepth, crankFrom } from '../../../core/crank/geometry.ts';
import { type MeasuredSizes, nothingMeasured } from '../../../core/mockup/measured-sizes.ts';
import { sizesOf } from '../../../core/mockup/sizes.ts';
import { timingResult } from '../../../core/mockup/timing-result.ts';
import { mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { valueWith } from '../../../core/uncertainty/value.ts';
import { checkSheetHtml } from '../../../electron/database/sheet-html.ts';
import { openingsOf, portMapData } from '../../../renderer/drawings/port-data.ts';
import { planSheetData } from '../../../renderer/screens/sheets/plan-sheet-data.ts';
import { portMapSheetData } from '../../../renderer/screens/sheets/port-map-sheet-data.ts';
import { sheetHtml } from '../../../renderer/screens/sheets/sheet-html.tsx';
import { initialPreferences } from '../../../renderer/state/preference-list.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const crank = crankFrom({ strokeMm: 54.5, rodLengthMm: 110 });
const window = { widthMm: 30, heightMm: 20, cornerRadiusTopMm: 4, cornerRadiusBottomMm: 4 };
const ports: readonly Partial<Port>[] = [
  { portId: 'e', kind: 'exhaust', label: 'Exhaust', ...window },
  {
    portId: 't',
    kind: 'transfer_main',
    label: 'Transfers <4>',
    side: 'both',
    windowCount: 4,
    ...window,
    widthMm: 18,
    heightMm: 11,
  },
  { portId: 'i', kind: 'intake_skirt', label: 'Intake', ...window, heightMm: 14 },
];
const depthsMm: Readonly<Record<string, number>> = { e: 30, t: 42, i: 15 };

const measured: MeasuredSizes = {
  ...nothingMeasured,
  deckMm: valueWith(0.3, 0.01, 'depth gauge', 'resolution'),
  squishMm: valueWith(0.95, 0.01, 'solder', 'repeats'),
};

function input(given: { boreMm?: number; skirtLengthMm?: number | null; limits?: number } = {}) {
  const records = new BenchRecords();
  const plain = records.mockUp({
    ports,
    specifications:
      given.limits === undefined
        ? []
        : [
            {
              quantity: 'squish',
              nominal: null,
              lower: null,
              upper: given.limits,
              unit: 'mm',
              source: 'rule 7',
              sourceDate: '',
            },
          ],
  });
  if (plain.barrel.kind !== 'barrel' || plain.engine.kind !== 'engine') throw new Error('the record has other parts');
  const at = (crankDeg: number) => records.camera(plain, ((crankDeg % 360) + 360) % 360);
  const stop = anglesAtDepth(crank, 6);
  const whole: MockUpWhole = {
    ...plain,
    mockUp: { ...plain.mockUp, baseGasketMm: 0.45 },
    engine: { ...plain.engine, data: { ...plain.engine.data, speedRpm: 11_000 } },
    barrel: { ...plain.barrel, data: { ...plain.barrel.data, boreMm: given.boreMm ?? 53.6 } },
    piston:
      given.skirtLengthMm === null
        ? null
        : {
            ...plain.engine,
            kind: 'piston',
            name: 'Piston',
            data: {
              diameterMm: null,
              gaugeHeightMm: null,
              skirtLengthMm: given.skirtLengthMm ?? 38,
              domeVolumeCc: null,
              massG: null,
              specifications: [],
            },
          },
    readings: [
      records.stop(plain, 'forwards', at(-stop.upBtdcDeg)),
      records.stop(plain, 'backwards', at(stop.downAtdcDeg)),
      ...ports.flatMap(({ portId = '', kind }) => {
        const { downAtdcDeg, upBtdcDeg } = anglesAtDepth(crank, depthsMm[portId] ?? 0);
        const [opens, closes] = kind === 'intake_skirt' ? [-upBtdcDeg, downAtdcDeg] : [downAtdcDeg, -upBtdcDeg];
        return [
          records.edge(plain, portId, 'opens', 'forwards', at(opens)),
          records.edge(plain, portId, 'closes', 'forwards', at(closes)),
        ];
      }),
    ],
  };
  const result = timingResult(whole);
  const found = sizesOf(whole, result, measured);
  return {
    whole,
    result,
    found,
    preferences: initialPreferences,
    version: '0.0.0',
    printedAt: '2026-11-25T10:00:00.000Z',
  };
}

function plan(change: PlanChange): StoredPlan {
  return {
    planId: '01890000-0000-7000-8000-0000000000aa',
    name: 'For the wet',
    change,
    baseGasketId: null,
    headGasketId: null,
    notes: 'Ask the hall first.',
  };
}

describe('what the port drawings are made from', () => {
  test('heights count from the crown at TDC; a skirt intake lies lower by the skirt', () => {
    const { whole, found } = input();
    if (found.sizes === null) throw new Error('no sizes');
    const { data, notDrawn } = portMapData(whole, found.sizes, mockUpFigures(found.sizes));
    expect(notDrawn).toEqual([]);
    expect(data.ports.map(({ topMm }) => topMm)).toEqual([
      expect.closeTo(30, 6),
      expect.closeTo(42, 6),
      // Floor 15 mm below the skirt's TDC position, skirt 38 mm, window 14 mm high.
      expect.closeTo(15 + 38 - 14, 6),
    ]);
    expect(data.ports.map(({ decidedBy }) => decidedBy)).toEqual(['roof', 'roof', 'floor']);
    expect(data.deckMm).toBe(0.3);
  });

  test('without the skirt the intake has no place on the map, but still an open area', () => {
    const { whole, found } = input({ skirtLengthMm: null });
    if (found.sizes === null || whole.barrel.kind !== 'barrel') throw new Error('no sizes');
    expect(portMapData(whole, found.sizes, mockUpFigures(found.sizes)).notDrawn).toEqual(['Intake']);
    const openings = openingsOf(whole.barrel.data.ports, found.sizes);
    expect(openings.map(({ port }) => port.portId)).toEqual(['e', 't', 'i']);
    expect(openings[2]?.opening.areaAt(0)).toBeCloseTo(openings[2]?.opening.fullAreaMm2 ?? Number.NaN, 6);
  });
});

describe('the port map on paper', () => {
  test('is as large as the bore where the paper is wide enough, and says its scale where it is not', () => {
    const small = portMapSheetData(input());
    expect(small?.mapWidthMm).toBeCloseTo((196 / 168) * Math.PI * 53.6, 6);
    expect(small?.scale).toMatch(/^Full size/);
    const large = portMapSheetData(input({ boreMm: 70 }));
    expect(large?.mapWidthMm).toBe(210 - 26);
    expect(large?.scale).toBe('Drawn at 0.717 of full size; the paper is too narrow for this bore.');
  });

  test('has a row for every port, and can be kept', () => {
    const data = portMapSheetData(input());
    if (data === null) throw new Error('no sheet');
    expect(data.tables[0]?.rows[1]).toEqual(['Transfers <4>', '4', '18.00', '18.36', '11.00', '4.00', '4.00', '42.00']);
    expect(data.tables[1]?.rows.map(([port]) => port)).toEqual(['Exhaust', 'Transfers <4>', 'Intake', 'Blowdown']);
    const html = sheetHtml(data, null);
    expect(() => checkSheetHtml(html)).not.toThrow();
    expect(html).toContain('Transfers &lt;4&gt;');
  });
});

describe('a plan on paper', () => {
  test('says what moves, how it is cut and what is read again, and can be kept', () => {
    const data = planSheetData(plan({ headCutMm: 0.1, edgeGroundMm: { e: 0.2 } }), input({ limits: 0.9 }));
    if (typeof data === 'string') throw new Error(data);
    expect(data.rows.find(({ figure }) => figure === 'Squish, smallest')).toEqual({
      figure: 'Squish, smallest',
      before: '0.95 mm ± 0.02',
      after: '0.85 mm',
      difference: '−0.10',
      limits: 'at most 0.9 mm, rule 7',
      verdictBefore: 'not_conforming',
      verdictAfter: 'conforming',
      trend: 'better',
    });
    expect(data.tally).toContain('0 get worse against their limits, 1 better');
    expect(data.work.map(({ text }) => text)).toEqual([
      'Roof of Exhaust up by 0.20 mm',
      'Off the face of the head, squish band moved along: 0.10 mm',
    ]);
    expect(data.readAgain).toMatch(/port events.*void then: true TDC \(2\) and port events \(6\)\.$/);
    expect(data.stack.planned).toMatchObject({ baseGasketMm: 0.45, squishMm: expect.closeTo(0.85, 9), deckMm: 0.3 });
    const html = sheetHtml(data, null);
    expect(() => checkSheetHtml(html)).not.toThrow();
    expect([...html.matchAll(/<main class="sheet">/g)]).toHaveLength(2);
    expect(html).toContain('Ask the hall first.');
  });

  test('that changes nothing, or can not be built, is a sentence instead', () => {
    expect(planSheetData(plan({}), input())).toBe('This plan changes nothing yet.');
    expect(planSheetData(plan({ headCutMm: 2 }), input())).toMatch(/the piston would touch the head/);
  });

  test('follows the units of the preferences', () => {
    const given = input();
    const data = planSheetData(plan({ headCutMm: 0.1 }), {
      ...given,
      preferences: { ...initialPreferences, lengthUnit: 'inch', decimalMark: 'comma' },
    });
    if (typeof data === 'string') throw new Error(data);
    expect(data.work[0]?.text).toBe('Off the face of the head, squish band moved along: 0,0039 in');
    expect(data.rows.find(({ figure }) => figure === 'Squish, smallest')?.after).toBe('0,0335 in');
  });
});
