import { createStore, type StoreApi } from 'zustand/vanilla';
import { CallFailure } from '../../core/contract/client.ts';
import { sentenceOf } from './sentence-of.ts';

/** What is on its way to the database. */
export interface OutboxState {
  readonly waiting: number;
  /** Why the first in line couldn't be stored yet; it is tried again by itself. */
  readonly failure: string | null;
  /** What the host refused for good, with its sentence. */
  readonly refused: readonly { readonly label: string; readonly sentence: string }[];
}

export interface Outbox {
  readonly store: StoreApi<OutboxState>;
  /** Sends in order, one after the other: a stamp needs its set-up stored before it. */
  put(label: string, send: () => Promise<void>): void;
  /** Tries again at once instead of waiting. */
  retry(): void;
  /** Settles when nothing is waiting. */
  empty(): Promise<void>;
}

/** The same message would be refused again: it must not hold up what stands behind it. */
const refusedForGood: ReadonlySet<string> = new Set([
  'bad_input',
  'unknown_message',
  'not_found',
  'id_taken',
  'unknown_reference',
  'too_large',
]);

/**
 * Keeps what was stamped until the host has acknowledged it, through a busy database, a full disk or a restarted host.
 * @param wait how long to wait before the n-th new try, as a promise; tests pass their own
 */
export function createOutbox(wait: (tries: number) => Promise<void> = growingWait): Outbox {
  const store = createStore<OutboxState>(() => ({ waiting: 0, failure: null, refused: [] }));
  const line: { label: string; send: () => Promise<void> }[] = [];
  let isRunning = false;
  let hurry: () => void = () => undefined;
  let emptied: (() => void)[] = [];

  async function run(): Promise<void> {
    isRunning = true;
    let tries = 0;
    for (let first = line[0]; first !== undefined; first = line[0]) {
      try {
        await first.send();
        line.shift();
        tries = 0;
        store.setState({ waiting: line.length, failure: null });
      } catch (error) {
        if (error instanceof CallFailure && refusedForGood.has(error.code)) {
          line.shift();
          const refused = [...store.getState().refused, { label: first.label, sentence: sentenceOf(error) }];
          store.setState({ waiting: line.length, failure: null, refused });
          continue;
        }
        tries += 1;
        store.setState({ failure: sentenceOf(error) });
        await Promise.race([wait(tries), new Promise<void>((resolve) => (hurry = resolve))]);
      }
    }
    isRunning = false;
    const waiting = emptied;
    emptied = [];
    for (const resolve of waiting) resolve();
  }

  return {
    store,
    put(label, send) {
      line.push({ label, send });
      store.setState({ waiting: line.length });
      if (!isRunning) void run();
    },
    retry: () => hurry(),
    empty: () => (line.length === 0 ? Promise.resolve() : new Promise((resolve) => emptied.push(resolve))),
  };
}

function growingWait(tries: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, Math.min(10_000, 300 * 2 ** tries)));
}
