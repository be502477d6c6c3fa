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

/** Searches in a worker of its own; where that can't be had or dies, here. */
export function createSearcher(make: () => SearchWorker): Searcher {
  let worker: SearchWorker | null = null;
  let here: TurnSearch | null = null;
  let setup: WheelSetup | null = null;
  let waiting: ((reading: WheelReading) => void) | null = null;

  function failed(): void {
    worker?.terminate();
    worker = null;
    waiting = null;
    here = new TurnSearch();
    if (setup !== null) here.work({ kind: 'setup', setup });
  }

  function connect(): SearchWorker {
    const next = make();
    next.addEventListener('message', (event) => {
      const { data } = event as MessageEvent<WheelReading | null>;
      const answered = waiting;
      waiting = null;
      if (data !== null) answered?.(data);
    });
    next.addEventListener('error', failed);
    return next;
  }

  function tell(message: ToSearch, transfer: Transferable[]): void {
    try {
      worker ??= connect();
      worker.postMessage(message, transfer);
    } catch {
      failed();
    }
  }

  return {
    use(next) {
      setup = next;
      if (here !== null) here.work({ kind: 'setup', setup: next });
      else tell({ kind: 'setup', setup: next }, []);
    },
    search(picture, done) {
      if (here !== null) {
        const reading = here.work({ kind: 'search', picture });
        if (reading !== null) done(reading);
        return;
      }
      if (waiting !== null) return;
      waiting = done;
      const data = picture.data.slice(0, picture.stride * picture.heightPx);
      tell({ kind: 'search', picture: { ...picture, data } }, [data.buffer]);
    },
  };
}
