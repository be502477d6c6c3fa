import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { v7 as newId } from 'uuid';
import { afterEach, describe, expect, test } from 'vitest';
import { createStore } from 'zustand/vanilla';
import type { Client } from '../../../core/contract/client.ts';
import { wheelSetupContentSchema } from '../../../core/contract/readings.ts';
import { frameIdOf } from '../../../core/mockup/edge-readings.ts';
import { frameInUse } from '../../../core/mockup/frame-in-use.ts';
import { joinStamps, type Stamp } from '../../../core/mockup/stamps.ts';
import { stampsOf } from '../../../renderer/state/bench-run.ts';
import { createRun } from '../../../renderer/state/bench-run-effects.ts';
import { contentAfterMove, contentJoined, type MovedPlace } from '../../../renderer/state/bench-setup-rows.ts';
import { initialSight, type SightState } from '../../../renderer/state/bench-sight.ts';
import type { Sight } from '../../../renderer/state/bench-sight-effects.ts';
import { loadMockUp } from '../../../renderer/state/mock-up-effects.ts';
import { createMockUpStore } from '../../../renderer/state/mock-up-store.ts';
import { createOutbox } from '../../../renderer/state/outbox.ts';
import type { AcceptedStamp, FromWorker } from '../../../renderer/wheel-worker/messages.ts';
import { makeMockUp } from '../../support/book-records.ts';
import { openBookSession } from '../../support/book-session.ts';
import { reading as readingOf } from '../../support/stand-in-bench.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const reading = readingOf(40, true);
const angle: AcceptedStamp = {
  ok: true,
  rotationDeg: 40,
  sigmaDeg: 0.1,
  movement: null,
  modulusDeg: 360,
  isProvisional: true,
  frames: 1,
  approach: 'none',
  motion: 'steady',
};

const firstSetupId = '0190a000-0000-7000-8000-0000000000aa';
/** The place that the latest "wheel moved" began: ids are in the order of time. */
let movedSetupId = '';

const closers: (() => void)[] = [];
afterEach(() => {
  for (const close of closers.splice(0)) close();
});

/**
 * A run at a real book whose answers can be held up, and a reader that says what the test has it say.
 * @param pageAheadMs how far the page's clock is ahead of the host's
 */
