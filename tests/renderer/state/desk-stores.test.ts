import { describe, expect, it } from 'vitest';
import { answered, asked, createBookStore, isBookEmpty } from '../../../renderer/state/book-store.ts';
import {
  barrelProblem,
  emptyBarrel,
  emptyEngine,
  engineProblem,
  signedOffsetMm,
  withNewPort,
  withoutPort,
} from '../../../renderer/state/build-draft.ts';
import { changed, createEditor, kept, redone, undone } from '../../../renderer/state/editor.ts';
import { initialPreferences } from '../../../renderer/state/preference-list.ts';
import { fromKept } from '../../../renderer/state/preferences-store.ts';
import { withSpecification } from '../../../renderer/state/specification-effects.ts';

describe('an editor', () => {
  it('goes back and forth over changes, and a new change after undo drops what was undone', () => {
    let state = createEditor(1).getState();
    state = changed(changed(state, 2), 3);
    expect(undone(undone(state)).value).toBe(1);
    expect(redone(undone(state)).value).toBe(3);
    expect(redone(changed(undone(state), 9)).value).toBe(9);
    expect(undone(createEditor(1).getState()).value).toBe(1);
  });

  it('still waits to keep a change that was made while the one before was being kept', () => {
    const state = changed(changed(createEditor(1).getState(), 2), 3);
    expect(kept(state, 2).phase).toBe('changed');
    expect(kept(state, 3).phase).toBe('kept');
  });
});

describe('the draft of a build', () => {
  it("shows core's own sentence at the rod that can't let the crank turn", () => {
    const problem = engineProblem({ ...emptyEngine, name: 'Kart', strokeMm: 54, rodLengthMm: 20 });
    expect(problem?.field).toBe('rodLengthMm');
    expect(problem?.sentence).toContain('27');
    expect(engineProblem({ ...emptyEngine, name: 'Kart', strokeMm: 54, rodLengthMm: 110 })).toBeNull();
  });

  it('adds offsets by the side on which each lies', () => {
    expect(signedOffsetMm({ mm: 1, side: 'swing_side' }, { mm: 0.4, side: 'away_side' })).toBeCloseTo(0.6, 12);
  });

  it('never gives the id of a removed or renamed port to two ports', () => {
    const once = withNewPort(emptyBarrel.data, 'boost', 'Boost', 'none');
    const twice = withNewPort(once, 'boost', 'Boost', 'none');
    const again = withNewPort(withoutPort(twice, 'boost-1'), 'boost', 'Boost', 'none');
    const ids = again.ports.map((port) => port.portId);
    expect(new Set(ids).size).toBe(ids.length);
    expect(new Set(twice.ports.map((port) => port.label)).size).toBe(twice.ports.length);
  });

  it('refuses two ports of one label, which the bench could not tell apart', () => {
    const [first] = emptyBarrel.data.ports;
    if (first === undefined) throw new Error('the usual barrel has ports');
    const twins = {
      ...emptyBarrel,
      name: 'A',
      data: { ...emptyBarrel.data, ports: [first, { ...first, portId: 'x' }] },
    };
    expect(barrelProblem(twins)?.sentence).toContain('Two ports are called "Exhaust"');
  });
});

describe('the book', () => {
  const noRows = { rows: [], total: 0, hits: [] };

  it('leaves out the answer to a search that was replaced meanwhile', () => {
    const first = asked(createBookStore().getState(), 'ka');
    const state = asked(first, 'kart');
    expect(answered(state, first, noRows)).toBe(state);
    expect(answered(state, state, noRows).phase).toBe('ready');
    const narrowed = asked(state, 'kart', { ...state.filter, measured: 'with_readings' });
    expect(answered(narrowed, state, noRows)).toBe(narrowed);
  });

  it('is empty only where nothing was searched for', () => {
    const state = createBookStore().getState();
    expect(isBookEmpty(answered(state, state, noRows))).toBe(true);
    const searched = asked(state, 'x');
    expect(isBookEmpty(answered(searched, searched, noRows))).toBe(false);
    const narrowed = asked(state, '', { ...state.filter, engineId: 'any' });
    expect(isBookEmpty(answered(narrowed, narrowed, noRows))).toBe(false);
  });
});

it('a kept preference of an unknown shape falls back to its default, the others hold', () => {
  expect(fromKept({ lengthUnit: 'furlong', paperSize: 'Letter', unknown: 1 })).toEqual({
    ...initialPreferences,
    paperSize: 'Letter',
  });
});

it('limits of a quantity are replaced, never doubled', () => {
  const limits = (upper: number) => ({
    quantity: 'blowdown',
    nominal: null,
    lower: null,
    upper,
    unit: 'deg',
    source: 'class rule',
    sourceDate: '',
  });
  expect(withSpecification([limits(26)], 'blowdown', limits(27))).toEqual([limits(27)]);
  expect(withSpecification([limits(26)], 'blowdown', null)).toEqual([]);
});
