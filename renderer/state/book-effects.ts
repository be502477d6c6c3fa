import type { Client } from '../../core/contract/client.ts';
import { answered, asked, type BookFilter, type BookStore, continued, refused } from './book-store.ts';
import { sentenceOf } from './sentence-of.ts';

/** Rows that one answer carries; more are asked for, or reached by searching. */
const rowsAtOnce = 200;
/** Records shown beside the list of builds. */
const hitsAtOnce = 30;

export async function searchBook(client: Client, store: BookStore, query: string, filter?: BookFilter): Promise<void> {
  store.setState(asked(store.getState(), query, filter));
  const question = store.getState();
  try {
    const [list, found] = await Promise.all([
      client.call('book.list', { query, limit: rowsAtOnce, ...question.filter }),
      query.trim() === '' ? [] : client.call('book.search', { query, limit: hitsAtOnce }),
    ]);
    const hits = found.filter((hit) => hit.entity !== 'build');
    store.setState(answered(store.getState(), question, { ...list, hits }));
  } catch (error) {
    store.setState(refused(store.getState(), question, sentenceOf(error)));
  }
}

/** Rows that follow those shown. */
export async function showMoreBuilds(client: Client, store: BookStore): Promise<void> {
  const question = store.getState();
  try {
    const { rows } = await client.call('book.list', {
      query: question.query,
      limit: rowsAtOnce,
      offset: question.rows.length,
      ...question.filter,
    });
    store.setState(continued(store.getState(), question, rows));
  } catch (error) {
    store.setState(refused(store.getState(), question, sentenceOf(error)));
  }
}

/** Searches now and again at every change of the book. @returns ends the watch */
export function watchBook(client: Client, store: BookStore): () => void {
  void searchBook(client, store, store.getState().query);
  return client.listen((announcement) => {
    if (announcement.topic === 'book_changed') void searchBook(client, store, store.getState().query);
  });
}
