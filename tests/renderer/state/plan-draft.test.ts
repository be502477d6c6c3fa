import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { planSchema } from '../../../core/contract/plans.ts';
import {
  emptyPlan,
  nextPlanName,
  planProblem,
  withFoundChange,
  withGasket,
  withGround,
  withNumber,
} from '../../../renderer/state/plan-draft.ts';
import { gasketsFor, keepPlan, mockUpFromPlan, removePlan } from '../../../renderer/state/plan-effects.ts';
import { makeMockUp } from '../../support/book-records.ts';
import { type BookSession, openBookSession } from '../../support/book-session.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const planId = '01890000-0000-7000-8000-000000000001';
const gasketId = '01890000-0000-7000-8000-000000000002';
const start = emptyPlan(planId, 'Plan 1');

describe('a plan being made', () => {
  test('numbers come and go, and 0 is no cut', () => {
    const cut = withNumber(start, 'headCutMm', 0.2);
    expect(cut.change).toEqual({ headCutMm: 0.2 });
    expect(withNumber(cut, 'headCutMm', null).change).toEqual({});
    expect(withNumber(cut, 'headCutMm', 0).change).toEqual({});
    expect(start.change).toEqual({});
  });

  test('a gasket of the list is its thickness less the fitted one, without the noise of the subtraction', () => {
    const plan = withGasket(start, 'base', { id: gasketId, thicknessMm: 0.8 }, 0.7);
    expect(plan).toMatchObject({ baseGasketId: gasketId, change: { baseGasketChangeMm: 0.1 } });
    expect(withNumber(plan, 'baseGasketChangeMm', 0.2).baseGasketId).toBeNull();
    expect(withGasket(plan, 'base', null, 0.7)).toEqual(start);
  });

  test('edges are ground port by port', () => {
    const two = withGround(withGround(start, 'edgeGroundMm', 'e', 0.4), 'edgeGroundMm', 't', 0.2);
    expect(two.change).toEqual({ edgeGroundMm: { e: 0.4, t: 0.2 } });
    expect(withGround(two, 'edgeGroundMm', 'e', null).change).toEqual({ edgeGroundMm: { t: 0.2 } });
    expect(withGround(withGround(two, 'edgeGroundMm', 'e', null), 'edgeGroundMm', 't', 0).change).toEqual({});
  });

  test('a found change takes the place of what was planned; the name stays', () => {
    const planned = withNumber({ ...start, name: 'For wet tracks' }, 'deckCutMm', 0.3);
    const found = withFoundChange(planned, {
      baseGasketChangeMm: 0.1234567891,
      edgeGroundMm: { e: 0.4 },
      bowlCutCc: 0,
    });
    expect(found).toMatchObject({
      name: 'For wet tracks',
      change: { baseGasketChangeMm: 0.123457, edgeGroundMm: { e: 0.4 } },
    });
    expect(found.change).not.toHaveProperty('deckCutMm');
    expect(planSchema.safeParse(found).success).toBe(true);
  });

  test('names count on, and an empty one waits', () => {
    expect(nextPlanName([])).toBe('Plan 1');
    expect(nextPlanName([{ ...start, name: 'Plan 2' }])).toBe('Plan 3');
    expect(planProblem({ ...start, name: ' ' })).toBe('Give the plan a name.');
    expect(planProblem(start)).toBeNull();
  });
});

describe('plans in the book', () => {
  let session: BookSession;
  beforeEach(async () => {
    session = await openBookSession(temporaryFolder());
  });
  afterEach(() => session.books.close());

  test('are kept with the mock-up, each version in its history', async () => {
    const { client } = session;
    const { mockUp } = await makeMockUp(client);
    await keepPlan(client, mockUp.id, withNumber(start, 'headCutMm', 0.2));
    await keepPlan(client, mockUp.id, withNumber(start, 'headCutMm', 0.3));
    const whole = await client.call('mockUp.whole', { id: mockUp.id });
    expect(whole.mockUp.plans).toEqual([withNumber(start, 'headCutMm', 0.3)]);
    const history = await client.call('history.list', { rowId: mockUp.id });
    expect(JSON.stringify(history)).toContain('"headCutMm":0.2');
    await removePlan(client, mockUp.id, planId);
    expect((await client.call('mockUp.whole', { id: mockUp.id })).mockUp.plans).toEqual([]);
  });

  test('a mock-up made from a plan has the planned gaskets, no readings, and the work in its notes', async () => {
    const { client } = session;
    const { mockUp } = await makeMockUp(client);
    const { id, workplaceId: _, createdAt: __, ...content } = mockUp;
    await client.call('mockUp.update', { id, content: { ...content, baseGasketMm: 0.45, notes: 'First pull-down.' } });
    const plan = withNumber(withNumber(start, 'baseGasketChangeMm', 0.27), 'headGasketChangeMm', 0.1);
    await keepPlan(client, id, plan);
    const made = await mockUpFromPlan(client, id, plan, ['Base gasket 0.27 mm thicker']);
    const whole = await client.call('mockUp.whole', { id: made });
    expect(whole.mockUp).toMatchObject({
      name: 'With 0.5 gasket, Plan 1',
      copiedFromId: id,
      baseGasketMm: 0.72,
      // Not known before, so not known after.
      headGasketMm: null,
      plans: [],
      notes: 'First pull-down.\nPlan 1 of "With 0.5 gasket":\n- Base gasket 0.27 mm thicker',
    });
    expect(whole.readings).toEqual([]);
    expect((await client.call('mockUp.whole', { id })).mockUp.plans).toHaveLength(1);
  });

  test('gaskets are listed for their own place only', async () => {
    const { client } = session;
    for (const place of ['base', 'head'] as const) {
      await client.call('part.create', {
        kind: 'gasket',
        name: `${place} gasket`,
        data: { place, thicknessNewMm: 0.5 },
      });
    }
    expect((await gasketsFor(client, 'base')).map(({ name }) => name)).toEqual(['base gasket']);
  });
});
