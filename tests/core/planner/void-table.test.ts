import { describe, expect, test } from 'vitest';
import {
  changesBetween,
  mockUpChangeKinds,
  readingGroups,
  voidedBy,
  voidReasons,
  voidTable,
} from '../../../core/planner/void-table.ts';

const parts = {
  engineId: 'engine',
  barrelId: 'barrel',
  pistonId: 'piston',
  headId: 'head',
  baseGasketId: 'base',
  headGasketId: 'top',
  baseGasketMm: 0.5,
  headGasketMm: 0.4,
};

describe('what becomes void', () => {
  test('the table is as agreed', () => {
    expect(voidTable).toMatchSnapshot();
    expect(readingGroups).toMatchSnapshot();
  });

  test('no reading of the stack is carried across a change of it', () => {
    const stack = ['true_tdc', 'deck', 'port_events', 'squish', 'assembled_volume', 'ignition'];
    for (const change of mockUpChangeKinds) {
      if (change === 'rings_changed' || change === 'bowl_machined') continue;
      expect(voidedBy([change])).toEqual(expect.arrayContaining(stack));
    }
  });

  test('readings of a loose part stay where that part was not touched', () => {
    expect(voidedBy(['base_gasket_changed'])).not.toContain('bore');
    expect(voidedBy(['base_gasket_changed'])).not.toContain('head_volume');
    expect(voidedBy(['rings_changed'])).toEqual(['ring_end_gap']);
    expect(voidedBy([])).toEqual([]);
  });

  test('several changes name each group once and in order', () => {
    const both = voidedBy(['head_changed', 'base_gasket_changed']);
    expect(new Set(both).size).toBe(both.length);
    expect(both).toEqual(readingGroups.filter((group) => both.includes(group)));
    expect(both).toContain('head_volume');
    expect(voidReasons('squish', ['rings_changed', 'head_changed'])).toEqual([voidTable.head_changed.reason]);
    expect(voidReasons('bore', ['rings_changed'])).toEqual([]);
  });

  test('changes are found between two states of a mock-up', () => {
    expect(changesBetween(parts, parts)).toEqual([]);
    expect(changesBetween(parts, { ...parts, engineId: 'x' })).toEqual(['bottom_end_changed']);
    expect(changesBetween(parts, { ...parts, pistonId: 'x' })).toEqual(['piston_changed']);
    expect(changesBetween(parts, { ...parts, barrelId: 'x' })).toEqual(['barrel_changed']);
    expect(changesBetween(parts, { ...parts, headId: null })).toEqual(['head_changed']);
    expect(changesBetween(parts, { ...parts, baseGasketId: 'x', baseGasketMm: 0.8 })).toEqual(['base_gasket_changed']);
    expect(changesBetween(parts, { ...parts, baseGasketMm: 0.8 })).toEqual(['base_gasket_changed']);
    expect(changesBetween(parts, { ...parts, headGasketId: 'x' })).toEqual(['head_gasket_changed']);
    expect(changesBetween(parts, { ...parts, headGasketMm: 0.8 })).toEqual(['head_gasket_changed']);
  });

  test('naming a part for the first time changes nothing that was read', () => {
    const bare = {
      ...parts,
      pistonId: null,
      headId: null,
      baseGasketId: null,
      headGasketId: null,
      baseGasketMm: null,
      headGasketMm: null,
    };
    expect(changesBetween(bare, parts)).toEqual([]);
  });
});
