import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import type { Client } from '../../../core/contract/client.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { changeQuantity } from '../../../core/mockup/steps.ts';
import { contentOfDraft, draftOfPart, type PartDraft } from '../../../renderer/state/part-draft.ts';
import { createPartKeeper } from '../../../renderer/state/part-keeper.ts';
import { makeMockUp, quantityReading } from '../../support/book-records.ts';
import { openBookSession } from '../../support/book-session.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const ask = 'Say first whether the part itself was changed.';

/** An engine in a real book with two mock-ups: one with readings that hang on its stroke, one without any. */
async function open(wrap: (client: Client) => Client = (client) => client) {
  const folder = join(temporaryFolder(), 'book');
  mkdirSync(folder);
  const { books, client } = await openBookSession(folder);
  onTestFinished(() => books.close());
  const { engine, mockUp, barrel, build } = await makeMockUp(client);
  await client.call('mockUp.create', { buildId: build.id, name: 'Bare', engineId: engine.id, barrelId: barrel.id });
  const keep = async (quantity: string, value: number) => {
    const subject = { what: 'quantity' as const, quantity, value, unit: 'mm', typedText: `${value}`, resolution: 0.01 };
    await client.call('reading.add', { reading: quantityReading(mockUp.id, value, { subject }), pictures: [] });
  };
  await keep('deck', 0.1);
  await keep('ring_end_gap', 0.3);
  const first = draftOfPart(engine);
  if (first.kind !== 'engine') throw new Error('an engine was made');
  const keeper = createPartKeeper<PartDraft>(wrap(client), { partId: engine.id, first, contentOf: contentOfDraft });
  const stamps = async () => {
    const { readings, marks } = await client.call('mockUp.whole', { id: mockUp.id });
    return joinStamps(readings, marks);
  };
  return {
    keeper,
    first,
    withStroke: (strokeMm: number) => ({ ...first, data: { ...first.data, strokeMm } }),
    async stroke() {
      const stored = await client.call('part.get', { id: engine.id });
      return stored.kind === 'engine' ? stored.data.strokeMm : null;
    },
    async voided() {
      return (await stamps())
        .filter(({ isVoid }) => isVoid)
        .map(({ current: { subject }, reason }) => [subject.what === 'quantity' ? subject.quantity : '', reason]);
    },
    async changes() {
      return (await stamps()).filter(
        ({ current: { subject }, struck }) =>
          subject.what === 'quantity' && subject.quantity === changeQuantity && !struck,
      );
    },
  };
}

const deckVoid = [['deck', 'Crank, rod or case was changed: everything that depends on them is read again.']];

test('asks before another stroke is kept, and says for each mock-up what would fall', async () => {
  const { keeper, withStroke, stroke, voided } = await open();
  const draft = withStroke(54);
  await expect(keeper.keep(draft)).rejects.toThrow(ask);
  const { question } = keeper.store.getState();
  expect(question?.draft).toBe(draft);
  expect(question?.voids).toMatchObject([{ mockUpName: 'With 0.5 gasket', plan: [{ group: 'deck' }] }]);
  expect(await stroke()).toBe(54.5);
  expect(await voided()).toEqual([]);
});

test('a correction is kept and voids nothing; its undo is none to ask about', async () => {
  const { keeper, first, withStroke, stroke, voided, changes } = await open();
  const draft = withStroke(54);
  keeper.answer(draft, 'corrected');
  await keeper.keep(draft);
  expect(await stroke()).toBe(54);
  expect([await voided(), await changes()]).toEqual([[], []]);
  await keeper.keep(first);
  expect(await stroke()).toBe(54.5);
  expect(keeper.store.getState()).toEqual({ question: null, voidedIn: [] });
});

test('a change is entered in the mock-up and marks what falls; undo and redo take entry and marks along', async () => {
  const { keeper, first, withStroke, stroke, voided, changes } = await open();
  const draft = withStroke(54);
  keeper.answer(draft, 'changed');
  await keeper.keep(draft);
  expect(await voided()).toEqual(deckVoid);
  expect(keeper.store.getState().voidedIn).toEqual(['With 0.5 gasket']);
  const [entry] = await changes();
  expect(entry?.current.note).toBe('Engine 1: stroke 54.5 mm before, 54 mm now');
  await keeper.keep(first);
  expect([await stroke(), await voided(), await changes()]).toEqual([54.5, [], []]);
  expect(keeper.store.getState().voidedIn).toEqual([]);
  await keeper.keep(draft);
  expect([await stroke(), await voided()]).toEqual([54, deckVoid]);
  expect(await changes()).toHaveLength(1);
});

test('an answer holds for its own entry only, and a figure typed back is asked about like any other', async () => {
  const { keeper, withStroke, voided } = await open();
  keeper.answer(withStroke(54), 'corrected');
  await expect(keeper.keep(withStroke(54))).rejects.toThrow(ask);
  const corrected = withStroke(54);
  keeper.answer(corrected, 'corrected');
  await keeper.keep(corrected);
  await expect(keeper.keep(withStroke(54.5))).rejects.toThrow(ask);
  expect(await voided()).toEqual([]);
});

test('what nothing was read with is kept without a question', async () => {
  const { keeper, first, stroke } = await open();
  await keeper.keep({ ...first, name: 'Engine 2', data: { ...first.data, speedRpm: 12_000 } });
  expect(keeper.store.getState().question).toBeNull();
  expect(await stroke()).toBe(54.5);
});

test('where the entry cannot be kept, its marks are taken back', async () => {
  const refused = new Set<string>(['part.update']);
  const { keeper, withStroke, stroke, voided, changes } = await open((client) => ({
    ...client,
    async call(name, input) {
      if (refused.has(name)) throw new Error('The disk is full.');
      return client.call(name, input);
    },
  }));
  const draft = withStroke(54);
  keeper.answer(draft, 'changed');
  await expect(keeper.keep(draft)).rejects.toThrow('The disk is full.');
  expect([await stroke(), await voided(), await changes()]).toEqual([54.5, [], []]);
  refused.clear();
  await keeper.keep(draft);
  expect([await stroke(), await voided()]).toEqual([54, deckVoid]);
});
