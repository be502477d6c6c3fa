import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import type { Client } from '../../../core/contract/client.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import { changeQuantity } from '../../../core/mockup/steps.ts';
import type { FieldPath, Json } from '../../../renderer/state/change-words.ts';
import { putBack } from '../../../renderer/state/put-back.ts';
import { settleConflict } from '../../../renderer/state/settle-conflict.ts';
import { makeMockUp, quantityReading } from '../../support/book-records.ts';
import { openBookSession } from '../../support/book-session.ts';
import { exportBytes, importBytes } from '../../support/books.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

async function openBook() {
  const folder = join(temporaryFolder(), 'book');
  mkdirSync(folder);
  const { books, client } = await openBookSession(folder);
  onTestFinished(() => books.close());
  return client;
}

/** An engine whose stroke was corrected from 54.5 to 54 mm, with a deck reading that hangs on it. */
async function openWithReading() {
  const client = await openBook();
  const made = await makeMockUp(client);
  const subject = { what: 'quantity' as const, quantity: 'deck', value: 0.1, unit: 'mm', typedText: '0.1' };
  await client.call('reading.add', { reading: quantityReading(made.mockUp.id, 0.1, { subject }), pictures: [] });
  return { client, ...made };
}

async function setStroke(client: Client, engineId: string, strokeMm: number): Promise<void> {
  const content = { kind: 'engine' as const, name: 'Engine 1', data: { strokeMm, rodLengthMm: 110 } };
  await client.call('part.update', { id: engineId, content });
}

async function strokeOf(client: Client, engineId: string) {
  const part = await client.call('part.get', { id: engineId });
  return part.kind === 'engine' ? part.data.strokeMm : null;
}

/** Quantities that are void, and the notes of the changes that were entered. */
async function marksOf(client: Client, mockUpId: string) {
  const { readings, marks } = await client.call('mockUp.whole', { id: mockUpId });
  const stamps = joinStamps(readings, marks).map((stamp) => {
    const { subject, note } = stamp.current;
    return { ...stamp, quantity: subject.what === 'quantity' ? subject.quantity : '', note };
  });
  return {
    voided: stamps.filter(({ isVoid }) => isVoid).map(({ quantity }) => quantity),
    changes: stamps.filter(({ quantity, struck }) => quantity === changeQuantity && !struck).map(({ note }) => note),
  };
}

const wish = (entity: string, rowId: string, path: FieldPath, value: Json) => ({
  change: { entity, rowId },
  path,
  title: 'stroke',
  value,
});
const stroke = ['data', 'strokeMm'] as const;

