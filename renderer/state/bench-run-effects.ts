import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type {
  AngleReading,
  MarkKind,
  Reading,
  ReadingContent,
  Signal,
  TypedAngle,
  Way,
} from '../../core/contract/readings.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import { refusalText } from '../../core/wheel/refusals.ts';
import type { WheelReading } from '../../core/wheel/types.ts';
import type { EvidencePicture, FromWorker, StampedAngle } from '../wheel-worker/messages.ts';
import { createBenchPictures, pictureRow } from './bench-pictures.ts';
import {
  afterStamp,
  angleOf,
  type BenchNotice,
  type BenchWanted,
  cameraAngle,
  createRunStore,
  keyOf,
  lastStanding,
  localMark,
  localReading,
  measuredTurning,
  otherWayNotice,
  type PendingSignal,
  type RunState,
  type RunStore,
  refusalNotice,
  settled,
  sinceLastCheck,
  stampsOf,
  subjectOf,
  toReRead,
  wantedList,
  wantedNow,
  withAngle,
} from './bench-run.ts';
import type { Sight } from './bench-sight-effects.ts';
import { createTypedSetups } from './bench-typed-setups.ts';
import { fromBase64 } from './bytes-text.ts';
import type { MockUpStore } from './mock-up-store.ts';
import type { Outbox } from './outbox.ts';
import { sentenceOf } from './sentence-of.ts';

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

/** What may be told by tone and voice. */
export type BenchEvent =
  | { readonly kind: 'stamped'; readonly reading: Reading; readonly wanted: BenchWanted }
  | { readonly kind: 'refused'; readonly notice: BenchNotice }
  | { readonly kind: 'taken_back'; readonly reading: Reading }
  | { readonly kind: 'given_back' };

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
  readAgain(stamp: Stamp): Promise<WheelReading>;
  /** Stores what reading again gave, in place of the present value. */
  storeReRead(stamp: Stamp, reading: WheelReading): void;
  picture(pictureId: string): Promise<Blob>;
  close(): void;
}

