import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import type { Client } from '../../../core/contract/client.ts';
import type { WheelSetup, WheelSetupContent } from '../../../core/contract/readings.ts';
import { joinStamps } from '../../../core/mockup/stamps.ts';
import type { RefusalReason, RingBand, StraightenedRing, WheelReading } from '../../../core/wheel/types.ts';
import { crankAngle, wholeAtBench } from '../../../renderer/state/bench-angle.ts';
import { carryOn, type EarlierSetup, setupFit, setupFitText } from '../../../renderer/state/bench-kept-setup.ts';
import { createSight, type Sight } from '../../../renderer/state/bench-sight-effects.ts';
import { createOutbox } from '../../../renderer/state/outbox.ts';
import { scaleShown } from '../../../renderer/state/wheel-scale-shown.ts';
import type { FromWorker, SetupInfo, ToWorker } from '../../../renderer/wheel-worker/messages.ts';
import { BenchRecords } from '../../support/bench-records.ts';

/** Stands for the reader: says what the test has it say, and remembers what it was asked. */
class StandInWorker extends EventTarget {
  readonly asked: string[] = [];
  /** The part of the ring that is to be straightened, as asked for last. */
  band: RingBand | null | undefined;
  postMessage(message: ToWorker): void {
    this.asked.push(message.kind);
    if (message.kind === 'tape') this.band = message.band;
  }
  terminate(): void {}
  say(message: FromWorker): void {
    this.dispatchEvent(new MessageEvent('message', { data: message }));
  }
}

beforeEach(() => {
  vi.stubGlobal('document', { createElement: () => ({ dataset: {}, setAttribute() {}, remove() {} }) });
});
afterEach(() => vi.unstubAllGlobals());

const info: SetupInfo = {
  rim: { centrePx: [640, 360], fullAxesPx: [500, 480], angleDeg: 0 },
  widthPx: 1280,
  heightPx: 720,
  tickStepDeg: 1,
  modulusDeg: 360,
  isCalibrated: false,
  tiltDeg: 5,
  inPictureFraction: 1,
  codedRing: null,
  pointerPx: null,
};

const made = (turnFromEarlierDeg: number | null): FromWorker => ({
  kind: 'set_up_made',
  isByHand: false,
  info,
  state: new Uint8Array([1, 2, 3]),
  reference: { jpeg: new Blob(['picture']), widthPx: 1280, heightPx: 720, takenAtMs: 0 },
  turnFromEarlierDeg,
});

function frame(reading: WheelReading): FromWorker {
  return {
    kind: 'frame_read',
    capturedAtMs: 0,
    widthPx: 1280,
    heightPx: 720,
    reading,
    motion: 'steady',
    speedDegPerS: 0,
    approach: 'none',
    lastPlace: null,
    steps: { copyMs: 0, readMs: 0, tapeMs: 0 },
    framesDropped: 0,
    tape: null,
  };
}

const unremarkable = {
  provisional: false,
  modulusDeg: 360,
  diagnostics: {
    coveredFraction: 1,
    inViewFraction: 1,
    medianNcc: 0.9,
    contrast: 60,
    residualDeg: 0.01,
    blurDeg: 0,
    uniquenessZ: 20,
    ringShiftPx: 0,
  },
} as const;

const held = (rotationDeg: number): FromWorker =>
  frame({ ...unremarkable, accepted: true, rotationDeg, trackedDeg: rotationDeg, sigmaDeg: 0.005, reason: null });

const refused = (reason: RefusalReason): FromWorker =>
  frame({ ...unremarkable, accepted: false, rotationDeg: null, trackedDeg: null, sigmaDeg: null, reason });

const runningCamera = {
  kind: 'running',
  source: {
    from: 'camera',
    label: 'Bench camera',
    deviceId: '1',
    widthPx: 1280,
    heightPx: 720,
    framesPerS: 30,
  },
} as const;

