import { describe, expect, test } from 'vitest';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { skippedQuantity } from '../../../core/mockup/steps.ts';
import {
  changesOfMockUp,
  groupOf,
  recordableChanges,
  voidedInWords,
  voidPlan,
} from '../../../core/mockup/void-plan.ts';
import { mockUpChangeKinds } from '../../../core/planner/void-table.ts';
import { BenchRecords } from '../../support/bench-records.ts';

describe('what a change voids among the readings', () => {
  const records = new BenchRecords();
  const whole = records.mockUp();
  const stop = records.stop(whole, 'forwards', records.camera(whole, 330));
  const edge = records.edge(whole, 'e', 'opens', 'forwards', records.camera(whole, 92));
  const bore = records.quantity(whole, 'bore_along_pin', 53.6, { position: 'top' });
  const deck = records.quantity(whole, 'deck', 0.1, { position: 'drive_side' });
  const struckDeck = records.quantity(whole, 'deck', 0.9, { position: 'drive_side' });
  const skip = records.quantity(whole, skippedQuantity, 1, { position: 'torque', unit: '' });
  const stamps = joinStamps([stop, edge, bore, deck, struckDeck, skip], [records.mark(struckDeck, 'struck')]);

  test('another base gasket voids what was read on the stack and leaves the bore', () => {
    const plan = voidPlan(['base_gasket_changed'], stamps);
    expect(plan.map(({ group, readingIds }) => [group, readingIds])).toEqual([
      ['true_tdc', [stop.id]],
      ['deck', [deck.id]],
      ['port_events', [edge.id]],
    ]);
    expect(plan[0]?.reason).toMatch(/base gasket was changed/);
    expect(voidedInWords(plan)).toBe('true TDC (1), deck (1) and port events (1)');
  });

  test('new rings void nothing here, no change voids nothing, a skip stands through all', () => {
    expect(voidPlan(['rings_changed'], stamps)).toEqual([]);
    expect(voidPlan([], stamps)).toEqual([]);
    expect(voidedInWords([])).toBe('');
    const all = voidPlan(mockUpChangeKinds, stamps).flatMap(({ readingIds }) => readingIds);
    expect(all).not.toContain(skip.id);
    expect(all).not.toContain(struckDeck.id);
    expect(stamps.filter((stamp) => groupOf(stamp) === null).map(({ root }) => root.id)).toEqual([skip.id]);
  });

  test('a gasket named for the first time changes nothing, another one does', () => {
    expect(changesOfMockUp(whole.mockUp, { baseGasketMm: 0.45 })).toEqual([]);
    const fitted = { ...whole.mockUp, baseGasketMm: 0.45 };
    expect(changesOfMockUp(fitted, { baseGasketMm: 0.72, name: 'Other' })).toEqual(['base_gasket_changed']);
    expect(changesOfMockUp(fitted, { name: 'Other' })).toEqual([]);
  });

  test('every change that can be recorded by hand is one of the table, each once', () => {
    const kinds = recordableChanges.map(({ kind }) => kind);
    expect(new Set(kinds).size).toBe(kinds.length);
    expect(kinds.every((kind) => mockUpChangeKinds.includes(kind))).toBe(true);
  });
});