describe('putting back a figure of a part that readings hang on', () => {
  it('asks first, and keeps and marks nothing until it is answered', async () => {
    const { client, engine, mockUp } = await openWithReading();
    await setStroke(client, engine.id, 54);
    const outcome = await putBack(client, { ...wish('part', engine.id, stroke, 54.5), answer: null });
    expect(outcome).toMatchObject({
      kind: 'asked',
      question: {
        note: 'Engine 1: stroke 54 mm before, 54.5 mm now',
        voids: [{ mockUpName: 'With 0.5 gasket', plan: [{ group: 'deck' }] }],
      },
    });
    expect(await strokeOf(client, engine.id)).toBe(54);
    expect(await marksOf(client, mockUp.id)).toEqual({ voided: [], changes: [] });
  });

  it('as a correction keeps the figure and voids nothing', async () => {
    const { client, engine, mockUp } = await openWithReading();
    await setStroke(client, engine.id, 54);
    const outcome = await putBack(client, { ...wish('part', engine.id, stroke, 54.5), answer: 'corrected' });
    expect(outcome).toEqual({ kind: 'kept', voidedIn: [] });
    expect(await strokeOf(client, engine.id)).toBe(54.5);
    expect(await marksOf(client, mockUp.id)).toEqual({ voided: [], changes: [] });
  });

  it('as a change enters it in the mock-up and marks what falls', async () => {
    const { client, engine, mockUp } = await openWithReading();
    await setStroke(client, engine.id, 54);
    const outcome = await putBack(client, { ...wish('part', engine.id, stroke, 54.5), answer: 'changed' });
    expect(outcome).toEqual({ kind: 'kept', voidedIn: ['With 0.5 gasket'] });
    expect(await strokeOf(client, engine.id)).toBe(54.5);
    expect(await marksOf(client, mockUp.id)).toEqual({
      voided: ['deck'],
      changes: ['Engine 1: stroke 54 mm before, 54.5 mm now'],
    });
  });

  it('takes the marks back where the figure cannot be kept', async () => {
    const { client, engine, mockUp } = await openWithReading();
    await setStroke(client, engine.id, 54);
    const failing: Client = {
      ...client,
      async call(name, input) {
        if (name === 'part.update') throw new Error('The disk is full.');
        return client.call(name, input);
      },
    };
    await expect(putBack(failing, { ...wish('part', engine.id, stroke, 54.5), answer: 'changed' })).rejects.toThrow(
      'The disk is full.',
    );
    expect(await strokeOf(client, engine.id)).toBe(54);
    expect(await marksOf(client, mockUp.id)).toEqual({ voided: [], changes: [] });
  });

  it('is not asked about where nothing was read with it, nor where it stands like that already', async () => {
    const { client, engine } = await openWithReading();
    expect(await putBack(client, { ...wish('part', engine.id, stroke, 54.5), answer: null })).toEqual({
      kind: 'stands',
    });
    expect(await putBack(client, { ...wish('part', engine.id, ['marks'], 'E1'), answer: null })).toEqual({
      kind: 'kept',
      voidedIn: [],
    });
  });
});

it("putting back a mock-up's gasket asks and marks in the same way", async () => {
  const { client, mockUp } = await openWithReading();
  const { id, workplaceId: _workplace, createdAt: _time, ...content } = mockUp;
  await client.call('mockUp.update', { id, content: { ...content, baseGasketMm: 0.5 } });
  await client.call('mockUp.update', { id, content: { ...content, baseGasketMm: 0.3 } });
  const asked = await putBack(client, { ...wish('mock_up', id, ['baseGasketMm'], 0.5), answer: null });
  expect(asked).toMatchObject({ kind: 'asked', question: { voids: [{ kinds: ['base_gasket_changed'] }] } });
  expect((await client.call('mockUp.whole', { id })).mockUp.baseGasketMm).toBe(0.3);
  await putBack(client, { ...wish('mock_up', id, ['baseGasketMm'], 0.5), answer: 'changed' });
  expect((await client.call('mockUp.whole', { id })).mockUp.baseGasketMm).toBe(0.5);
  expect((await marksOf(client, id)).voided).toEqual(['deck']);
});

it('taking the other version of a part asks before readings that hang on it lose their ground', async () => {
  const { client, engine, mockUp } = await openWithReading();
  const other = await openBook();
  await importBytes(other, await exportBytes(client, { scope: 'book' }));
  await setStroke(other, engine.id, 53);
  await setStroke(client, engine.id, 54);
  await importBytes(client, await exportBytes(other, { scope: 'book' }));
  const [conflict] = await client.call('conflict.list', {});
  if (conflict === undefined) throw new Error('both sides changed the engine');
  expect(await settleConflict(client, conflict, 'other', null)).toMatchObject({ kind: 'asked' });
  expect(await client.call('conflict.list', {})).toHaveLength(1);
  expect(await settleConflict(client, conflict, 'other', 'changed')).toMatchObject({ kind: 'kept' });
  expect(await client.call('conflict.list', {})).toEqual([]);
  expect(await strokeOf(client, engine.id)).toBe(53);
  expect((await marksOf(client, mockUp.id)).voided).toEqual(['deck']);
});