/** A mock-up that was set up with forwards clockwise, with what the page does for it. */
function atTheBench() {
  const worker = new StandInWorker();
  const rows = new Map<string, WheelSetupContent>();
  /** As the database keeps them: an update without a state leaves the one that is there. */
  const readerStates = new Map<string, string>();
  const client: Client = {
    async call(name, input) {
      if (name === 'setup.create' || name === 'setup.update') {
        const { id, content, readerState } = input as {
          id: string;
          content: WheelSetupContent;
          readerState?: string;
        };
        rows.set(id, content);
        if (readerState !== undefined) readerStates.set(id, readerState);
      }
      if (name === 'setup.readerState') {
        return { readerState: readerStates.get((input as { id: string }).id) ?? null } as never;
      }
      return {} as never;
    },
    listen: () => () => undefined,
  };
  const outbox = createOutbox();
  const records = new BenchRecords();
  const mockUp = records.mockUp();
  const sight = createSight({
    client,
    outbox,
    mockUpId: mockUp.mockUp.id,
    media: null,
    makeWorker: () => worker as unknown as Worker,
  });
  worker.say(made(null));
  sight.answerForwards('clockwise');
  const setupInUse = () => {
    const { setup } = sight.store.getState();
    if (setup === null) throw new Error('no set-up in use');
    return setup;
  };
  const first = setupInUse().id;
  /** Contacts 40 degrees either side of TDC, which lies at 200 from the first reference. */
  const angle = (rotationDeg: number) => ({ ...records.camera(mockUp, rotationDeg), setupId: first });
  const readings = [records.stop(mockUp, 'forwards', angle(160)), records.stop(mockUp, 'backwards', angle(240))];
  const setups = () =>
    [...rows].map(
      ([id, content]): WheelSetup => ({
        ...content,
        hasReaderState: true,
        id,
        workplaceId: id,
        createdAt: '2026-03-01T10:00:00.000Z',
      }),
    );
  /** The crank angle that the bench shows, with the rows as the database has them. */
  const shownCrank = (): number | null => {
    const setup = setupInUse();
    const whole = wholeAtBench({ ...mockUp, setups: setups(), readings }, { localReadings: [], localMarks: [] }, setup);
    const { shownRotationDeg } = sight.store.getState();
    if (shownRotationDeg === null) throw new Error('nothing is read');
    return crankAngle(whole, joinStamps(readings, []), setup.id, shownRotationDeg);
  };
  return { worker, sight, outbox, rows, readerStates, first, setupInUse, setups, shownCrank };
}

function latestEarlier(sight: Sight): EarlierSetup {
  const [earlier] = sight.store.getState().earlier;
  if (earlier === undefined) throw new Error('nothing to carry on');
  return earlier;
}

/** The camera is knocked with the crank at 290 from the first reference, a quarter turn after TDC; the wheel is found again. */
function knockedAt290(turnFromEarlierDeg: number | null) {
  const bench = atTheBench();
  const { worker, sight } = bench;
  worker.say(held(290));
  expect(bench.shownCrank()).toBeCloseTo(90, 9);
  worker.say({ kind: 'camera_checked', check: { state: 'moved', shiftPx: 14.2, corners: 80 } });
  worker.say(refused('camera_moved'));
  const { cameraCheck, live } = sight.store.getState();
  const said = setupFitText(setupFit(cameraCheck, live?.reading ?? null));
  expect(said).toMatchObject({ mustSetUp: true });
  expect(said?.sentence).toContain('The camera has moved by 14.2 pixels');
  sight.find();
  expect(worker.asked.at(-1)).toBe('find');
  worker.say({ kind: 'found', rim: info.rim, confidence: 0.9 });
  worker.say(made(turnFromEarlierDeg));
  return { ...bench, earlier: latestEarlier(sight) };
}

