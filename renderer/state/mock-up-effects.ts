import type { Client } from '../../core/contract/client.ts';
import { failed, loaded, type MockUpStore } from './mock-up-store.ts';
import { sentenceOf } from './sentence-of.ts';

/** Asks the host for everything of the mock-up; an answer that comes after a later one is dropped. */
const askedFor = new WeakMap<MockUpStore, number>();

export async function loadMockUp(client: Client, store: MockUpStore): Promise<void> {
  const turn = (askedFor.get(store) ?? 0) + 1;
  askedFor.set(store, turn);
  try {
    const whole = await client.call('mockUp.whole', { id: store.getState().mockUpId });
    if (askedFor.get(store) === turn) store.setState(loaded(store.getState(), whole));
  } catch (error) {
    if (askedFor.get(store) === turn) store.setState(failed(store.getState(), sentenceOf(error)));
  }
}

/** Loads now and again whenever the host announces a change. @returns ends the watch */
export function watchMockUp(client: Client, store: MockUpStore): () => void {
  void loadMockUp(client, store);
  return client.listen((announcement) => {
    const isOurs = announcement.topic === 'mock_up_changed' && announcement.id === store.getState().mockUpId;
    // A part shared by several mock-ups is announced as a change of the book.
    if (isOurs || announcement.topic === 'book_changed') void loadMockUp(client, store);
  });
}