async function openRun(pageAheadMs = 0) {
  const folder = join(temporaryFolder(), 'book');
  mkdirSync(folder);
  const book = await openBookSession(folder);
  closers.push(() => book.books.close());
  const { mockUp } = await makeMockUp(book.client);
  const content = wheelSetupContentSchema.parse({ mockUpId: mockUp.id, forwards: 'clockwise', by: 'camera' });
  await book.client.call('setup.create', { id: firstSetupId, content, pictures: [] });

  /** Messages wait here until the test lets them go on, one by one. */
  const gates: (() => void)[] = [];
  let isSlow = false;
  const client: Client = {
    ...book.client,
    call: async (name, input) => {
      if (isSlow) await new Promise<void>((resolve) => gates.push(resolve));
      return book.client.call(name, input);
    },
  };
  const store = createMockUpStore(mockUp.id);
  await loadMockUp(book.client, store);
  const sightStore = createStore<SightState>(() => ({
    ...initialSight,
    worker: { kind: 'ready' },
    setup: {
      id: firstSetupId,
      content,
      info: {
        rim: { centrePx: [0, 0], fullAxesPx: [1, 1], angleDeg: 0 },
        widthPx: 1280,
        heightPx: 720,
        tickStepDeg: 1,
        modulusDeg: 360,
        isCalibrated: false,
        tiltDeg: 0,
        inPictureFraction: 1,
        codedRing: null,
        pointerPx: null,
      },
    },
    live: { capturedAtMs: 0, reading, motion: 'steady', speedDegPerS: 0, approach: 'none', lastPlace: null },
  }));
  const asked: string[] = [];
  let hear: (message: FromWorker) => void = () => undefined;
  const sight = {
    store: sightStore,
    stamp: (stampId: string) => asked.push(stampId),
    listen(listener: (message: FromWorker) => void) {
      hear = listener;
      return () => undefined;
    },
    beginAnew() {
      const { setup } = sightStore.getState();
      if (setup === null) return null;
      const anew = contentAfterMove(setup.content);
      const id = newId();
      movedSetupId = id;
      sightStore.setState({ setup: { ...setup, id, content: anew, sameReferenceIds: [setup.id] } });
      outbox.put('The set-up', async () => {
        await client.call('setup.create', { id, content: anew, pictures: [] });
      });
      return { setupId: id, earlierId: setup.id, shownAtReferenceDeg: null };
    },
    joinPlace(place: MovedPlace, isJoined: boolean) {
      const { setup } = sightStore.getState();
      if (setup === null) return;
      const joined = contentJoined(setup.content, place, isJoined);
      sightStore.setState({ setup: { ...setup, content: joined } });
      outbox.put('The set-up', async () => {
        await client.call('setup.update', { id: setup.id, content: joined });
      });
    },
    reRead: async () => reading,
  } as unknown as Sight;
  const announced: string[] = [];
  const outbox = createOutbox(() => new Promise((resolve) => setTimeout(resolve, 2)));
  const run = createRun({
    client,
    outbox,
    mockUp: store,
    sight,
    operatorDelayMs: () => 0,
    nowMs: () => Date.now() + pageAheadMs,
    secondPicture: async () => null,
    announce: (event) => announced.push(event.kind),
  });
  closers.push(() => run.close());

  const whole = () => {
    const known = store.getState().whole;
    if (known === null) throw new Error('the mock-up was not read');
    return known;
  };
  return {
    run,
    asked,
    sightStore,
    say: (message: FromWorker) => hear(message),
    stamps: (): Stamp[] => stampsOf(whole(), run.store.getState()),
    /** Press and its first answer: the stamp is shown. */
    press(): string {
      run.signal('key', Date.now() + pageAheadMs);
      const stampId = asked.at(-1) ?? '';
      hear({ kind: 'stamped', stampId, angle, askedAtMs: 0 });
      return stampId;
    },
    kept: (stampId: string) => hear({ kind: 'stamp_kept', stampId, angle, picture: null }),
    slow(next: boolean) {
      isSlow = next;
      if (!next) for (const go of gates.splice(0)) go();
    },
    /** Lets the first waiting message through to the book. */
    async letOneThrough() {
      await expect.poll(() => gates.length).toBeGreaterThan(0);
      const waiting = outbox.store.getState().waiting;
      gates.shift()?.();
      await expect.poll(() => outbox.store.getState().waiting).toBe(waiting - 1);
    },
    /** Reads the mock-up again, as the page does when it is told of a change. */
    reload: () => loadMockUp(book.client, store),
    async settle() {
      await outbox.empty();
      await loadMockUp(book.client, store);
    },
    /** The stamps as the book alone has them. */
    async inBook() {
      const { readings, marks } = await book.client.call('mockUp.whole', { id: mockUp.id });
      return joinStamps(readings, marks);
    },
    /** The place that is read in now, as the book alone has it. */
    async placeInBook() {
      const { setups, readings, marks } = await book.client.call('mockUp.whole', { id: mockUp.id });
      return frameInUse(setups, joinStamps(readings, marks));
    },
    announced,
    whole,
    outbox,
  };
}

const standing = (stamps: readonly Stamp[]) => stamps.filter(({ struck }) => !struck).length;

test.for([0, -5000, 60_000])(
  'what was given back stays given back while a slow host tells of the taking back (page %i ms ahead)',
  async (pageAheadMs) => {
    const bench = await openRun(pageAheadMs);
    for (let count = 0; count < 3; count += 1) bench.kept(bench.press());
    await bench.settle();
    bench.slow(true);
    bench.run.takeBack();
    bench.run.takeBack();
    expect(standing(bench.stamps())).toBe(1);
    bench.run.giveBack();
    bench.run.giveBack();
    expect(standing(bench.stamps())).toBe(3);
    // The book gets one mark after the other, and the page hears of each.
    for (let sent = 0; sent < 4; sent += 1) {
      await bench.letOneThrough();
      expect(standing(bench.stamps()), `stored mark ${sent + 1}, not told yet`).toBe(3);
      await bench.reload();
      expect(standing(bench.stamps()), `after mark ${sent + 1}`).toBe(3);
    }
    bench.run.wheelMoved();
    expect(bench.run.store.getState().notice?.sentence).toBe('Wheel moved: 3 stamps are in doubt and kept.');
    bench.slow(false);
    await bench.settle();
    expect((await bench.inBook()).map(({ struck, doubtful }) => ({ struck, doubtful }))).toEqual([
      { struck: false, doubtful: true },
      { struck: false, doubtful: true },
      { struck: false, doubtful: true },
    ]);
    // No copy is left behind that could outlast what another window does.
    expect(bench.run.store.getState()).toMatchObject({ localReadings: [], localMarks: [] });
  },
);