test('a knocked camera is noticed, one answer carries on, and the stamps go on counting', async () => {
  const { worker, sight, outbox, rows, first, setupInUse, shownCrank, earlier } = knockedAt290(291.5);
  expect(earlier).toEqual({
    setupId: first,
    forwards: 'clockwise',
    shownAtReferenceDeg: null,
    lastHeldDeg: 290,
    seenTurnDeg: 291.5,
  });
  const offer = carryOn(earlier);
  if (offer.kind !== 'ask') throw new Error('not asked');
  expect(offer).toEqual({ kind: 'ask', atDeg: 290, isSeen: true });
  sight.carryOn(earlier, offer.atDeg);
  expect(sight.store.getState().earlier).toEqual([]);
  await outbox.empty();
  const kept = { continuesSetupId: first, continuesAtDeg: 290, forwards: 'clockwise' };
  expect(setupInUse().content).toMatchObject(kept);
  expect(rows.get(setupInUse().id)).toMatchObject(kept);
  expect(rows.get(first)).toMatchObject({ continuesSetupId: null, forwards: 'clockwise' });
  worker.say(held(0));
  expect(shownCrank()).toBeCloseTo(90, 9);
  worker.say(held(35));
  expect(shownCrank()).toBeCloseTo(125, 9);

  // Knocked again before anything was stamped with the second set-up: the third carries the chain on.
  const second = setupInUse().id;
  sight.find();
  worker.say(made(null));
  sight.carryOn(latestEarlier(sight), 35);
  await outbox.empty();
  expect(rows.get(setupInUse().id)).toMatchObject({ continuesSetupId: second, continuesAtDeg: 35 });
  worker.say(held(359));
  expect(shownCrank()).toBeCloseTo(124, 9);

  // Forwards turns out to be the other way round: nothing counts on from angles of this way.
  sight.answerForwards('anticlockwise');
  expect(setupInUse().content).toMatchObject({ continuesSetupId: null, continuesAtDeg: null });
  expect(shownCrank()).toBeNull();
  sight.close();
});

test.each([
  ['clockwise', 307.5],
  ['anticlockwise', 87.5],
] as const)('the wheel’s own number is carried over a knock, forwards %s', async (forwards, atNextReferenceDeg) => {
  const { worker, sight, outbox, rows, setupInUse } = atTheBench();
  sight.answerForwards(forwards);
  sight.changeSetup({ wheelReading: { scale: '0-360', growsForwards: true }, shownAtReferenceDeg: 17.5 });
  const shownAt = (rotationDeg: number) => scaleShown(setupInUse().content, rotationDeg)?.reading.shownDeg;
  worker.say(held(290));
  const before = shownAt(290);
  sight.find();
  worker.say(made(291.5));
  expect(shownAt(0)).toBeUndefined();
  sight.carryOn(latestEarlier(sight), 290);
  await outbox.empty();
  expect(rows.get(setupInUse().id)?.shownAtReferenceDeg).toBeCloseTo(atNextReferenceDeg, 9);
  // The crank stands where it stood: the wheel shows what it showed.
  expect(shownAt(0)).toBeCloseTo(before ?? Number.NaN, 9);

  // A number that is entered before the question is answered is newer than the one carried on.
  sight.find();
  worker.say(made(null));
  sight.answerForwards(forwards);
  sight.changeSetup({ shownAtReferenceDeg: 88 });
  sight.carryOn(latestEarlier(sight), 0);
  expect(setupInUse().content.shownAtReferenceDeg).toBe(88);
  sight.close();
});

test('"no, find TDC again" leaves a new reference that the earlier TDC does not reach', async () => {
  const { worker, sight, outbox, rows, setupInUse, shownCrank, earlier } = knockedAt290(null);
  sight.carryOn(earlier, null);
  expect(sight.store.getState().earlier).toEqual([]);
  sight.answerForwards('clockwise');
  await outbox.empty();
  expect(rows.get(setupInUse().id)).toMatchObject({ continuesSetupId: null, continuesAtDeg: null });
  worker.say(held(0));
  expect(shownCrank()).toBeNull();
  sight.close();
});

