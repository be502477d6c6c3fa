import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { MockUp, Part } from '../../../core/contract/parts.ts';
import { bookPlaces, routeOfPlace } from '../../../renderer/state/book-route.ts';
import { fieldChanges, type Json, same, valueAt, withValueAt } from '../../../renderer/state/change-words.ts';
import {
  mappingProblem,
  oddityOf,
  roleOf,
  unitQuestion,
  withQuantity,
  withRole,
} from '../../../renderer/state/csv-mapping.ts';
import { parseState } from '../../../renderer/state/exchange-effects.ts';
import { contentOfDraft, emptyPart, partProblem } from '../../../renderer/state/part-draft.ts';
import { shownParts, withUses } from '../../../renderer/state/part-list.ts';
import { formatRoute, parseRoute, type Route, wayBack } from '../../../renderer/state/route.ts';
import { createTask, runTask, stopTask } from '../../../renderer/state/task.ts';

const id = '01900000-0000-7000-8000-000000000001';

describe('the places of the book', () => {
  const routes: Route[] = [
    ...bookPlaces.map(routeOfPlace),
    { screen: 'part', partId: id },
    { screen: 'new-part', kind: 'piston' },
    { screen: 'customers', customerId: id },
    { screen: 'history', of: 'build', id },
    { screen: 'history', of: 'record', id },
  ];
  it.each(routes)('$screen has an address that leads to it again', (route) => {
    expect(parseRoute(formatRoute(route))).toEqual(route);
  });

  it('lead back to the book in one step or two, and the history of a build to that build', () => {
    for (const route of routes) {
      const once = wayBack(route, null);
      expect(once).not.toBeNull();
      if (once?.screen !== 'book') expect(['parts', 'build']).toContain(once?.screen);
    }
    expect(wayBack({ screen: 'history', of: 'build', id }, null)).toEqual({ screen: 'build', buildId: id });
  });

  it('that are unknown lead to the list of builds', () => {
    expect(parseRoute('#/book/cellar')).toEqual({ screen: 'book' });
    expect(parseRoute('#/book/parts/new/gearbox')).toEqual({ screen: 'parts' });
    expect(parseRoute('#/book/history/build/nonsense')).toEqual({ screen: 'history', of: null, id: null });
  });
});

describe('a change in words', () => {
  const barrel = (widthMm: number | null, more: Json[] = []) => ({
    kind: 'barrel',
    name: 'A',
    data: { boreMm: 53.6, ports: [{ portId: 'exhaust', label: 'Exhaust', widthMm }, ...more] },
  });

  it('names only the field that differs, also inside a port', () => {
    expect(fieldChanges(barrel(37), barrel(38))).toEqual([
      { path: ['data', 'ports', { key: 'portId', id: 'exhaust' }, 'widthMm'], before: 37, after: 38 },
    ]);
  });

  it('takes an added port for an addition, not for a change of all', () => {
    const boost = { portId: 'boost', label: 'Boost', widthMm: null };
    expect(fieldChanges(barrel(37), barrel(37, [boost]))).toEqual([
      { path: ['data', 'ports', { key: 'portId', id: 'boost' }], before: undefined, after: boost },
    ]);
  });

  it('put back field by field gives the earlier record again', () => {
    const number = fc.oneof(fc.constant(null), fc.double({ noNaN: true, noDefaultInfinity: true }));
    const record = fc.record({
      name: fc.string({ minLength: 1 }),
      data: fc.record({
        boreMm: number,
        ports: fc.uniqueArray(fc.record({ portId: fc.constantFrom('a', 'b', 'c', 'd'), widthMm: number }), {
          selector: (port) => port.portId,
          minLength: 1,
        }),
      }),
    });
    fc.assert(
      fc.property(record, record, (before, after) => {
        const back = fieldChanges(before, after).reduce<ReturnType<typeof withValueAt>>(
          (value, change) => withValueAt(value, change.path, change.before),
          after,
        );
        for (const change of fieldChanges(before, after)) {
          expect(same(valueAt(back, change.path), change.before)).toBe(true);
        }
        // The order of ports isn't a value: those that came back stand at the end.
        expect(fieldChanges(before, back as Json)).toEqual([]);
      }),
    );
  });
});

describe('a part', () => {
  it.each(['engine', 'barrel', 'piston', 'head', 'gasket'] as const)('of kind %s needs a name', (kind) => {
    expect(partProblem(emptyPart(kind))?.field).toBe('name');
  });

  it('keeps the limits that were set elsewhere while it was edited', () => {
    const limit = { quantity: 'bore', nominal: null, lower: 53, upper: 54, unit: 'mm', source: 'x', sourceDate: '' };
    const stored = { ...emptyPart('piston'), name: 'P' };
    if (stored.kind !== 'piston') throw new Error('a piston was asked for');
    const content = contentOfDraft(
      { ...stored, marks: 'new' },
      { ...stored, data: { ...stored.data, specifications: [limit] } },
    );
    expect(content).toMatchObject({ marks: 'new', data: { specifications: [limit] } });
  });

  it('is listed with every mock-up that uses it, and found by name, marks and notes', () => {
    const part = (name: string, kind: Part['kind'], marks = '') =>
      ({ id: name, createdAt: '2026-01-01T00:00:00.000Z', name, kind, marks, notes: '' }) as Part;
    const mockUp = {
      id: 'm',
      engineId: 'E',
      barrelId: 'A',
      pistonId: 'P',
      headId: null,
      baseGasketId: 'G',
      headGasketId: 'G',
    };
    const listed = withUses(
      [part('A', 'barrel', 'two dots'), part('P', 'piston'), part('G', 'gasket'), part('X', 'head')],
      [mockUp as unknown as MockUp],
    );
    expect(listed.map(({ part: one, usedIn }) => [one.name, usedIn.length])).toEqual([
      ['A', 1],
      ['P', 1],
      ['G', 1],
      ['X', 0],
    ]);
    const found = (text: string) =>
      shownParts(listed, { kind: null, text, order: 'name' }).map(({ part: one }) => one.name);
    expect(found('dots two')).toEqual(['A']);
    expect(found('')).toEqual(['A', 'G', 'P', 'X']);
    expect(shownParts(listed, { kind: 'head', text: '', order: 'uses' })).toHaveLength(1);
  });
});

