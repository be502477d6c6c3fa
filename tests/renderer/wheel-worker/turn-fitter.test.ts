import { beforeAll, expect, test } from 'vitest';
import { TickComb } from '../../../core/wheel/comb.ts';
import { restoreState } from '../../../core/wheel/serialise.ts';
import { makeSetup } from '../../../core/wheel/setup.ts';
import { beginTurn, offerFrame, recordOf } from '../../../core/wheel/turn-frames.ts';
import type { TurnRecord } from '../../../core/wheel/types.ts';
import {
  createTurnFitter,
  type FittedTurn,
  type FitWorker,
  fitRecord,
} from '../../../renderer/wheel-worker/turn-fitter.ts';
import { photograph, rimOf, syntheticSetup } from '../../support/synthetic-wheel.ts';

let record: TurnRecord;

beforeAll(() => {
  const scene = syntheticSetup(71, { size: [640, 480], radiusPx: 200, tiltDeg: 12 });
  const reference = photograph(scene, { rotationDeg: 0, seed: 1 });
  const made = makeSetup(null, new TickComb(), reference, rimOf(scene, 0), 0);
  if (!made.ok) throw new Error(made.reason);
  const turn = beginTurn(made.state);
  offerFrame(turn, reference, null);
  for (let i = 1; i <= 6; i += 1) offerFrame(turn, photograph(scene, { rotationDeg: 55 * i, seed: 1 + i }), null);
  record = recordOf(turn);
});

/** Stands in for the worker: what passes is copied as between threads, and it can be made to die. */
class FakeWorker extends EventTarget {
  readonly isAlive: boolean;
  posted = 0;
  constructor(isAlive = true) {
    super();
    this.isAlive = isAlive;
  }
  postMessage(data: TurnRecord): void {
    this.posted += 1;
    const copy = structuredClone(data);
    setImmediate(() => {
      if (this.isAlive) this.dispatchEvent(new MessageEvent('message', { data: structuredClone(fitRecord(copy)) }));
      else this.dispatchEvent(new Event('error'));
    });
  }
  terminate(): void {}
}

function same(a: FittedTurn, b: FittedTurn): void {
  expect(a.outcome.ok).toBe(true);
  if (a.outcome.ok && b.outcome.ok) expect(a.outcome.findings).toEqual(b.outcome.findings);
  expect(a.bytes).toEqual(b.bytes);
}

test('a turn fitted in another thread gives the same model as here', async () => {
  const fake = new FakeWorker();
  const fitter = createTurnFitter(() => fake as unknown as FitWorker);
  const fitted = await fitter.fit(record);
  same(fitted, fitRecord(record));
  expect(restoreState(fitted.bytes)?.calibrated).toBe(true);
  expect(fake.posted).toBe(1);
});

test('where the worker dies the turn is still fitted, and the next one gets a new worker', async () => {
  const made: FakeWorker[] = [];
  const fitter = createTurnFitter(() => {
    const fake = new FakeWorker(made.length > 0);
    made.push(fake);
    return fake as unknown as FitWorker;
  });
  expect((await fitter.fit(record)).outcome.ok).toBe(true);
  expect((await fitter.fit(record)).outcome.ok).toBe(true);
  expect(made.map((one) => one.posted)).toEqual([1, 1]);
});

test('where no worker can be made the turn is fitted here', async () => {
  const fitter = createTurnFitter(() => {
    throw new Error('none');
  });
  expect((await fitter.fit(record)).outcome.ok).toBe(true);
});