test('a change of the book while a new set-up is being made doesn’t bring the kept one back', async () => {
  const { worker, sight, outbox, first, setups } = atTheBench();
  await outbox.empty();
  sight.store.setState({ camera: runningCamera });
  worker.say(held(290));
  worker.asked.length = 0;
  sight.find();
  sight.offerKeptSetups(setups());
  worker.say({ kind: 'found', rim: info.rim, confidence: 0.9 });
  // A picture of an earlier stamp has come to the book just now.
  sight.offerKeptSetups(setups());
  worker.say(made(291.5));
  expect(sight.store.getState().earlier).toMatchObject([{ setupId: first, lastHeldDeg: 290, seenTurnDeg: 291.5 }]);
  expect(worker.asked).toEqual(['find']);

  // The same where the operator ended the search, or draws the outline.
  sight.find();
  sight.stopFinding();
  sight.offerKeptSetups(setups());
  expect(sight.store.getState()).toMatchObject({ setup: null, finding: { kind: 'stopped' } });
  sight.drawRim();
  sight.offerKeptSetups(setups());
  expect(sight.store.getState()).toMatchObject({ setup: null, finding: { kind: 'by_hand', isInHand: true } });
  expect(worker.asked).toEqual(['find', 'find', 'stop_finding', 'stop_finding']);
  sight.close();
});

test('the question outlives an outline that is put right once more, and then counts on over both turns', async () => {
  const { worker, sight, outbox, rows, first, setupInUse, earlier } = knockedAt290(291.5);
  const second = setupInUse().id;
  const byHand = made(2) as Extract<FromWorker, { kind: 'set_up_made' }>;
  sight.dropRim(info.rim);
  worker.say({ kind: 'snapped', rim: info.rim, isSnapped: true });
  worker.say({ ...byHand, isByHand: true });
  const [afterSecond, afterFirst] = sight.store.getState().earlier;
  expect(afterSecond).toMatchObject({ setupId: second, seenTurnDeg: 2, lastHeldDeg: null });
  expect(afterFirst).toEqual({ ...earlier, seenTurnDeg: 293.5 });
  if (afterFirst === undefined) throw new Error('the question was lost');
  expect(carryOn(afterFirst)).toEqual({ kind: 'ask', atDeg: 290, isSeen: true });
  sight.carryOn(afterFirst, 290);
  await outbox.empty();
  expect(rows.get(setupInUse().id)).toMatchObject({ continuesSetupId: first, continuesAtDeg: 290 });

  // A turn that wasn't seen once is not seen over both.
  sight.find();
  worker.say(made(null));
  sight.dropRim(info.rim);
  worker.say({ ...byHand, isByHand: true });
  expect(sight.store.getState().earlier.map(({ seenTurnDeg }) => seenTurnDeg)).toEqual([2, null]);
  sight.close();
});

test('an outline in hand stays there, whatever comes of the one set down before', () => {
  const { worker, sight } = atTheBench();
  const moved = (byPx: number) => ({ ...info.rim, centrePx: [640 + byPx, 360] as const });
  const shown = () => sight.store.getState();
  sight.dropRim(moved(4));
  sight.dragRim(moved(60));
  worker.say({ kind: 'snapped', rim: info.rim, isSnapped: true });
  expect(worker.asked.at(-1)).toBe('set_up');
  expect(shown()).toMatchObject({ rim: moved(60), finding: { kind: 'by_hand', isInHand: true } });
  worker.say({ ...made(null), isByHand: true } as FromWorker);
  expect(shown()).toMatchObject({ rim: moved(60), finding: { kind: 'by_hand', isInHand: true } });
  expect(shown().setup?.info.rim).toEqual(info.rim);
  expect(shown().setup?.content.forwards).toBe('clockwise');
  sight.dropRim(moved(120));
  worker.say({ kind: 'snapped', rim: moved(120), isSnapped: false });
  worker.say({ kind: 'set_up_refused', reason: 'ticks_not_resolvable' });
  expect(shown()).toMatchObject({ rim: moved(120), finding: { kind: 'refused' } });
  sight.putRimBack();
  expect(shown().rim).toEqual(info.rim);

  // A search that ends as the outline is taken in hand, too.
  sight.store.setState({ camera: runningCamera });
  sight.find();
  sight.drawRim();
  const drawn = shown().rim;
  worker.say({ kind: 'not_found', reason: 'wheel_not_found', tries: 1 });
  worker.say({ kind: 'found', rim: info.rim, confidence: 0.9 });
  worker.say(made(null));
  expect(shown()).toMatchObject({ rim: drawn, finding: { kind: 'by_hand', isInHand: true } });
  expect(shown().setup?.content.forwards, 'what was found anew is asked about').toBeNull();

  // Given up first and drawn then, it may be another place altogether: that is asked about as well.
  sight.answerForwards('clockwise');
  sight.find();
  sight.drawRim();
  sight.dropRim(info.rim);
  worker.say({ ...made(null), isByHand: true } as FromWorker);
  expect(shown().setup?.content.forwards).toBeNull();
  sight.close();
});

