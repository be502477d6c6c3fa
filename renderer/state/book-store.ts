import { createStore, type StoreApi } from 'zustand/vanilla';
import type { BookRow } from '../../core/contract/messages.ts';

/** The list of builds as the host answered the latest search. */
export interface BookState {
  readonly query: string;
  readonly phase: 'loading' | 'ready' | 'failed';
  readonly rows: readonly BookRow[];
  readonly total: number;
  readonly failure: string | null;
}
export type BookStore = StoreApi<BookState>;

export function createBookStore(): BookStore {
  return createStore<BookState>(() => ({ query: '', phase: 'loading', rows: [], total: 0, failure: null }));
}

/** The rows shown so far stay while the next answer is on its way, so that the list doesn't flicker. */
export function asked(state: BookState, query: string): BookState {
  return { ...state, query };
}

export function answered(state: BookState, query: string, rows: readonly BookRow[], total: number): BookState {
  return query === state.query ? { ...state, phase: 'ready', rows, total, failure: null } : state;
}

export function refused(state: BookState, query: string, sentence: string): BookState {
  return query === state.query ? { ...state, phase: 'failed', failure: sentence } : state;
}

/** Nothing in the book at all, as opposed to nothing that fits the search. */
export function isBookEmpty(state: BookState): boolean {
  return state.phase === 'ready' && state.total === 0 && state.query.trim() === '';
}
