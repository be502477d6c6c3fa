import { describe, expect, test } from 'vitest';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import type { Reading } from '../../../core/contract/readings.ts';
import { checkResults } from '../../../core/mockup/check-results.ts';
import { type StepId, stepIds } from '../../../core/mockup/step-shape.ts';
import { skippedQuantity } from '../../../core/mockup/steps.ts';
import {
  assemblyOf,
  assemblyProblem,
  voidQuestion,
  withPortCriterion,
} from '../../../renderer/state/assembly-draft.ts';
import { nextPlace, runTally } from '../../../renderer/state/guided-run.ts';
import { BenchRecords } from '../../support/bench-records.ts';

const records = new BenchRecords();
const whole = records.mockUp();

function skipping(...ids: readonly StepId[]): Reading[] {
  return ids.map((id) => records.quantity(whole, skippedQuantity, 1, { position: id, unit: '', resolution: null }));
}

const next = (built: MockUpWhole) => nextPlace(checkResults(built), built);

describe('the one call to action', () => {
  test('leads to the card of the first open step and says what it wants', () => {
    expect(next(whole)).toMatchObject({
      title: 'Box check',
      route: { place: 'checks', step: 'box_check' },
      sentence: 'Wanted: Marks, grade letters, oversize; Room temperature.',
    });
  });

  test('leads to the set-up before the wheel is known, to the bench after, and names the wanted edge there', () => {
    const readings = skipping(...stepIds.slice(0, stepIds.indexOf('true_tdc')));
    expect(next({ ...whole, readings, setups: [] }).route).toMatchObject({ place: 'set-up' });
    expect(next({ ...whole, readings })).toMatchObject({
      action: 'To the bench',
      sentence: 'Piston against the stop, turning forwards.',
      route: { place: 'bench' },
    });
  });

  test('leads to the sheets when every step is done or skipped', () => {
    const built = { ...whole, readings: skipping(...stepIds) };
    expect(next(built).route).toMatchObject({ place: 'sheets' });
    expect(runTally(checkResults(built))).toMatchObject({ skipped: stepIds.length, done: 0, voidOrDoubtful: 0 });
  });

  test('says why a step is to be read again', () => {
    const stroke = records.quantity(whole, 'stroke', 54.5);
    const marks = [records.mark(stroke, 'void', 'Crank was changed.')];
    const readings = [stroke, ...skipping(...stepIds.filter((id) => id !== 'stroke_and_rod'))];
    const built = { ...whole, readings, marks };
    expect(next(built)).toMatchObject({
      title: 'Stroke and rod',
      sentence: expect.stringMatching(/^Crank was changed\. Wanted/),
    });
    expect(runTally(checkResults(built)).voidOrDoubtful).toBe(1);
  });
});

describe('the draft of an assembly', () => {
  const deck = records.quantity(whole, 'deck', 0.1, { position: 'drive_side' });
  const fitted: MockUpWhole = { ...whole, mockUp: { ...whole.mockUp, baseGasketMm: 0.45 }, readings: [deck] };

  test('asks before another gasket makes what was read void, and not for a name', () => {
    const draft = assemblyOf(fitted);
    expect(voidQuestion(fitted, draft)).toBeNull();
    expect(voidQuestion(fitted, { ...draft, name: 'Other' })).toBeNull();
    expect(voidQuestion(fitted, { ...draft, baseGasketMm: 0.72 })).toMatchObject({
      changes: ['base_gasket_changed'],
      plan: [{ group: 'deck', readingIds: [deck.id] }],
    });
    expect(voidQuestion({ ...fitted, readings: [] }, { ...draft, baseGasketMm: 0.72 })).toBeNull();
  });

  test('a criterion of one port needs its thickness and can be taken away again', () => {
    const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
    const own = withPortCriterion(assemblyOf(whole), 't', { kind: 'wire', thicknessMm: 0 });
    expect(assemblyProblem(own, ports)).toMatchObject({ field: 'criterion t' });
    expect(assemblyProblem(withPortCriterion(own, 't', { kind: 'wire', thicknessMm: 0.3 }), ports)).toBeNull();
    expect(withPortCriterion(own, 't', null).portCriteria).toEqual({});
  });
});

describe('what is out of limits when all was read', () => {
  const outOf = (quantity: string, value: number) => {
    const limited = records.mockUp({
      specifications: [{ quantity, nominal: null, lower: 1, upper: 2, unit: 'mm', source: 'manual', sourceDate: '' }],
    });
    const reading = records.quantity(limited, quantity, value);
    const skips = stepIds
      .filter(
        (id) =>
          checkResults({ ...limited, readings: [reading] }).steps.find(({ step }) => step.id === id)?.state === 'open',
      )
      .map((id) => records.quantity(limited, skippedQuantity, 1, { position: id, unit: '', resolution: null }));
    return { ...limited, readings: [reading, ...skips] };
  };

  test('is named and leads to its card', () => {
    expect(next(outOf('stroke', 54.5))).toMatchObject({
      title: 'Every step is read, not every result is within its limits',
      sentence: expect.stringMatching(/^Out of limits: Stroke and rod\./),
      route: { place: 'checks', step: 'stroke_and_rod' },
      action: 'To what is out of limits',
      isStep: false,
    });
  });
});