test('what comes of a search that was ended doesn’t begin it again', () => {
  const { worker, sight } = atTheBench();
  sight.find();
  sight.stopFinding();
  worker.say({ kind: 'not_found', reason: 'wheel_not_found', tries: 1 });
  expect(sight.store.getState().finding).toEqual({ kind: 'stopped' });
  // It was just over when it was ended: the set-up counts.
  worker.say({ kind: 'found', rim: info.rim, confidence: 0.9 });
  worker.say(made(null));
  expect(sight.store.getState()).toMatchObject({ rim: info.rim, finding: { kind: 'idle' } });

  // A reader that died while it searched, or before the found wheel was set up, searches anew.
  for (const isFound of [false, true]) {
    sight.find();
    if (isFound) worker.say({ kind: 'found', rim: info.rim, confidence: 0.9 });
    worker.asked.length = 0;
    worker.say({ kind: 'aborted', detail: 'out of memory' });
    expect(worker.asked).toContain('find');
    expect(sight.store.getState().finding.kind).toBe('looking');
  }
  sight.close();
});

test('a model that comes after its set-up was given up isn’t kept', async () => {
  const { worker, sight, outbox, readerStates } = atTheBench();
  await outbox.empty();
  sight.find();
  worker.say({ kind: 'pointer_marked', info, state: new Uint8Array([9, 8, 7]) });
  worker.asked.length = 0;
  worker.say({ kind: 'aborted', detail: 'out of memory' });
  expect(worker.asked).toContain('find');
  expect(worker.asked).not.toContain('restore');
  await outbox.empty();
  expect([...readerStates.values()]).toEqual(['AQID']);
  sight.close();
});

test('nobody is asked where the pictures show that the crank was turned, or where it was never held', () => {
  const { sight, earlier } = knockedAt290(330);
  expect(carryOn(earlier)).toEqual({ kind: 'turned', byDeg: 40 });
  expect(carryOn({ ...earlier, seenTurnDeg: null })).toEqual({ kind: 'ask', atDeg: 290, isSeen: false });
  expect(carryOn({ ...earlier, lastHeldDeg: null })).toEqual({ kind: 'not_read' });
  expect(carryOn({ ...earlier, forwards: null })).toEqual({ kind: 'not_read' });
  sight.close();
});

