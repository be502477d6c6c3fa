import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import type { Client } from '../../../core/contract/client.ts';
import { checkResults } from '../../../core/mockup/check-results.ts';
import { joinStamps, type Stamp } from '../../../core/mockup/stamps.ts';
import { voidPlan } from '../../../core/mockup/void-plan.ts';
import { differenceOf } from '../../../renderer/screens/checks/as-typed.ts';
import { type CheckSession, createCheckSession, type TypedQuantity } from '../../../renderer/state/check-session.ts';
import { withLocal } from '../../../renderer/state/local-rows.ts';
import { loadMockUp } from '../../../renderer/state/mock-up-effects.ts';
import { createMockUpStore } from '../../../renderer/state/mock-up-store.ts';
import { createOutbox } from '../../../renderer/state/outbox.ts';
import { makeMockUp } from '../../support/book-records.ts';
import { openBookSession } from '../../support/book-session.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

/** A mock-up of a real book with a session at its checks. */
async function open(wrap: (client: Client) => Client = (client) => client) {
  const folder = join(temporaryFolder(), 'book');
  mkdirSync(folder);
  const book = await openBookSession(folder);
  const { mockUp } = await makeMockUp(book.client);
  const store = createMockUpStore(mockUp.id);
  await loadMockUp(book.client, store);
  const outbox = createOutbox(() => new Promise((resolve) => setTimeout(resolve, 2)));
  let clock = Date.parse('2026-03-01T10:00:00.000Z');
  const now = () => {
    clock += 1000;
    return new Date(clock);
  };
  const session = createCheckSession({ client: wrap(book.client), mockUp: store, outbox, now });
  const shown = () => {
    const { whole } = store.getState();
    if (whole === null) throw new Error('the mock-up was not read');
    return withLocal(whole, session.store.getState());
  };
  return {
    book,
    session,
    outbox,
    shown,
    stamps: (): Stamp[] => joinStamps(shown().readings, shown().marks),
    /** Waits for the book and reads the mock-up again, as the page does when it is told of a change. */
    async settle() {
      await outbox.empty();
      await loadMockUp(book.client, store);
    },
  };
}

const stroke = (value: number, text = `${value} mm`): TypedQuantity => ({
  quantity: 'stroke',
  position: '',
  value,
  unit: 'mm',
  typedText: text,
  resolution: 0.02,
  instrumentId: null,
});

const standing = (stamps: readonly Stamp[]) =>
  stamps
    .filter(({ struck, isVoid }) => !struck && !isVoid)
    .map(({ current: { subject } }) => (subject.what === 'quantity' ? subject.value : null));

test('a reading counts at once, is stored with who took it, and leaves no copy behind', async () => {
  const { book, session, stamps, settle, shown } = await open();
  session.setMeasuredBy('R. Holt');
  session.keep('Stroke', stroke(54.5));
  expect(standing(stamps())).toEqual([54.5]);
  await settle();
  expect(session.store.getState().localReadings).toEqual([]);
  expect(shown().readings).toHaveLength(1);
  expect(shown().readings[0]).toMatchObject({ measuredBy: 'R. Holt', signal: 'typed' });
  book.books.close();
});

test('undo strikes, redo restores, a correction goes back and forth, and nothing is ever lost', async () => {
  const { book, session, stamps, settle } = await open();
  session.keep('Stroke', stroke(45.5));
  await settle();
  const [typo] = stamps();
  if (typo === undefined) throw new Error('nothing was kept');
  session.correct(typo, stroke(54.5), 'figures swapped');
  await settle();
  expect(standing(stamps())).toEqual([54.5]);
  expect(stamps()[0]?.history).toHaveLength(2);
  session.undo();
  await settle();
  expect(standing(stamps())).toEqual([45.5]);
  session.redo();
  await settle();
  expect(standing(stamps())).toEqual([54.5]);
  session.undo();
  session.undo();
  await settle();
  expect(standing(stamps())).toEqual([]);
  session.undo();
  session.redo();
  session.redo();
  await settle();
  expect(standing(stamps())).toEqual([54.5]);
  session.redo();
  // One reading and each turn of its correction stand in the history of one stamp.
  expect(stamps()).toHaveLength(1);
  expect(stamps()[0]?.history.map(({ subject }) => (subject.what === 'quantity' ? subject.value : 0))).toEqual([
    45.5, 54.5, 45.5, 54.5, 45.5, 54.5,
  ]);
  book.books.close();
});

