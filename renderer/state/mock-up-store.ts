import { createStore, type StoreApi } from 'zustand/vanilla';
import type { MockUpWhole } from '../../core/contract/messages.ts';

/** What the page knows of the mock-up that is open. `whole` stays while a reload runs or fails. */
export interface MockUpState {
  readonly mockUpId: string;
  readonly phase: 'loading' | 'ready' | 'failed';
  readonly whole: MockUpWhole | null;
  readonly failure: string | null;
}

export type MockUpStore = StoreApi<MockUpState>;

export function createMockUpStore(mockUpId: string): MockUpStore {
  return createStore<MockUpState>(() => ({ mockUpId, phase: 'loading', whole: null, failure: null }));
}

export function loaded(state: MockUpState, whole: MockUpWhole): MockUpState {
  return { ...state, phase: 'ready', whole, failure: null };
}

export function failed(state: MockUpState, sentence: string): MockUpState {
  return { ...state, phase: 'failed', failure: sentence };
}