describe('the mapping of a table', () => {
  const mapping = {
    delimiter: ',',
    decimal: 'point',
    hasHeader: true,
    valueColumn: 2,
    quantityColumn: 0,
    quantity: '',
    unitColumn: -1,
    unit: 'mm',
    positionColumn: -1,
    noteColumn: -1,
    takenAtColumn: -1,
  } as const;

  it('gives a role to one column only, and never takes the reading away', () => {
    const moved = withRole(mapping, 1, 'quantity');
    expect([roleOf(moved, 0), roleOf(moved, 1), roleOf(moved, 2)]).toEqual(['nothing', 'quantity', 'value']);
    expect(withRole(moved, 2, 'nothing')).toBe(moved);
    expect(roleOf(withRole(moved, 3, 'value'), 2)).toBe('nothing');
  });

  it('wants to know what was read before anything is stored', () => {
    expect(mappingProblem(mapping)).toBeNull();
    expect(mappingProblem(withRole(mapping, 0, 'nothing'))).toContain('Say what was read');
  });

  it('takes a unit for granted only where the quantity can have no other, and asks for it otherwise', () => {
    const bare = { ...mapping, unit: '' };
    expect(withQuantity(bare, 'ring_end_gap')).toMatchObject({ quantity: 'ring_end_gap', unit: '' });
    expect(withQuantity(bare, 'head_poured').unit).toBe('');
    expect(withQuantity(bare, 'torque_barrel').unit).toBe('N·m');
    expect(withQuantity(bare, 'zeroed_duration').unit).toBe('deg');
    expect(withQuantity({ ...bare, unit: 'thou' }, 'ring_end_gap').unit).toBe('thou');
    expect(unitQuestion(0)).toBeNull();
    expect(unitQuestion(1)).toMatch(/^1 line has no unit: .*Say which unit it is\.$/);
    expect(unitQuestion(3)).toMatch(/^3 lines have no unit/);
  });

  it('says what is odd about a line that can be stored all the same', () => {
    const line = { line: 1, quantity: 'stroke', position: '', value: 54.5, unit: 'mm', note: '' };
    expect(oddityOf(line)).toBeNull();
    expect(oddityOf({ ...line, unit: '' })).toContain('no unit');
    expect(oddityOf({ ...line, value: 300 })).toContain('decimal mark');
    expect(oddityOf({ ...line, value: 2.1457, unit: 'in' })).toBeNull();
    expect(oddityOf({ ...line, value: 54.5, unit: 'in' })).toContain('decimal mark');
    expect(oddityOf({ ...line, unit: 'Zoll' })).toContain('no way there from "Zoll"');
    expect(oddityOf({ ...line, position: 'attic' })).toContain('no such place');
    expect(oddityOf({ ...line, quantity: 'luck' })).toContain('no step');
  });
});

describe('the state of another book', () => {
  it('is read back, and anything else is refused with what to do', () => {
    const text = JSON.stringify({
      format: 'portsight-state',
      version: 1,
      workplaceName: 'bench 2',
      known: { [id]: 7 },
    });
    expect(parseState(text)).toEqual({ workplaceName: 'bench 2', known: { [id]: 7 } });
    for (const wrong of [
      '',
      '{}',
      '[]',
      text.replace('7', '-1'),
      text.replace(id, 'x'),
      text.replace('portsight', 'else'),
    ]) {
      expect(() => parseState(wrong)).toThrow('not the state of a book');
    }
    expect(() => parseState(text.replace('"version":1', '"version":2'))).toThrow('update Portsight');
  });
});

describe('longer work', () => {
  it('runs once at a time and says how it ended', async () => {
    const task = createTask();
    let finish: (sentence: string) => void = () => {};
    const first = runTask(task, 'first', () => new Promise((resolve) => (finish = resolve)));
    expect(await runTask(task, 'second', async () => 'never')).toBe(false);
    expect(task.getState()).toMatchObject({ phase: 'running', sentence: 'first' });
    finish('well');
    expect(await first).toBe(true);
    expect(task.getState()).toMatchObject({ phase: 'done', sentence: 'well' });
  });

  it('that is stopped says so instead of failing', async () => {
    const task = createTask();
    const running = runTask(task, 'work', async ({ signal, say }) => {
      say('half', 0.5, true);
      await Promise.resolve();
      signal.throwIfAborted();
      return 'done';
    });
    expect(task.getState()).toMatchObject({ part: 0.5, canStop: true });
    stopTask(task);
    expect(await running).toBe(false);
    expect(task.getState().phase).toBe('stopped');
  });

  it('that fails shows the sentence of the failure', async () => {
    const task = createTask();
    await runTask(task, 'work', async () => {
      throw new Error('The disk is full.');
    });
    expect(task.getState()).toMatchObject({ phase: 'failed', sentence: 'The disk is full.' });
  });
});
