import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import type { BenchEvent } from './bench-run.ts';
import { type BenchNotice, lastStanding, type RunState, type RunStore, sinceProven } from './bench-run.ts';
import { createMarkKeeper, type MarkKeeper } from './mark-keeper.ts';
import type { Outbox } from './outbox.ts';

interface MarkTools {
  readonly client: Client;
  readonly outbox: Outbox;
  readonly store: RunStore;
  whole(): MockUpWhole | null;
  stamps(): Stamp[];
  /** Milliseconds since the epoch on the performance clock. */
  nowMs(): number;
  announce(event: BenchEvent): void;
  flash(readingId: string): void;
  /** When TDC was last proven by a check; empty where it wasn't. */
  provenAt(): string;
  /** Begins a new place of the wheel: what follows doesn't compare with what was read before. */
  beginAnew(): void;
}

/** What is said of stamps afterwards: taken back, given back, in doubt. Readings themselves are never changed. */
export interface BenchMarks {
  takeBack(reason?: string): void;
  /** @param own stamp of the first press of the two, or null where it stamped nothing */
  takeBackByDoublePress(own: string | null): void;
  giveBack(): void;
  strike(stamp: Stamp, reason: string): void;
  restore(stamp: Stamp): void;
  wheelMoved(): void;
  /** A stamp that was shown at once has been kept, or is withdrawn: see `MarkKeeper`. */
  readonly stampSent: MarkKeeper['readingSent'];
  readonly stampDropped: MarkKeeper['readingDropped'];
}

export function createBenchMarks(tools: MarkTools): BenchMarks {
  const { client, outbox, store, whole, stamps, nowMs, announce, flash } = tools;
  const change = (part: Partial<RunState>): void => store.setState(part);
  const say = (notice: BenchNotice): void => change({ notice });

  const marks = createMarkKeeper({
    client,
    outbox,
    whole,
    localMarks: () => store.getState().localMarks,
    setLocalMarks: (localMarks) => change({ localMarks }),
    now: () => new Date(nowMs()),
    isStillRead: (readingId) => store.getState().pending.some((one) => one.stampId === readingId),
  });
  const { mark } = marks;

  function strike(stamp: Stamp, reason: string): void {
    mark([stamp.root.id], 'struck', reason);
    change({ takenBack: [...store.getState().takenBack, stamp.root.id] });
    announce({ kind: 'taken_back', reading: stamp.current });
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

  function takeBackByDoublePress(own: string | null): void {
    const state = store.getState();
    // The first press may still be on its way through the reader: then it is simply not kept.
    if (own !== null && state.pending.some((one) => one.stampId === own)) {
      change({
        pending: state.pending.filter((one) => one.stampId !== own),
        localReadings: state.localReadings.filter((reading) => reading.id !== own),
      });
      marks.readingDropped(own);
    } else {
      const stamp = stamps().find((one) => one.root.id === own && !one.struck);
      if (stamp !== undefined) mark([stamp.root.id], 'struck', 'First press of a double press.');
    }
    takeBack('Taken back by a double press.');
  }

  function giveBack(): void {
    const { takenBack } = store.getState();
    const readingId = takenBack.at(-1);
    if (readingId === undefined) return;
    mark([readingId], 'restored', 'Given back at the bench.');
    change({ takenBack: takenBack.slice(0, -1), notice: null });
    flash(readingId);
    announce({ kind: 'given_back' });
  }

  function restore(stamp: Stamp): void {
    mark([stamp.root.id], stamp.struck ? 'restored' : 'trusted', 'Taken back into use at the bench.');
    // Given back here, "give back" means the one before it.
    change({ takenBack: store.getState().takenBack.filter((readingId) => readingId !== stamp.root.id) });
  }

  function wheelMoved(): void {
    const proven = tools.provenAt();
    const doubtful = sinceProven(stamps(), proven);
    mark(
      doubtful.map((stamp) => stamp.root.id),
      'doubtful',
      'Wheel moved: everything since the last check of TDC is in doubt.',
    );
    tools.beginAnew();
    const before = proven === '' ? '' : ' What was read before the last check that came out right still counts.';
    say({
      tone: 'note',
      sentence: `Wheel moved: ${doubtful.length} ${doubtful.length === 1 ? 'stamp is' : 'stamps are'} in doubt and kept.${before}`,
      remedy: 'Tighten the wheel, then take the stop from both sides again and read those edges once more.',
    });
  }

  return {
    takeBack,
    takeBackByDoublePress,
    giveBack,
    strike,
    restore,
    wheelMoved,
    stampSent: marks.readingSent,
    stampDropped: marks.readingDropped,
  };
}
