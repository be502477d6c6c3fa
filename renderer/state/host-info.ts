import { createStore, type StoreApi } from 'zustand/vanilla';
import type { Client } from '../../core/contract/client.ts';
import type { OutputOf } from '../../core/contract/messages.ts';
import { sentenceOf } from './sentence-of.ts';

/** What the page knows about the program behind it. */
export interface HostState {
  readonly info: OutputOf<'app.info'> | null;
  readonly failure: string | null;
  readonly isReached: boolean;
  /** Sentences of the host that came after the start and haven't been put away. */
  readonly notices: readonly string[];
}
export type HostStore = StoreApi<HostState>;

/** Tells whether the host is reached; always true inside Electron. */
interface Connection {
  get(): boolean;
  subscribe(listener: (isConnected: boolean) => void): () => void;
}

export function createHostInfo(): HostStore {
  return createStore<HostState>(() => ({ info: null, failure: null, isReached: true, notices: [] }));
}

export function withNotice(state: HostState, sentence: string): HostState {
  return state.notices.includes(sentence) ? state : { ...state, notices: [...state.notices, sentence] };
}

export function withoutNotice(state: HostState, sentence: string): HostState {
  return { ...state, notices: state.notices.filter((notice) => notice !== sentence) };
}

/** Asks again for what the program is: after a restore, or when the book was opened anew. */
export async function refreshHost(client: Client, store: HostStore): Promise<void> {
  try {
    const info = await client.call('app.info', {});
    store.setState({ info, failure: null, notices: info.notices });
  } catch (error) {
    store.setState({ failure: sentenceOf(error) });
  }
}

/** Asks once for what the program is and keeps listening for what it has to say. */
export function watchHost(client: Client, store: HostStore, connection: Connection): () => void {
  void refreshHost(client, store);
  const stopNotices = client.listen((announcement) => {
    if (announcement.topic === 'notice') store.setState(withNotice(store.getState(), announcement.sentence));
  });
  const stopConnection = connection.subscribe((isReached) => store.setState({ isReached }));
  return () => {
    stopNotices();
    stopConnection();
  };
}
