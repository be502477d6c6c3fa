import type { Client } from '../../core/contract/client.ts';
import { answered, asked, type BookStore, refused } from './book-store.ts';
import { sentenceOf } from './sentence-of.ts';

/** Rows that one answer carries; more are reached by searching. */
const rowsAtOnce = 200;

export async function searchBook(client: Client, store: BookStore, query: string): Promise<void> {
  store.setState(asked(store.getState(), query));
  try {
    const { rows, total } = await client.call('book.list', { query, limit: rowsAtOnce });
    store.setState(answered(store.getState(), query, rows, total));
  } catch (error) {
    store.setState(refused(store.getState(), query, sentenceOf(error)));
  }
}

/** Searches now and again at every change of the book. @returns ends the watch */
export function watchBook(client: Client, store: BookStore): () => void {
  void searchBook(client, store, store.getState().query);
  return client.listen((announcement) => {
    if (announcement.topic === 'book_changed') void searchBook(client, store, store.getState().query);
  });
}
