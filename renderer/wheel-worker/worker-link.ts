import type { FromWorker, ToWorker } from './messages.ts';

/** The page's side of the worker. */
export interface WheelWorker {
  send(message: ToWorker, transfer?: Transferable[]): void;
  close(): void;
}

export type WorkerMaker = () => Worker;

/** The real worker; its script is the only one that may use eval, see the policy of the host. */
export const makeWorker: WorkerMaker = () =>
  new Worker(new URL('./wheel-worker.ts', import.meta.url), { type: 'module', name: 'wheel-worker' });

/**
 * Starts the worker and hands on what it says. After it aborted a new one is started, and `restarted` is called so that
 * set-up and frames can be given to it again.
 */
export function startWheelWorker(
  make: WorkerMaker,
  listener: { said(message: FromWorker): void; restarted(): void; gaveUp(detail: string): void },
): WheelWorker {
  let worker = connect();
  let restarts = 0;
  let isClosed = false;

  function connect(): Worker {
    const next = make();
    next.addEventListener('message', (event: MessageEvent<FromWorker>) => {
      if (event.data.kind === 'aborted') replace(next, event.data.detail);
      else listener.said(event.data);
    });
    next.addEventListener('error', (event) => replace(next, event.message));
    return next;
  }

  function replace(failed: Worker, detail: string): void {
    if (failed !== worker || isClosed) return;
    failed.terminate();
    restarts += 1;
    // A worker that dies again and again would burn the laptop's battery without reading anything.
    if (restarts > restartsMost) {
      listener.gaveUp(detail);
      return;
    }
    worker = connect();
    listener.restarted();
  }

  return {
    send(message, transfer = []) {
      if (!isClosed) worker.postMessage(message, transfer);
    },
    close() {
      isClosed = true;
      worker.terminate();
    },
  };
}

const restartsMost = 5;