test('a camera that is quicker than the mock-up waits for it: a kept set-up is taken up, none is looked for', async () => {
  const { rows, first, outbox } = atTheBench();
  await outbox.empty();
  const content = rows.get(first);
  if (content === undefined) throw new Error('not kept');
  const kept = {
    ...content,
    id: first,
    workplaceId: first,
    createdAt: '2026-03-01T10:00:00.000Z',
    hasReaderState: true,
  };
  const asked = (worker: StandInWorker) => worker.asked.filter((kind) => kind === 'find' || kind === 'restore');
  const askedWith = async (setups: readonly WheelSetup[], readerState: string | null): Promise<string[]> => {
    const worker = new StandInWorker();
    const sight = createSight({
      client: { call: async () => ({ readerState }) as never, listen: () => () => undefined },
      outbox: createOutbox(),
      mockUpId: content.mockUpId,
      media: null,
      makeWorker: () => worker as unknown as Worker,
    });
    sight.store.setState({ camera: runningCamera });
    sight.offerKeptSetups(setups);
    await vi.waitFor(() => expect(asked(worker)).not.toEqual([]));
    sight.close();
    return asked(worker);
  };
  await expect(askedWith([kept], 'AQID')).resolves.toEqual(['restore']);
  await expect(askedWith([], 'AQID')).resolves.toEqual(['find']);
  await expect(askedWith([{ ...kept, hasReaderState: false }], null)).resolves.toEqual(['find']);
  // The row said that there is a state and the book gave none: look for the wheel, don't wait for ever.
  await expect(askedWith([kept], null)).resolves.toEqual(['find']);
});

test('what the reader knows is sent when it is new, and goes along when the wheel was moved', async () => {
  const { sight, worker, outbox, rows, readerStates, first } = atTheBench();
  await outbox.empty();
  expect(readerStates.get(first)).toBe('AQID');
  worker.say({ kind: 'pointer_marked', info, state: new Uint8Array([9, 8, 7]) });
  sight.changeSetup({ wheelDiameterMm: 200 });
  const place = sight.beginAnew();
  await outbox.empty();
  expect(rows.get(first)?.wheelDiameterMm).toBe(200);
  expect(readerStates.get(first)).toBe('CQgH');
  const [, anew] = [...readerStates.keys()];
  expect(anew).toBe(sight.store.getState().setup?.id);
  expect(readerStates.get(anew as string)).toBe('CQgH');
  // Taken back, it counts on from the one before without a turn between; given back, it stands alone again.
  if (place === null) throw new Error('no place was begun');
  expect(place).toMatchObject({ setupId: anew, earlierId: first });
  sight.joinPlace(place, true, []);
  await outbox.empty();
  expect(rows.get(anew as string)).toMatchObject({ continuesSetupId: first, continuesAtDeg: 0 });
  expect(readerStates.get(anew as string)).toBe('CQgH');
  sight.joinPlace(place, false, []);
  await outbox.empty();
  expect(rows.get(anew as string)).toMatchObject({ continuesSetupId: null, continuesAtDeg: null });
  // Where another set-up is in use by then, its stored row is changed.
  worker.say(made(null));
  const before = rows.get(anew as string);
  if (before === undefined || anew === undefined) throw new Error('the new place was not kept');
  const stored = { workplaceId: anew, createdAt: '2026-11-03T10:00:00.000Z', hasReaderState: true };
  sight.joinPlace(place, true, [{ ...before, ...stored, id: anew }]);
  await outbox.empty();
  expect(rows.get(anew as string)).toMatchObject({ continuesSetupId: first, continuesAtDeg: 0 });
  expect(sight.store.getState().setup?.content.continuesSetupId).toBeNull();
  sight.close();
});

test('the ring is straightened only where it is shown, and anew after the reader was restarted', () => {
  const { worker, sight } = atTheBench();
  expect(worker.band ?? null).toBeNull();
  const band = { widthPx: 640, heightPx: 64, fromDeg: 230, spanDeg: 80 };
  const seen: StraightenedRing[] = [];
  const end = sight.listenTape((ring) => seen.push(ring), band);
  expect(worker.band).toEqual(band);
  const ring = { widthPx: 640, heightPx: 64, grey: new Uint8Array(640 * 64) };
  worker.say({ ...held(10), tape: ring } as FromWorker);
  expect(seen).toEqual([ring]);
  worker.band = undefined;
  worker.say({ kind: 'aborted', detail: 'out of memory' });
  expect(worker.band).toEqual(band);
  end();
  expect(worker.band).toBeNull();
});
