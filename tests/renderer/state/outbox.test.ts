import { expect, test } from 'vitest';
import { CallFailure } from '../../../core/contract/client.ts';
import { createOutbox } from '../../../renderer/state/outbox.ts';

const atOnce = (): Promise<void> => Promise.resolve();

test('what failed is kept, tried again and stored in the order in which it was put in', async () => {
  const outbox = createOutbox(atOnce);
  const stored: string[] = [];
  let failures = 3;
  outbox.put('first', async () => {
    if (failures > 0) {
      failures -= 1;
      throw new CallFailure({ code: 'database_locked', message: 'The book is busy.' });
    }
    stored.push('first');
  });
  outbox.put('second', async () => {
    stored.push('second');
  });
  await outbox.empty();
  expect(stored).toEqual(['first', 'second']);
  expect(outbox.store.getState()).toMatchObject({ waiting: 0, failure: null, refused: [] });
});

test('what the host refuses for good is said and does not hold up the rest', async () => {
  const outbox = createOutbox(atOnce);
  const stored: string[] = [];
  outbox.put('bad', () => Promise.reject(new CallFailure({ code: 'bad_input', message: 'angle: is missing' })));
  outbox.put('good', async () => {
    stored.push('good');
  });
  await outbox.empty();
  expect(stored).toEqual(['good']);
  expect(outbox.store.getState().refused).toEqual([{ label: 'bad', sentence: 'angle: is missing' }]);
});
