import { type EditorStore, keeping, kept, notKept } from './editor.ts';
import { sentenceOf } from './sentence-of.ts';

/** Pause in typing after which a change is kept. */
const quietMilliseconds = 400;

/**
 * Keeps every change by itself: after a pause, one at a time, and at once when the watch ends.
 * @param refuse a sentence where the value isn't fit to be kept yet; it then waits
 * @returns ends the watch
 */
export function keepChanges<T>(
  store: EditorStore<T>,
  keep: (value: T) => Promise<unknown>,
  refuse: (value: T) => string | null,
): () => void {
  let timer: ReturnType<typeof setTimeout> | null = null;
  let isRunning = false;

  const run = async (): Promise<void> => {
    timer = null;
    const { value, phase } = store.getState();
    if (isRunning || phase !== 'changed' || refuse(value) !== null) return;
    isRunning = true;
    store.setState(keeping(store.getState()));
    try {
      await keep(value);
      store.setState(kept(store.getState(), value));
    } catch (error) {
      store.setState(notKept(store.getState(), sentenceOf(error)));
    } finally {
      isRunning = false;
      if (store.getState().phase === 'changed') void run();
    }
  };
  const stop = store.subscribe((state, before) => {
    if (state.value === before.value) return;
    if (timer !== null) clearTimeout(timer);
    timer = setTimeout(() => void run(), quietMilliseconds);
  });
  return () => {
    stop();
    if (timer !== null) clearTimeout(timer);
    void run();
  };
}
