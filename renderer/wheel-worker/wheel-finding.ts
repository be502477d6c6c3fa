import type { FoundWheel, GreyPicture, RefusalReason, RimEllipse, WheelReader } from '../../core/wheel/types.ts';
import type { FromWorker } from './messages.ts';

/** Between two searches the camera may be aimed. */
const findAgainMs = 700;
/** The page is told this often how far a search is. */
const progressMs = 150;

export interface FindingTools {
  readonly reader: Pick<WheelReader, 'findWheelSteps'>;
  nowMs(): number;
  post(message: FromWorker): void;
  /** Works something through after the messages and frames that have come meanwhile. */
  later(work: () => void): void;
  /** A wheel was found: a set-up is to be made of it. */
  found(rim: RimEllipse): void;
}

type Search = Generator<number, FoundWheel>;

/**
 * Looks for the wheel until it is found or no longer wanted. A search takes up to seconds, so it is done in short steps
 * between which frames and messages are worked through.
 */
export class WheelFinding {
  readonly #tools: FindingTools;
  #wanted: { tries: number; notBeforeMs: number } | null = null;
  /** The search under way; a search that was given up is told by not being this one. */
  #search: Search | null = null;
  #toldAtMs = -Infinity;

  constructor(tools: FindingTools) {
    this.#tools = tools;
  }

  get isWanted(): boolean {
    return this.#wanted !== null;
  }

  begin(): void {
    this.#wanted = { tries: 0, notBeforeMs: 0 };
    this.#search = null;
  }

  stop(): void {
    this.#wanted = null;
    this.#search = null;
  }

  /** A frame has come: it is searched, unless a search is under way or the last one is just over. */
  offer(picture: GreyPicture): void {
    const wanted = this.#wanted;
    if (wanted === null || this.#search !== null || this.#tools.nowMs() < wanted.notBeforeMs) return;
    // The frame's own memory is used again before the search is over.
    const data = picture.data.slice(0, picture.stride * picture.heightPx);
    const search = this.#tools.reader.findWheelSteps({ ...picture, data });
    this.#search = search;
    this.#tools.later(() => this.#goOn(search));
  }

  #goOn(search: Search): void {
    if (this.#search !== search) return;
    const step = search.next();
    if (!step.done) {
      const nowMs = this.#tools.nowMs();
      if (nowMs - this.#toldAtMs >= progressMs) {
        this.#toldAtMs = nowMs;
        this.#tools.post({ kind: 'finding', share: step.value });
      }
      this.#tools.later(() => this.#goOn(search));
      return;
    }
    this.#search = null;
    if (!step.value.ok) {
      this.lookOn(step.value.reason);
      return;
    }
    const { rim, confidence } = step.value;
    this.#tools.post({ kind: 'found', rim, confidence });
    this.#tools.found(rim);
  }

  /** What was looked at is no wheel: the operator may just be aiming the camera. */
  lookOn(reason: RefusalReason): void {
    const wanted = this.#wanted;
    if (wanted === null) return;
    wanted.tries += 1;
    wanted.notBeforeMs = this.#tools.nowMs() + findAgainMs;
    this.#tools.post({ kind: 'not_found', reason, tries: wanted.tries });
  }
}
