import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { type PartContent, type PartKind, partContentSchema } from '../../../core/contract/parts.ts';
import { changesOfPart, partChangesInWords, partVoids } from '../../../core/mockup/part-changes.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const part = (kind: PartKind, data: object, name = 'Part'): PartContent =>
  partContentSchema.parse({ kind, name, data });
const engine = (more: object = {}) => part('engine', { strokeMm: 54.5, rodLengthMm: 110, ...more });
const exhaust = { portId: 'e', kind: 'exhaust', label: 'Exhaust', widthMm: 37.2 };
const barrel = (ports: readonly object[], boreMm: number | null = 53.6) => part('barrel', { boreMm, ports });
const kinds = (before: PartContent, after: PartContent) => changesOfPart(before, after).map(({ kind }) => kind);

describe('which change of the engine another figure of a part stands for', () => {
  test.each([
    [engine(), engine({ strokeMm: 54 }), ['bottom_end_changed']],
    [engine(), engine({ rodLengthMm: 108 }), ['bottom_end_changed']],
    [engine(), engine({ cylinderOffset: { mm: 1, side: 'away_side' } }), ['bottom_end_changed']],
    [engine(), engine({ pinOffset: { mm: 0.5, side: 'swing_side' } }), ['piston_changed']],
    [engine({ crankPhasesDeg: [0, 180] }), engine({ crankPhasesDeg: [0, 179] }), ['bottom_end_changed']],
    [barrel([exhaust]), barrel([exhaust], 53.7), ['bore_machined']],
    [barrel([exhaust]), barrel([{ ...exhaust, widthMm: 38 }]), ['port_machined']],
    [part('piston', { skirtLengthMm: 38 }), part('piston', { skirtLengthMm: 37 }), ['piston_changed']],
    [part('head', { volumeCc: 10.9 }), part('head', { volumeCc: 10.4 }), ['head_changed']],
    [part('head', { bowlDiameterMm: 38 }), part('head', { bowlDiameterMm: 39 }), ['bowl_machined']],
    [
      part('gasket', { place: 'base', thicknessCrushedMm: 0.45 }),
      part('gasket', { place: 'base', thicknessCrushedMm: 0.72 }),
      ['base_gasket_changed'],
    ],
    [
      part('gasket', { place: 'head', boreMm: 54 }),
      part('gasket', { place: 'head', boreMm: null }),
      ['head_gasket_changed'],
    ],
  ])('case %#', (before, after, expected) => {
    expect(kinds(before, after)).toEqual(expected);
  });

  test.each([
    ['names, marks and notes', engine(), { ...engine(), name: 'Other', marks: '7', notes: 'cleaned' }],
    ['speed and advance', engine(), engine({ speedRpm: 12_000, ignitionAdvanceDeg: 20 })],
    ['the side of no offset', engine(), engine({ cylinderOffset: { mm: 0, side: 'away_side' } })],
    ['another cylinder', engine(), engine({ crankPhasesDeg: [0, 180] })],
    ['a first bore', barrel([exhaust], null), barrel([exhaust])],
    ['a first corner radius', barrel([exhaust]), barrel([{ ...exhaust, cornerRadiusTopMm: 4 }])],
    ['a port that is listed', barrel([]), barrel([exhaust])],
    ['a port that is taken off the list', barrel([exhaust]), barrel([])],
    ['the mass of a piston', part('piston', { massG: 150 }), part('piston', { massG: 148 })],
  ])('%s: none', (_what, before, after) => {
    expect(changesOfPart(before, after)).toEqual([]);
  });

  test('is said with the figure, its unit and the port it belongs to', () => {
    const after = barrel([{ ...exhaust, widthMm: 38.1 }], null);
    expect(partChangesInWords(changesOfPart(barrel([exhaust]), after))).toBe(
      'bore 53.6 mm before, not said now; Exhaust, width 37.2 mm before, 38.1 mm now',
    );
  });
});

describe('what a change of a part voids in the mock-ups', () => {
  const records = new BenchRecords();
  const sheet = records.id();
  const using = (place: object): MockUpWhole => {
    const whole = records.mockUp();
    const readings = [
      records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 92)),
      records.quantity(whole, 'bore_along_pin', 53.6, { position: 'top' }),
    ];
    return { ...whole, mockUp: { ...whole.mockUp, ...place }, readings };
  };
  const before = part('gasket', { place: 'base', thicknessCrushedMm: 0.45 });
  const after = part('gasket', { place: 'base', thicknessCrushedMm: 0.72 });

  test('only those that use it, and only what hangs on it', () => {
    const [other, user] = [using({}), using({ baseGasketId: sheet })];
    const voids = partVoids(sheet, before, after, [other, user]);
    expect(voids).toHaveLength(1);
    expect(voids[0]).toMatchObject({ mockUpId: user.mockUp.id, kinds: ['base_gasket_changed'] });
    expect(voids[0]?.plan).toMatchObject([{ group: 'port_events', readingIds: [user.readings[0]?.id] }]);
  });

  test('a gasket is what the mock-up uses it as, whatever its entry says', () => {
    const voids = partVoids(sheet, before, after, [using({ headGasketId: sheet })]);
    expect(voids[0]?.kinds).toEqual(['head_gasket_changed']);
    const both = partVoids(sheet, before, after, [using({ baseGasketId: sheet, headGasketId: sheet })]);
    expect(both[0]?.kinds).toEqual(['base_gasket_changed', 'head_gasket_changed']);
    expect(partChangesInWords(both[0]?.changes ?? [])).toBe('thickness, crushed 0.45 mm before, 0.72 mm now');
  });

  test('nothing where all that hangs on it is void or struck already', () => {
    const whole = using({ baseGasketId: sheet });
    const [edge] = whole.readings;
    if (edge === undefined) throw new Error('the mock-up has no reading');
    for (const mark of ['void', 'struck'] as const) {
      expect(partVoids(sheet, before, after, [{ ...whole, marks: [records.mark(edge, mark)] }])).toEqual([]);
    }
  });
});