test('a refined value counts at once, though the host stored the first one later than it was made here', async () => {
  const bench = await openRun(-5000);
  const stampId = bench.press();
  bench.kept(stampId);
  await bench.settle();
  bench.slow(true);
  bench.say({ kind: 'stamp_refined', stampId, angle: { ...angle, rotationDeg: 40.5, frames: 9 } });
  const [stamp] = bench.stamps();
  expect(stamp?.current.subject).toMatchObject({ angle: { rotationDeg: 40.5 } });
});

test('a stamp of a turning crank says so, and keeps how far it turned from its picture when it is placed again', async () => {
  const bench = await openRun();
  const stampId = bench.press();
  const turning = { ...angle, sigmaDeg: 1.2, motion: 'turning', movement: { turnedDeg: 2, sigmaDeg: 1.2 } } as const;
  bench.say({ kind: 'stamp_kept', stampId, angle: turning, picture: null });
  expect(bench.run.store.getState().notice?.sentence).toContain('The crank was turning at the signal');
  await bench.settle();
  bench.say({
    kind: 'stamp_refined',
    stampId,
    angle: { ...turning, sigmaDeg: 0.3, movement: { turnedDeg: 1.8, sigmaDeg: 0.28 } },
  });
  await bench.settle();
  const [stored] = await bench.inBook();
  expect(stored?.current.supersedesReason).toContain('the crank was turning');
  expect(stored?.current.subject).toMatchObject({
    angle: { sigmaDeg: 0.3, movement: { turnedDeg: 1.8, sigmaDeg: 0.28 } },
  });
  expect(stored?.root.subject).toMatchObject({ angle: { movement: { turnedDeg: 2, sigmaDeg: 1.2 } } });
});

test('a stamp taken back before its frame was proven is kept, and taken back in the book as well', async () => {
  const bench = await openRun();
  const stampId = bench.press();
  bench.run.takeBack();
  expect(standing(bench.stamps())).toBe(0);
  await bench.outbox.empty();
  bench.kept(stampId);
  await bench.settle();
  expect(bench.outbox.store.getState().refused).toEqual([]);
  expect((await bench.inBook()).map(({ struck }) => struck)).toEqual([true]);
});

test('"wheel moved" puts a stamp in doubt that is still being read, and keeps the doubt of the others', async () => {
  const bench = await openRun();
  bench.kept(bench.press());
  const second = bench.press();
  bench.run.wheelMoved();
  bench.kept(second);
  await bench.settle();
  expect((await bench.inBook()).map(({ doubtful }) => doubtful)).toEqual([true, true]);
  expect(bench.outbox.store.getState().refused).toEqual([]);
});

test('a mark on a stamp that is refused after all goes with it', async () => {
  const bench = await openRun();
  bench.kept(bench.press());
  const second = bench.press();
  bench.run.wheelMoved();
  bench.say({ kind: 'stamp_kept', stampId: second, angle: { ok: false, reason: 'hand_over_rim' }, picture: null });
  await bench.settle();
  expect((await bench.inBook()).map(({ doubtful }) => doubtful)).toEqual([true]);
  expect(bench.run.store.getState().localMarks).toEqual([]);
  expect(bench.outbox.store.getState().refused).toEqual([]);
});

test('a stamp given back in the list is not what "give back" gives back', async () => {
  const bench = await openRun();
  bench.kept(bench.press());
  bench.kept(bench.press());
  bench.run.takeBack();
  bench.run.takeBack();
  const [first] = bench.stamps();
  if (first === undefined) throw new Error('nothing was stamped');
  bench.run.restore(first);
  bench.run.giveBack();
  expect(standing(bench.stamps())).toBe(2);
  expect(bench.run.store.getState().takenBack).toEqual([]);
});

