import { createStore, type StoreApi } from 'zustand/vanilla';
import type { BookListOrder, SearchHit } from '../../core/contract/book-messages.ts';
import type { BookRow } from '../../core/contract/messages.ts';

/** What the list of builds is asked for, beside the words typed. */
export interface BookFilter {
  readonly order: BookListOrder;
  readonly engineId: string | null;
  readonly customerId: string | null;
  readonly measured: 'all' | 'with_readings' | 'without_readings';
}

export const noFilter: BookFilter = { order: 'changed', engineId: null, customerId: null, measured: 'all' };

/** The list of builds as the host answered the latest question, and what else the words typed are found in. */
export interface BookState {
  readonly query: string;
  readonly filter: BookFilter;
  readonly phase: 'loading' | 'ready' | 'failed';
  readonly rows: readonly BookRow[];
  readonly total: number;
  /** Parts, customers and mock-ups; builds stand in the list itself. */
  readonly hits: readonly SearchHit[];
  readonly failure: string | null;
}
export type BookStore = StoreApi<BookState>;

/** A question: an answer counts only while it is still the one asked last. */
export type BookQuestion = Pick<BookState, 'query' | 'filter'>;

export function createBookStore(): BookStore {
  return createStore<BookState>(() => ({
    query: '',
    filter: noFilter,
    phase: 'loading',
    rows: [],
    total: 0,
    hits: [],
    failure: null,
  }));
}

/** The rows shown so far stay while the next answer is on its way, so that the list doesn't flicker. */
export function asked(state: BookState, query: string, filter: BookFilter = state.filter): BookState {
  return { ...state, query, filter };
}

export interface BookAnswer {
  readonly rows: readonly BookRow[];
  readonly total: number;
  readonly hits: readonly SearchHit[];
}

export function answered(state: BookState, question: BookQuestion, answer: BookAnswer): BookState {
  return isCurrent(state, question) ? { ...state, ...answer, phase: 'ready', failure: null } : state;
}

/** Further rows of the same question. */
export function continued(state: BookState, question: BookQuestion, rows: readonly BookRow[]): BookState {
  if (!isCurrent(state, question)) return state;
  const known = new Set(state.rows.map((row) => row.buildId));
  return { ...state, rows: [...state.rows, ...rows.filter((row) => !known.has(row.buildId))] };
}

export function refused(state: BookState, question: BookQuestion, sentence: string): BookState {
  return isCurrent(state, question) ? { ...state, phase: 'failed', failure: sentence } : state;
}

/** Nothing in the book at all, as opposed to nothing that fits the search or the filter. */
export function isBookEmpty(state: BookState): boolean {
  return state.phase === 'ready' && state.total === 0 && state.query.trim() === '' && isUnfiltered(state.filter);
}

export function isUnfiltered({ engineId, customerId, measured }: BookFilter): boolean {
  return engineId === null && customerId === null && measured === 'all';
}

function isCurrent(state: BookState, question: BookQuestion): boolean {
  return question.query === state.query && question.filter === state.filter;
}
