import { beforeAll, expect, test } from 'vitest';
import { TickComb } from '../../../core/wheel/comb.ts';
import { makeSetup } from '../../../core/wheel/setup.ts';
import { fitTurn } from '../../../core/wheel/turn.ts';
import { beginTurn, offerFrame, recordOf } from '../../../core/wheel/turn-frames.ts';
import type { GreyPicture, WheelReading, WheelSetup } from '../../../core/wheel/types.ts';
import {
  createSearcher,
  type SearchWorker,
  type ToSearch,
  TurnSearch,
} from '../../../renderer/wheel-worker/turn-search.ts';
import { photograph, rimOf, syntheticSetup } from '../../support/synthetic-wheel.ts';

let setup: WheelSetup;
let picture: GreyPicture;
const trueDeg = 137;

beforeAll(() => {
  const scene = syntheticSetup(71, { size: [640, 480], radiusPx: 200, tiltDeg: 12 });
  const reference = photograph(scene, { rotationDeg: 0, seed: 1 });
  const made = makeSetup(null, new TickComb(), reference, rimOf(scene, 0), 0);
  if (!made.ok) throw new Error(made.reason);
  const turn = beginTurn(made.state);
  offerFrame(turn, reference, null);
  for (let i = 1; i <= 6; i += 1) offerFrame(turn, photograph(scene, { rotationDeg: 55 * i, seed: 1 + i }), null);
  const fitted = fitTurn(recordOf(turn));
  if (!fitted.ok) throw new Error(fitted.reason);
  setup = fitted.setup;
  picture = photograph(scene, { rotationDeg: trueDeg, seed: 40 });
});

type Fate = 'answers' | 'dies' | 'is silent';

/** Stands in for the worker: what passes is copied as between threads. */
class FakeWorker extends EventTarget {
  readonly #search = new TurnSearch();
  readonly fate: Fate;
  isEnded: boolean;
  asked = 0;
  constructor(fate: Fate) {
    super();
    this.fate = fate;
    this.isEnded = false;
  }
  postMessage(message: ToSearch): void {
    const copy = structuredClone(message);
    if (copy.kind === 'search') this.asked += 1;
    setImmediate(() => {
      if (this.isEnded) return;
      const reading = this.#search.work(copy);
      if (copy.kind !== 'search' || this.fate === 'is silent') return;
      if (this.fate === 'dies') this.dispatchEvent(new Event('error'));
      else this.dispatchEvent(new MessageEvent('message', { data: structuredClone(reading) }));
    });
  }
  terminate(): void {
    this.isEnded = true;
  }
}

const soon = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 5));

/** A searcher whose workers meet these fates, one after the other; null can't even be started. */
function searcherOf(...fates: (Fate | null)[]) {
  const made: FakeWorker[] = [];
  const clock = { nowMs: 0 };
  let starts = 0;
  const searcher = createSearcher(
    () => {
      const fate = fates[Math.min(starts, fates.length - 1)] ?? null;
      starts += 1;
      if (fate === null) throw new Error('no worker is to be had');
      const worker = new FakeWorker(fate);
      made.push(worker);
      return worker as unknown as SearchWorker;
    },
    () => clock.nowMs,
  );
  const found: WheelReading[] = [];
  return {
    searcher,
    made,
    found,
    clock,
    starts: () => starts,
    async search() {
      clock.nowMs += 1000;
      searcher.search(picture, (reading) => found.push(reading));
      // The search itself runs in the event loop here.
      await soon();
      await soon();
    },
  };
}

test('a lost wheel is found in another thread, one search at a time, and the picture stays here', async () => {
  const { searcher, made, found, search } = searcherOf('answers');
  searcher.use(setup);
  searcher.search(picture, (reading) => found.push(reading));
  searcher.search(picture, (reading) => found.push(reading));
  await soon();
  await soon();
  expect(made[0]?.asked).toBe(1);
  expect(found).toHaveLength(1);
  expect(found[0]?.rotationDeg).toBeCloseTo(trueDeg, 1);
  expect(picture.data.length).toBeGreaterThan(0);
  await search();
  expect(found).toHaveLength(2);
});

test('a worker that dies is started again with the set-up in use', async () => {
  const { searcher, found, search, starts } = searcherOf('dies', 'answers');
  searcher.use(setup);
  await search();
  expect(found).toEqual([]);
  await search();
  expect(starts()).toBe(2);
  expect(found[0]?.rotationDeg).toBeCloseTo(trueDeg, 1);
});

test('a worker that never answers is given up, so that the wheel doesn’t stay lost', async () => {
  const { searcher, made, found, clock, search } = searcherOf('is silent', 'answers');
  searcher.use(setup);
  await search();
  await search();
  expect(found).toEqual([]);
  clock.nowMs += 20_000;
  await search();
  expect(made[0]?.isEnded).toBe(true);
  expect(found[0]?.rotationDeg).toBeCloseTo(trueDeg, 1);
});

test.for([
  ['can’t be started', null],
  ['dies again and again', 'dies'],
] as const)('where a worker %s the search is done here', async ([, fate]) => {
  const { searcher, found, search, starts } = searcherOf(fate);
  searcher.use(setup);
  for (let count = 0; count < 6; count += 1) await search();
  expect(found.length).toBeGreaterThanOrEqual(2);
  expect(found.at(-1)?.rotationDeg).toBeCloseTo(trueDeg, 1);
  expect(starts()).toBe(3);
});

test('a picture that no search can bear brings nobody down', async () => {
  const { searcher, found, search, clock } = searcherOf(null);
  searcher.use(setup);
  for (let count = 0; count < 3; count += 1) await search();
  const before = found.length;
  const broken = { ...picture, data: null } as unknown as GreyPicture;
  clock.nowMs += 1000;
  expect(() => searcher.search(broken, (reading) => found.push(reading))).not.toThrow();
  expect(found).toHaveLength(before);
  await search();
  expect(found).toHaveLength(before + 1);
});
