type Listener = (isConnected: boolean) => void;

const listeners = new Set<Listener>();
let isConnected = true;

/** Whether the host can be reached; a screen shows it when it can't. Always true inside Electron. */
export const connection = {
  get: (): boolean => isConnected,
  set(value: boolean): void {
    isConnected = value;
    for (const listener of listeners) listener(value);
  },
  subscribe(listener: Listener): () => void {
    listeners.add(listener);
    return () => listeners.delete(listener);
  },
};