export function createRun(tools: RunTools): Run {
  const store = createRunStore(newId());
  const pictures = createBenchPictures(tools.client);
  const typedSetup = createTypedSetups(tools.client, tools.outbox);
  let lastStampId: string | null = null;

  const whole = (): MockUpWhole | null => tools.mockUp.getState().whole;
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
    const wanted = wantedNow(known, state);
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
      chosen:
        state.chosen !== null && keyOf(state.chosen) === keyOf(wanted)
          ? afterStamp(state, known, wanted)
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
        if (message.angle.ok) refine(message.stampId, message.angle);
        return;
      case 'calibrated':
        if (message.isComplete) void reReadProvisional();
        return;
      default:
        return;
    }
  });

  function contentOf(pending: PendingSignal, angle: Extract<StampedAngle, { ok: true }>): ReadingContent | null {
    const known = whole();
    const { setup } = tools.sight.store.getState();
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

  const forwardsNow = (): Way | null => tools.sight.store.getState().setup?.content.forwards ?? null;

  /** Shown before the picture is made and the frame is proven: nothing may wait for that. */
  function showAtOnce(stampId: string, angle: Extract<StampedAngle, { ok: true }>): void {
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
      change({ localReadings: store.getState().localReadings.filter((reading) => reading.id !== message.stampId) });
      const notice = refusalNotice(refusalText(reason), reason);
      say(notice);
      tools.announce({ kind: 'refused', notice });
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
    change({ notice: otherWayNotice(pending.wanted, measuredTurning(angle.approach, forwardsNow())) });
    // Asked for now, not when the outbox gets to it: the second picture must show the same moment.
    const second = tools.secondPicture().catch(() => null);
    tools.outbox.put('A stamp', async () => {
      await storeReading(kept, picture, await second);
    });
  }

  async function storeReading(
    content: ReadingContent,
    picture: EvidencePicture | null,
    second: EvidencePicture | null,
  ): Promise<void> {
    const secondPictureId = second === null ? null : newId();
    const sent = [];
    if (picture !== null && content.pictureId !== null) sent.push(await pictureRow(content.pictureId, picture));
    if (second !== null && secondPictureId !== null) {
      sent.push(await pictureRow(secondPictureId, second));
      pictures.remember(secondPictureId, second.jpeg);
    }
    await tools.client.call('reading.add', { reading: { ...content, secondPictureId }, pictures: sent });
  }

  function refine(stampId: string, angle: Extract<StampedAngle, { ok: true }>): void {
    const stamp = stamps().find((one) => one.root.id === stampId);
    const { setup } = tools.sight.store.getState();
    if (stamp === undefined || setup === null || stamp.struck) return;
    const now = angleOf(stamp.current);
    if (now?.by !== 'camera' || now.setupId !== setup.id) return;
    supersede(
      stamp,
      cameraAngle(setup.id, angle),
      stamp.current.signal,
      `Refined from ${angle.frames} frames of the steady stretch around the signal.`,
    );
  }

  /** Stamps of before the turn get their value from the rigid model, read from their own pictures. */
  async function reReadProvisional(): Promise<void> {
    const { setup } = tools.sight.store.getState();
    if (setup === null) return;
    for (const stamp of toReRead(stamps(), setup.id)) {
      const { pictureId } = stamp.current;
      if (pictureId === null) continue;
      try {
        const reading = await tools.sight.reRead(await pictures.get(pictureId), null);
        if (reading.accepted) storeReRead(stamp, reading);
        else {
          const { what, remedy } = refusalText(reading.reason);
          say({ tone: 'note', sentence: `A stamp of before the turn stays provisional. ${what}`, remedy });
        }
      } catch (error) {
        say({
          tone: 'note',
          sentence: `A stamp of before the turn stays provisional. ${sentenceOf(error)}`,
          remedy: '',
        });
      }
    }
  }

  function storeReRead(stamp: Stamp, reading: WheelReading): void {
    const before = angleOf(stamp.current);
    if (!reading.accepted || before?.by !== 'camera') return;
    const angle: AngleReading = {
      ...before,
      rotationDeg: reading.rotationDeg,
      sigmaDeg: reading.sigmaDeg,
      modulusDeg: reading.modulusDeg,
      provisional: reading.provisional,
    };
    supersede(stamp, angle, 're_read', 'Read again from its kept picture with the model of the whole turn.');
  }

  function supersede(stamp: Stamp, angle: AngleReading, by: Signal, reason: string): void {
    const { workplaceId: _workplace, createdAt: _time, ...before } = stamp.current;
    const content: ReadingContent = {
      ...before,
      id: newId(),
      subject: withAngle(before.subject, angle),
      signal: by,
      supersedesId: before.id,
      supersedesReason: reason,
    };
    put({ ...localReading(content), createdAt: new Date(tools.nowMs()).toISOString() });
    flash(stamp.root.id);
    tools.outbox.put('A refined value', async () => {
      await tools.client.call('reading.add', { reading: content, pictures: [] });
    });
  }

  function put(reading: Reading): void {
    const others = store.getState().localReadings.filter((one) => one.id !== reading.id);
    change({ localReadings: [...others, reading] });
  }

  function flash(readingId: string): void {
    change({ flash: { readingId, count: (store.getState().flash?.count ?? 0) + 1 } });
  }

  function mark(readingIds: readonly string[], kind: MarkKind, reason: string): void {
    if (readingIds.length === 0) return;
    const at = new Date(tools.nowMs()).toISOString();
    const local = readingIds.map((readingId) => localMark(newId(), readingId, kind, reason, at));
    change({ localMarks: [...store.getState().localMarks, ...local] });
    tools.outbox.put('A mark', async () => {
      await tools.client.call('reading.mark', { readingIds: [...readingIds], mark: kind, reason });
    });
  }

  function strike(stamp: Stamp, reason: string): void {
    mark([stamp.root.id], 'struck', reason);
    change({ takenBack: [...store.getState().takenBack, stamp.root.id] });
    tools.announce({ kind: 'taken_back', reading: stamp.current });
  }

  function takeBack(reason = 'Taken back at the bench.'): void {
    const last = lastStanding(stamps());
    if (last === null) {
      say({ tone: 'note', sentence: 'There is nothing to take back.', remedy: '' });
      return;
    }
    strike(last, reason);
    change({
      notice: { tone: 'note', sentence: 'Taken back; it stays in the record.', remedy: 'Give back returns it.' },
    });
  }

  function takeBackByDoublePress(): void {
    const state = store.getState();
    const own = lastStampId;
    // The first press may still be on its way through the reader: then it is simply not kept.
    if (own !== null && state.pending.some((one) => one.stampId === own)) {
      change({
        pending: state.pending.filter((one) => one.stampId !== own),
        localReadings: state.localReadings.filter((reading) => reading.id !== own),
      });
    } else {
      const stamp = stamps().find((one) => one.root.id === own && !one.struck);
      if (stamp !== undefined) mark([stamp.root.id], 'struck', 'First press of a double press.');
    }
    lastStampId = null;
    takeBack('Taken back by a double press.');
  }

  function giveBack(): void {
    const { takenBack } = store.getState();
    const readingId = takenBack.at(-1);
    if (readingId === undefined) return;
    mark([readingId], 'restored', 'Given back at the bench.');
    change({ takenBack: takenBack.slice(0, -1), notice: null });
    flash(readingId);
    tools.announce({ kind: 'given_back' });
  }

  function typed(angle: Omit<TypedAngle, 'by' | 'setupId'>, wanted: BenchWanted): void {
    const known = whole();
    if (known === null) return;
    const setupId = typedSetup(known, angle.reading);
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
    if (state.chosen !== null && keyOf(state.chosen) === keyOf(wanted)) change({ chosen: null });
    put(localReading(content));
    flash(content.id);
    tools.announce({ kind: 'stamped', reading: localReading(content), wanted });
    tools.outbox.put('A typed reading', async () => {
      await tools.client.call('reading.add', { reading: content, pictures: [] });
    });
  }

  function wheelMoved(): void {
    const doubtful = sinceLastCheck(stamps());
    mark(
      doubtful.map((stamp) => stamp.root.id),
      'doubtful',
      'Wheel moved: everything since the last check of TDC is in doubt.',
    );
    say({
      tone: 'note',
      sentence: `Wheel moved: ${doubtful.length} ${doubtful.length === 1 ? 'stamp is' : 'stamps are'} in doubt and kept.`,
      remedy: 'Tighten the wheel and take the stop from both sides again.',
    });
  }

  const unsubscribe = tools.mockUp.subscribe((state) => {
    if (state.whole !== null) store.setState(settled(store.getState(), state.whole));
  });

  return {
    store,
    signal,
    takeBack,
    takeBackByDoublePress,
    giveBack,
    choose: (chosen) => change({ chosen, notice: null }),
    skip() {
      const known = whole();
      const state = store.getState();
      const wanted = known === null ? null : wantedNow(known, state);
      if (known === null || wanted === null) return;
      if (state.chosen !== null) {
        change({ chosen: null });
        return;
      }
      const skipped = new Set([...state.skipped, keyOf(wanted)]);
      // Nothing left but what was passed over: the round begins again with that.
      const isAll = wantedNow(known, { ...state, skipped }) === null && wantedList(known).length > 0;
      change({ skipped: isAll ? new Set() : skipped });
    },
    typed,
    wheelMoved,
    strike,
    restore: (stamp) =>
      mark([stamp.root.id], stamp.struck ? 'restored' : 'trusted', 'Taken back into use at the bench.'),
    async readAgain(stamp) {
      const angle = angleOf(stamp.current);
      const { pictureId } = stamp.current;
      if (angle?.by !== 'camera' || pictureId === null) throw new Error('This reading has no picture of the wheel.');
      const { setup } = tools.sight.store.getState();
      const blob = await pictures.get(pictureId);
      if (setup?.id === angle.setupId) return tools.sight.reRead(blob, null);
      const kept = whole()?.setups.find((one) => one.id === angle.setupId)?.readerState ?? null;
      if (kept === null) throw new Error('The set-up of this stamp was not kept, so its picture can’t be read again.');
      return tools.sight.reRead(blob, fromBase64(kept));
    },
    storeReRead,
    picture: pictures.get,
    close() {
      unlisten();
      unsubscribe();
    },
  };
}