test('striking keeps the reason; a new reading after undo drops what was undone', async () => {
  const { book, session, stamps, settle } = await open();
  session.keep('Stroke', stroke(54.5));
  await settle();
  const [first] = stamps();
  if (first === undefined) throw new Error('nothing was kept');
  session.strike(first, 'gauge slipped');
  await settle();
  expect(stamps()[0]).toMatchObject({ struck: true, reason: 'gauge slipped' });
  session.undo();
  await settle();
  expect(standing(stamps())).toEqual([54.5]);
  session.keep('Stroke', stroke(54.52));
  expect(session.store.getState().future).toEqual([]);
  book.books.close();
});

test('a skip is in the book with its reason, is taken up again, and both can be undone', async () => {
  const { book, session, settle, shown } = await open();
  const state = () => checkResults(shown()).steps[1];
  session.skip('flatness', 'Flatness', 'no straightedge here');
  await settle();
  expect(state()).toMatchObject({ state: 'skipped', reason: 'no straightedge here' });
  const skip = state()?.skip;
  if (skip === null || skip === undefined) throw new Error('the skip is not kept');
  session.takeUp(skip);
  await settle();
  expect(state()?.state).toBe('open');
  session.undo();
  await settle();
  expect(state()?.state).toBe('skipped');
  session.undo();
  await settle();
  expect(state()?.state).toBe('open');
  book.books.close();
});

test('a recorded change marks what it voids, and undo makes all of it valid again', async () => {
  const { book, session, stamps, settle } = await open();
  session.keep('Stroke', stroke(54.5));
  session.keep('Deck', { ...stroke(0.1), quantity: 'deck', position: 'drive_side' });
  await settle();
  const plan = voidPlan(['base_gasket_changed'], stamps());
  session.recordChange('base_gasket_changed', 'The base gasket was changed', 'the thicker one', plan);
  await settle();
  const deck = () =>
    stamps().find(({ current: { subject } }) => subject.what === 'quantity' && subject.quantity === 'deck');
  expect(deck()).toMatchObject({ isVoid: true, reason: plan[0]?.reason });
  expect(stamps().filter(({ isVoid }) => isVoid)).toHaveLength(1);
  session.undo();
  await settle();
  expect(deck()?.isVoid).toBe(false);
  session.redo();
  await settle();
  expect(deck()?.isVoid).toBe(true);
  book.books.close();
});

test('while the host does not answer, readings wait in order and count all the same', async () => {
  const host: { isDown: boolean } = { isDown: true };
  const failing = (client: Client): Client => ({
    ...client,
    call: (name, input) =>
      host.isDown && name === 'reading.add' ? Promise.reject(new Error('the host is away')) : client.call(name, input),
  });
  const { book, session, outbox, stamps, settle, shown } = await open(failing);
  keepTwo(session);
  await new Promise((resolve) => setTimeout(resolve, 20));
  expect(standing(stamps())).toEqual([54.5, 54.52]);
  expect(outbox.store.getState()).toMatchObject({ waiting: 2 });
  host.isDown = false;
  await settle();
  expect(shown().readings.map(({ subject }) => (subject.what === 'quantity' ? subject.value : 0))).toEqual([
    54.5, 54.52,
  ]);
  expect(outbox.store.getState()).toMatchObject({ waiting: 0, failure: null });
  book.books.close();
});

function keepTwo(session: CheckSession): void {
  session.keep('Stroke', stroke(54.5));
  session.keep('Stroke', stroke(54.52));
}

test('a burette read at start and end keeps both readings, and its step counts twice', async () => {
  const { session, settle, shown, stamps } = await open();
  session.keep('Poured', {
    quantity: 'head_poured',
    position: '',
    value: differenceOf(0.4, 11.7),
    unit: 'cm3',
    typedText: '0.4 to 11.7 cm3',
    resolution: 0.1,
    instrumentId: null,
    fromTo: { start: 0.4, end: 11.7 },
  });
  await settle();
  const [stamp] = stamps();
  expect(stamp?.current.subject).toMatchObject({ value: 11.3, fromTo: { start: 0.4, end: 11.7 }, resolution: 0.1 });
  const poured = checkResults(shown())
    .steps.flatMap(({ places }) => places)
    .find(({ quantity }) => quantity.id === 'head_poured');
  expect(poured?.value?.value).toBe(11.3);
  expect(poured?.value?.sigma).toBeCloseTo(Math.SQRT2 * (0.1 / Math.sqrt(12)), 12);
});
