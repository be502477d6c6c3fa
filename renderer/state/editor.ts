import { createStore, type StoreApi } from 'zustand/vanilla';

/** A row that is being edited: its value, what undo and redo lead to, and whether it is kept yet. */
export interface EditorState<T> {
  readonly value: T;
  readonly past: readonly T[];
  readonly future: readonly T[];
  readonly phase: 'kept' | 'changed' | 'keeping' | 'failed';
  readonly failure: string | null;
}
export type EditorStore<T> = StoreApi<EditorState<T>>;

/** Steps that undo reaches; more would only hold memory, the history in the database has them all. */
const undoSteps = 200;

export function createEditor<T>(value: T): EditorStore<T> {
  return createStore<EditorState<T>>(() => ({ value, past: [], future: [], phase: 'kept', failure: null }));
}

export function changed<T>(state: EditorState<T>, value: T): EditorState<T> {
  if (Object.is(value, state.value)) return state;
  return { ...state, value, past: [...state.past, state.value].slice(-undoSteps), future: [], phase: 'changed' };
}

export function undone<T>(state: EditorState<T>): EditorState<T> {
  const previous = state.past.at(-1);
  if (previous === undefined) return state;
  return {
    ...state,
    value: previous,
    past: state.past.slice(0, -1),
    future: [state.value, ...state.future],
    phase: 'changed',
  };
}

export function redone<T>(state: EditorState<T>): EditorState<T> {
  const next = state.future[0];
  if (next === undefined) return state;
  return {
    ...state,
    value: next,
    past: [...state.past, state.value],
    future: state.future.slice(1),
    phase: 'changed',
  };
}

export function keeping<T>(state: EditorState<T>): EditorState<T> {
  return { ...state, phase: 'keeping' };
}

/** @param value what was kept; a change made meanwhile still waits to be kept */
export function kept<T>(state: EditorState<T>, value: T): EditorState<T> {
  return { ...state, phase: Object.is(value, state.value) ? 'kept' : 'changed', failure: null };
}

export function notKept<T>(state: EditorState<T>, sentence: string): EditorState<T> {
  return { ...state, phase: 'failed', failure: sentence };
}
