import { CalibratedReader } from '../../core/wheel/read-calibrated.ts';
import { asState } from '../../core/wheel/state.ts';
import type { GreyPicture, WheelReading, WheelSetup } from '../../core/wheel/types.ts';

/** What the search worker is told. */
export type ToSearch =
  | { readonly kind: 'setup'; readonly setup: WheelSetup }
  | { readonly kind: 'search'; readonly picture: GreyPicture };

/** The search itself, in whichever thread this is called: the whole turn, proven from the picture alone. */
export class TurnSearch {
  #reader: CalibratedReader | null = null;

  /** @returns the reading of a picture, or null where there is nothing to answer */
  work(message: ToSearch): WheelReading | null {
    if (message.kind === 'setup') {
      const state = asState(message.setup);
      this.#reader = state.calibration === null ? null : new CalibratedReader(state, state.calibration);
      return null;
    }
    return this.#reader?.read(message.picture, { effort: 'full', previous: null }) ?? null;
  }
}

/** Looks for a wheel whose track was lost; it takes as long as several frames, so not where frames are read. */
export interface Searcher {
  /** The set-up to search with from now on. */
  use(setup: WheelSetup): void;
  /**
   * Searches in a copy of the picture, unless a search is under way.
   * @param done gets the reading of that picture, later
   */
  search(picture: GreyPicture, done: (reading: WheelReading) => void): void;
}

export type SearchWorker = Pick<Worker, 'postMessage' | 'addEventListener' | 'terminate'>;

/** The worker beside the reader's own; it needs neither OpenCV nor its rights. */
export const makeSearchWorker = (): SearchWorker =>
  new Worker(new URL('./search-worker.ts', import.meta.url), { type: 'module', name: 'search-worker' });

/** A worker that died this often isn't started again. */
const deathsMost = 3;
/** A search that hasn't been answered for so long never will be: no computer is that slow. */
const longestSearchMs = 15_000;

/**
 * Searches in a worker of its own. One that dies or doesn't answer is started again a few times; where none can be had,
 * the search is done here: reading then stalls for its time, which is better than a wheel that stays lost.
 * @param nowMs any clock that only goes forwards
 */
export function createSearcher(make: () => SearchWorker, nowMs: () => number): Searcher {
  let worker: SearchWorker | null = null;
  let here: TurnSearch | null = null;
  let setup: WheelSetup | null = null;
  let waiting: { readonly done: (reading: WheelReading) => void; readonly sinceMs: number } | null = null;
  let deaths = 0;
  let restUntilMs = -Infinity;

  function failed(): void {
    worker?.terminate();
    worker = null;
    waiting = null;
    deaths += 1;
    if (deaths >= deathsMost) here = new TurnSearch();
    if (here !== null && setup !== null) workHere(here, { kind: 'setup', setup });
  }

  /** What brought the worker down may be in the picture: it must not bring the reader down as well. */
  function workHere(search: TurnSearch, message: ToSearch): WheelReading | null {
    try {
      return search.work(message);
    } catch {
      return null;
    }
  }

  function connect(): SearchWorker {
    const next = make();
    next.addEventListener('message', (event) => {
      if (next !== worker) return;
      const { data } = event as MessageEvent<WheelReading | null>;
      const answered = waiting;
      waiting = null;
      if (data !== null) answered?.done(data);
    });
    for (const kind of ['error', 'messageerror'] as const) {
      next.addEventListener(kind, () => {
        if (next === worker) failed();
      });
    }
    if (setup !== null) next.postMessage({ kind: 'setup', setup } satisfies ToSearch);
    return next;
  }

  function searchHere(search: TurnSearch, picture: GreyPicture, done: (reading: WheelReading) => void): void {
    const startMs = nowMs();
    if (startMs < restUntilMs) return;
    const reading = workHere(search, { kind: 'search', picture });
    // As long again for reading as the search took.
    restUntilMs = 2 * nowMs() - startMs;
    if (reading !== null) done(reading);
  }

  return {
    use(next) {
      setup = next;
      if (here !== null) workHere(here, { kind: 'setup', setup: next });
      else {
        try {
          // Started before it is needed: a lost wheel can't wait for it.
          if (worker === null) worker = connect();
          else worker.postMessage({ kind: 'setup', setup: next } satisfies ToSearch);
        } catch {
          failed();
        }
      }
    },
    search(picture, done) {
      if (waiting !== null && nowMs() - waiting.sinceMs > longestSearchMs) failed();
      if (here !== null) {
        searchHere(here, picture, done);
        return;
      }
      if (waiting !== null) return;
      const data = picture.data.slice(0, picture.stride * picture.heightPx);
      try {
        worker ??= connect();
        waiting = { done, sinceMs: nowMs() };
        worker.postMessage({ kind: 'search', picture: { ...picture, data } } satisfies ToSearch, [data.buffer]);
      } catch {
        failed();
      }
    },
  };
}
