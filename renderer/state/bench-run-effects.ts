import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { CameraAngle, Reading, ReadingContent, Signal, TypedAngle, Way } from '../../core/contract/readings.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import { timingResult } from '../../core/mockup/timing-result.ts';
import { refusalText } from '../../core/wheel/refusals.ts';
import type { RefusalReason } from '../../core/wheel/types.ts';
import type { AcceptedStamp, EvidencePicture, FromWorker } from '../wheel-worker/messages.ts';
import { wholeAtBench } from './bench-angle.ts';
import { createBenchMarks } from './bench-marks.ts';
import { createBenchPictures } from './bench-pictures.ts';
import { createRefiner } from './bench-refine.ts';
import {
  afterStamp,
  type BenchEvent,
  type BenchNotice,
  type BenchWanted,
  cameraAngle,
  createRunStore,
  keyOf,
  measuredTurning,
  otherWayNotice,
  type PendingSignal,
  type RunState,
  type RunStore,
  refusalNotice,
  stampsOf,
  subjectOf,
  turningNotice,
  wantedList,
  wantedNow,
} from './bench-run.ts';
import type { SetupInUse } from './bench-sight.ts';
import type { Sight } from './bench-sight-effects.ts';
import { stampSender } from './bench-store-stamp.ts';
import { createTypedSetups } from './bench-typed-setups.ts';
import { createWheelMoves, stampsOnly } from './bench-wheel-moves.ts';
import { localReading, withoutTold } from './local-rows.ts';
import type { MockUpStore } from './mock-up-store.ts';
import type { Outbox } from './outbox.ts';

export interface RunTools {
  readonly client: Client;
  readonly outbox: Outbox;
  readonly mockUp: MockUpStore;
  readonly sight: Sight;
  /** Settable delay from seeing the edge to pressing, ms. */
  operatorDelayMs(): number;
  /** Milliseconds since the epoch on the performance clock. */
  nowMs(): number;
  /** Picture of the second camera at this moment, or null. */
  secondPicture(): Promise<EvidencePicture | null>;
  /** What the operator hears and sees flash. */
  announce(event: BenchEvent): void;
}

export interface Run {
  readonly store: RunStore;
  /** "Port edge seen": stamps the wanted event. */
  signal(signal: Signal, pressedAtMs: number): void;
  takeBack(reason?: string): void;
  /** The second press of two: the first one's stamp and the one before it are taken back. */
  takeBackByDoublePress(): void;
  giveBack(): void;
  choose(wanted: BenchWanted | null): void;
  skip(): void;
  /** A wheel reading by eye. */
  typed(angle: Omit<TypedAngle, 'by' | 'setupId'>, wanted: BenchWanted): void;
  wheelMoved(): void;
  strike(stamp: Stamp, reason: string): void;
  restore(stamp: Stamp): void;
  /** Reads the kept picture again, without storing anything. */
  readAgain(stamp: Stamp): Promise<CameraAngle | RefusalReason>;
  /** Stores what reading again gave, in place of the present value. */
  storeReRead(stamp: Stamp, angle: CameraAngle): void;
  picture(pictureId: string): Promise<Blob>;
  close(): void;
}

const readerLost: BenchNotice = {
  tone: 'refused',
  sentence: 'Not stamped: the reader stopped before it had read the angle.',
  remedy: 'Stamp the event once more.',
};