test('an answer to the operator stays until the next thing is done: a stamp that is kept and re-read ones wipe nothing', async () => {
  const bench = await openRun();
  const stampId = bench.press();
  bench.run.wheelMoved();
  const answer = 'Wheel moved: 1 stamp is in doubt and kept.';
  expect(bench.run.store.getState().notice?.sentence).toBe(answer);
  bench.kept(stampId);
  expect(bench.run.store.getState().notice?.sentence).toBe(answer);
  bench.press();
  expect(bench.run.store.getState().notice).toBeNull();
});

test('stamps that a reader never answered are refused when it is started again', async () => {
  const bench = await openRun();
  bench.press();
  expect(bench.stamps()).toHaveLength(1);
  bench.sightStore.setState({ worker: { kind: 'restarting' } });
  expect(bench.stamps()).toEqual([]);
  expect(bench.run.store.getState().pending).toEqual([]);
  expect(bench.run.store.getState().notice?.sentence).toMatch(/^Not stamped: the reader stopped/);
});

describe('"wheel moved" that was a mistake', () => {
  const doubts = (stamps: readonly Stamp[]) => stamps.map(({ doubtful }) => doubtful);
  const setupsOf = (stamps: readonly Stamp[]) =>
    stamps.map(({ current: { subject } }) => (subject.what === 'quantity' ? '' : subject.angle.setupId));
  /** Two stamps, then "wheel moved". */
  async function movedBench() {
    const bench = await openRun();
    bench.kept(bench.press());
    bench.kept(bench.press());
    await bench.settle();
    bench.run.choose({ what: 'tdc_check', turning: 'backwards' });
    bench.run.wheelMoved();
    return bench;
  }

  test('is taken back whole in one step, doubts and place, and given back whole in one', async () => {
    const bench = await movedBench();
    await bench.settle();
    expect(doubts(await bench.inBook())).toEqual([true, true]);
    expect(await bench.placeInBook()).toBe(movedSetupId);
    expect(bench.run.store.getState().chosen).toBeNull();

    bench.run.takeBack();
    expect(doubts(bench.stamps())).toEqual([false, false]);
    expect(bench.run.store.getState().notice?.sentence).toBe('"Wheel moved" is taken back: 2 stamps count again.');
    expect(bench.run.store.getState().chosen).toEqual({ what: 'tdc_check', turning: 'backwards' });
    await bench.settle();
    expect(doubts(await bench.inBook())).toEqual([false, false]);
    expect(standing(await bench.inBook())).toBe(2);
    // What is read from now on counts from where the wheel always sat.
    expect(await bench.placeInBook()).toBe(firstSetupId);

    bench.run.giveBack();
    expect(bench.run.store.getState().notice?.sentence).toBe('Wheel moved: 2 stamps are in doubt and kept.');
    await bench.settle();
    expect(doubts(await bench.inBook())).toEqual([true, true]);
    expect(await bench.placeInBook()).toBe(movedSetupId);
    expect(bench.announced.slice(-2)).toEqual(['move_taken_back', 'given_back']);
    expect(bench.outbox.store.getState().refused).toEqual([]);
    // And so on, as often as wanted.
    bench.run.takeBack();
    expect(doubts(bench.stamps())).toEqual([false, false]);
  });

  test('is taken back after the stamps that were taken since, in the order in which it was done', async () => {
    const bench = await movedBench();
    bench.kept(bench.press());
    bench.run.takeBack();
    expect(doubts(bench.stamps())).toEqual([true, true, false]);
    expect(standing(bench.stamps())).toBe(2);
    bench.run.takeBack();
    expect(doubts(bench.stamps())).toEqual([false, false, false]);
    expect(standing(bench.stamps())).toBe(2);
    bench.run.takeBack();
    expect(standing(bench.stamps())).toBe(1);
    for (let step = 0; step < 3; step += 1) bench.run.giveBack();
    expect(doubts(bench.stamps())).toEqual([true, true, false]);
    expect(standing(bench.stamps())).toBe(3);
    expect(bench.run.store.getState().takenBack).toEqual([]);
    await bench.settle();
    expect(setupsOf(await bench.inBook())).toEqual([firstSetupId, firstSetupId, movedSetupId]);
    expect(await bench.placeInBook()).toBe(movedSetupId);
  });

  test('is taken back by a double press as well, whose own stamp goes with it', async () => {
    const bench = await movedBench();
    bench.press();
    bench.run.takeBackByDoublePress();
    expect(doubts(bench.stamps())).toEqual([false, false]);
    expect(standing(bench.stamps())).toBe(2);
  });

  test('a stamp taken into use by hand meanwhile stays in use; one in doubt before stays in doubt', async () => {
    const bench = await openRun();
    bench.kept(bench.press());
    bench.run.wheelMoved();
    bench.kept(bench.press());
    bench.run.wheelMoved();
    const [, second] = bench.stamps();
    if (second === undefined) throw new Error('nothing was stamped');
    bench.run.takeBack();
    expect(doubts(bench.stamps())).toEqual([true, false]);
    bench.run.giveBack();
    bench.run.restore(second);
    bench.run.takeBack();
    expect(doubts(bench.stamps())).toEqual([true, false]);
  });

  test('brings typed readings back to their place of the wheel as well', async () => {
    const bench = await openRun();
    const reading = { scale: '0-360', growsForwards: true } as const;
    const typed = (turning: 'forwards' | 'backwards', wheelReadingDeg: number) =>
      bench.run.typed(
        {
          typedText: String(wheelReadingDeg),
          wheelReadingDeg,
          sideOfZero: null,
          reading,
          resolutionDeg: 0.5,
          instrumentId: null,
          instrumentSigmaDeg: 0,
        },
        { what: 'stop_contact', turning },
      );
    typed('forwards', 330);
    const frames = async () => {
      await bench.settle();
      const { setups } = bench.whole();
      return (await bench.inBook()).map(({ current: { subject } }) =>
        subject.what === 'quantity' ? null : frameIdOf(subject.angle, setups),
      );
    };
    const [first] = await frames();
    expect(await bench.placeInBook()).toBe(first);
    bench.run.wheelMoved();
    await bench.settle();
    // The camera's place was begun last.
    expect(await bench.placeInBook()).toBe(movedSetupId);
    bench.run.takeBack();
    typed('backwards', 30);
    expect(await frames()).toEqual([first, first]);
    expect(await bench.placeInBook()).toBe(first);
    bench.run.wheelMoved();
    typed('backwards', 40);
    const [, , third] = await frames();
    expect(third).not.toBe(first);
  });

  test('is not given back once something was stamped: that was read as if the wheel had not moved', async () => {
    const bench = await movedBench();
    bench.run.takeBack();
    bench.kept(bench.press());
    expect(bench.run.store.getState().takenBack).toEqual([]);
    bench.run.giveBack();
    expect(doubts(bench.stamps())).toEqual([false, false, false]);
  });
});

test('a stamp that is still being read when the wheel is said to have moved stays where it was taken, and in doubt', async () => {
  const bench = await openRun();
  const shown = bench.press();
  bench.run.signal('key', Date.now());
  const unread = bench.asked.at(-1) ?? '';
  bench.run.wheelMoved();
  expect(bench.run.store.getState().notice?.sentence).toBe('Wheel moved: 2 stamps are in doubt and kept.');
  bench.kept(shown);
  bench.kept(unread);
  bench.kept(bench.press());
  // Its value may still get better afterwards: from the same reference, so in the same place.
  bench.say({ kind: 'stamp_refined', stampId: unread, angle: { ...angle, rotationDeg: 40.5, frames: 9 } });
  await bench.settle();
  const stamps = await bench.inBook();
  expect(
    stamps.map(({ doubtful, current: { subject } }) => [
      doubtful,
      subject.what === 'quantity' || subject.angle.by === 'typed' ? null : subject.angle.rotationDeg,
      subject.what === 'quantity' ? null : subject.angle.setupId,
    ]),
  ).toEqual([
    [true, 40, firstSetupId],
    [true, 40.5, firstSetupId],
    [false, 40, movedSetupId],
  ]);
  expect(bench.outbox.store.getState().refused).toEqual([]);
});
