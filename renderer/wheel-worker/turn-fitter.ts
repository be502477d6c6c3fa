import { serialiseState } from '../../core/wheel/serialise.ts';
import { asState } from '../../core/wheel/state.ts';
import { fitTurn } from '../../core/wheel/turn.ts';
import type { TurnOutcome, TurnRecord } from '../../core/wheel/types.ts';

/** A fitted turn, and its set-up as bytes to keep (empty where the fit was refused). */
export interface FittedTurn {
  readonly outcome: TurnOutcome;
  readonly bytes: Uint8Array;
}

/** Fits turns; it takes seconds, so not where frames are read. */
export interface TurnFitter {
  fit(record: TurnRecord): Promise<FittedTurn>;
  close(): void;
}

/** The fit itself, in whichever thread this is called. */
export function fitRecord(record: TurnRecord): FittedTurn {
  const outcome = fitTurn(record);
  return { outcome, bytes: outcome.ok ? serialiseState(asState(outcome.setup)) : new Uint8Array(0) };
}

/** The part of a worker that is used; tests give a stand-in. */
export type FitWorker = Pick<Worker, 'postMessage' | 'addEventListener' | 'terminate'>;

/** The worker beside the reader's own; it needs neither OpenCV nor its rights. */
export const makeFitWorker = (): FitWorker =>
  new Worker(new URL('./fit-worker.ts', import.meta.url), { type: 'module', name: 'fit-worker' });

/**
 * Fits in a worker of its own. Where that worker can't be had or dies, the fit is done here: reading then stalls for its
 * time, which is better than a turn without a model.
 */
export function createTurnFitter(make: () => FitWorker): TurnFitter {
  let worker: FitWorker | null = null;
  let waiting: { readonly record: TurnRecord; resolve(fitted: FittedTurn): void } | null = null;

  function failed(): void {
    worker?.terminate();
    worker = null;
    const lost = waiting;
    waiting = null;
    if (lost === null) return;
    try {
      lost.resolve(fitRecord(lost.record));
    } catch {
      lost.resolve({ outcome: { ok: false, reason: 'model_does_not_fit' }, bytes: new Uint8Array(0) });
    }
  }

  function connect(): FitWorker {
    const next = make();
    next.addEventListener('message', (event) => {
      const { data } = event as MessageEvent<FittedTurn>;
      const answered = waiting;
      waiting = null;
      answered?.resolve(data);
    });
    next.addEventListener('error', failed);
    return next;
  }

  return {
    fit(record) {
      return new Promise((resolve) => {
        waiting = { record, resolve };
        try {
          worker ??= connect();
          worker.postMessage(record);
        } catch {
          failed();
        }
      });
    },
    close() {
      worker?.terminate();
      worker = null;
      waiting = null;
    },
  };
}