export function createRun(tools: RunTools): Run {
  const store = createRunStore(newId());
  const pictures = createBenchPictures(tools.client);
  const typedSetups = createTypedSetups(tools.client, tools.outbox);
  let lastStampId: string | null = null;

  const whole = (): MockUpWhole | null => tools.mockUp.getState().whole;
  const setupInUse = (): SetupInUse | null => tools.sight.store.getState().setup;
  const change = (part: Partial<RunState>): void => store.setState(part);

  function stamps(): Stamp[] {
    const known = whole();
    return known === null ? [] : stampsOf(known, store.getState());
  }

  function say(notice: BenchNotice): void {
    change({ notice });
  }

  function signal(by: Signal, pressedAtMs: number): void {
    const known = whole();
    const state = store.getState();
    // A press that stamps nothing leaves nothing of its own for a second press to take back.
    lastStampId = null;
    if (known === null) return;
    const wanted = wantedNow(known, state, setupInUse());
    if (wanted === null) {
      say({
        tone: 'note',
        sentence: 'Every event of the run is stamped.',
        remedy: 'Choose an event in the list to stamp it once more.',
      });
      return;
    }
    const sight = tools.sight.store.getState();
    if (sight.setup === null || sight.live === null) {
      const notice: BenchNotice = {
        tone: 'refused',
        sentence: 'Not stamped: there is no reading of the wheel.',
        remedy: 'Set the wheel up, or type what the pointer shows.',
      };
      say(notice);
      tools.announce({ kind: 'refused', notice });
      return;
    }
    // A hold has no operator: nobody had to see the edge and press.
    const seenAtMs = by === 'steady_hold' ? pressedAtMs : pressedAtMs - tools.operatorDelayMs();
    const pending: PendingSignal = {
      stampId: newId(),
      wanted,
      signal: by,
      takenAt: new Date(seenAtMs).toISOString(),
      pressedAtMs,
    };
    lastStampId = pending.stampId;
    change({
      pending: [...state.pending, pending],
      notice: null,
      takenBack: stampsOnly(state.takenBack),
      chosen:
        state.chosen !== null && keyOf(state.chosen) === keyOf(wanted)
          ? afterStamp(stampsOf(known, state), wanted, state.benchRunId)
          : state.chosen,
    });
    tools.sight.stamp(pending.stampId, seenAtMs);
  }

  const unlisten = tools.sight.listen((message) => {
    switch (message.kind) {
      case 'stamped':
        if (message.angle.ok) showAtOnce(message.stampId, message.angle);
        return;
      case 'stamp_kept':
        keep(message);
        return;
      case 'stamp_refined':
        if (message.angle.ok) refiner.refine(message.stampId, message.angle);
        return;
      case 'calibrated':
        if (message.isComplete) void refiner.reReadProvisional();
        return;
      default:
        return;
    }
  });

  function contentOf(pending: PendingSignal, angle: AcceptedStamp): ReadingContent | null {
    const known = whole();
    const setup = setupOf(pending);
    if (known === null || setup === null) return null;
    const turning = measuredTurning(angle.approach, setup.content.forwards) ?? pending.wanted.turning;
    return {
      id: pending.stampId,
      mockUpId: known.mockUp.id,
      benchRunId: store.getState().benchRunId,
      subject: subjectOf(pending.wanted, turning, cameraAngle(setup.id, angle), known.mockUp),
      signal: pending.signal,
      takenAt: pending.takenAt,
      measuredBy: known.build.measuredBy,
      pictureId: null,
      secondPictureId: null,
      supersedesId: null,
      supersedesReason: '',
      note: '',
    };
  }

  const setupOf = (pending: PendingSignal): SetupInUse | null => pending.seenWith ?? setupInUse();
  const forwardsOf = (pending: PendingSignal): Way | null => setupOf(pending)?.content.forwards ?? null;

  /** Shown before the picture is made and the frame is proven: nothing may wait for that. */
  function showAtOnce(stampId: string, angle: AcceptedStamp): void {
    const pending = store.getState().pending.find((one) => one.stampId === stampId);
    const content = pending === undefined ? null : contentOf(pending, angle);
    if (pending === undefined || content === null) return;
    put(localReading(content));
    flash(stampId);
    tools.announce({ kind: 'stamped', reading: localReading(content), wanted: pending.wanted });
  }

  function keep(message: Extract<FromWorker, { kind: 'stamp_kept' }>): void {
    const state = store.getState();
    const pending = state.pending.find((one) => one.stampId === message.stampId);
    if (pending === undefined) return;
    change({ pending: state.pending.filter((one) => one !== pending) });
    const { angle, picture } = message;
    const content = angle.ok ? contentOf(pending, angle) : null;
    if (!angle.ok || content === null) {
      const reason = angle.ok ? 'wheel_not_found' : angle.reason;
      drop(message.stampId, refusalNotice(refusalText(reason), reason));
      return;
    }
    const isShown = store.getState().localReadings.some((reading) => reading.id === content.id);
    const pictureId = picture === null ? null : newId();
    if (picture !== null && pictureId !== null) pictures.remember(pictureId, picture.jpeg);
    const kept: ReadingContent = { ...content, pictureId };
    put(localReading(kept));
    if (!isShown) {
      flash(kept.id);
      tools.announce({ kind: 'stamped', reading: localReading(kept), wanted: pending.wanted });
    }
    // Nothing is wiped where there is nothing to say: what was done since the press may have been answered.
    const otherWay = otherWayNotice(pending.wanted, measuredTurning(angle.approach, forwardsOf(pending)));
    const notice = otherWay ?? turningNotice(angle);
    if (notice !== null) say(notice);
    // Asked for now, not when the outbox gets to it: the second picture must show the same moment.
    const second = tools.secondPicture().catch(() => null);
    tools.outbox.put('A stamp', stampSender(tools.client, pictures, kept, picture, second));
    marks.stampSent(kept.id);
  }

  /** A stamp that was shown, or still waited for its angle, isn't kept. */
  function drop(stampId: string, notice: BenchNotice): void {
    const { pending, localReadings } = store.getState();
    change({
      pending: pending.filter((one) => one.stampId !== stampId),
      localReadings: localReadings.filter((reading) => reading.id !== stampId),
      notice,
    });
    marks.stampDropped(stampId);
    tools.announce({ kind: 'refused', notice });
  }

  function put(reading: Reading): void {
    const others = store.getState().localReadings.filter((one) => one.id !== reading.id);
    change({ localReadings: [...others, reading] });
  }

  function flash(readingId: string): void {
    change({ flash: { readingId, count: (store.getState().flash?.count ?? 0) + 1 } });
  }

  function typed(angle: Omit<TypedAngle, 'by' | 'setupId'>, wanted: BenchWanted): void {
    const known = whole();
    if (known === null) return;
    const setupId = typedSetups.setupFor(known, angle.reading);
    const content: ReadingContent = {
      id: newId(),
      mockUpId: known.mockUp.id,
      benchRunId: store.getState().benchRunId,
      subject: subjectOf(wanted, wanted.turning, { by: 'typed', setupId, ...angle }, known.mockUp),
      signal: 'typed',
      takenAt: new Date(tools.nowMs()).toISOString(),
      measuredBy: known.build.measuredBy,
      pictureId: null,
      secondPictureId: null,
      supersedesId: null,
      supersedesReason: '',
      note: '',
    };
    const state = store.getState();
    if (state.chosen !== null && keyOf(state.chosen) === keyOf(wanted)) {
      change({ chosen: afterStamp(stampsOf(known, state), wanted, state.benchRunId) });
    }
    change({ takenBack: stampsOnly(state.takenBack) });
    put(localReading(content));
    flash(content.id);
    tools.announce({ kind: 'stamped', reading: localReading(content), wanted });
    tools.outbox.put('A typed reading', async () => {
      await tools.client.call('reading.add', { reading: content, pictures: [] });
    });
  }

  /** Of the check of TDC that came out right last; empty where none did. */
  function provenAt(): string {
    const known = whole();
    return known === null ? '' : timingResult(wholeAtBench(known, store.getState(), setupInUse())).tdc.provenAt;
  }

  const refiner = createRefiner({ ...tools, pictures, stamps, put, flash, tell: (news) => change({ news }) });
  const moves = createWheelMoves({ sight: tools.sight, store, typedSetups, whole });
  const marks = createBenchMarks({ ...tools, store, whole, stamps, flash, provenAt, moves });
  const unsubscribe = tools.mockUp.subscribe((state) => {
    if (state.whole !== null) store.setState(withoutTold(store.getState(), state.whole));
  });
  const unwatch = tools.sight.store.subscribe(({ worker }, before) => {
    if (worker === before.worker || (worker.kind !== 'restarting' && worker.kind !== 'gave_up')) return;
    // Nobody will answer these any more.
    for (const { stampId } of store.getState().pending) drop(stampId, readerLost);
  });

  return {
    store,
    signal,
    takeBack: marks.takeBack,
    takeBackByDoublePress() {
      const own = lastStampId;
      lastStampId = null;
      marks.takeBackByDoublePress(own);
    },
    giveBack: marks.giveBack,
    choose: (chosen) => change({ chosen, notice: null }),
    skip() {
      const known = whole();
      const state = store.getState();
      const wanted = known === null ? null : wantedNow(known, state, setupInUse());
      if (known === null || wanted === null) return;
      if (state.chosen !== null) {
        change({ chosen: null });
        return;
      }
      const skipped = new Set([...state.skipped, keyOf(wanted)]);
      // Nothing left but what was passed over: the round begins again with that.
      const isAll = wantedNow(known, { ...state, skipped }, setupInUse()) === null && wantedList(known).length > 0;
      change({ skipped: isAll ? new Set() : skipped });
    },
    typed,
    wheelMoved: marks.wheelMoved,
    strike: marks.strike,
    restore: marks.restore,
    readAgain: refiner.readAgain,
    storeReRead: refiner.storeReRead,
    picture: pictures.get,
    close() {
      unlisten();
      unsubscribe();
      unwatch();
    },
  };
}
