import { v7 as newId } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MarkKind } from '../../core/contract/readings.ts';
import type { Stamp } from '../../core/mockup/stamps.ts';
import type { BenchEvent } from './bench-run.ts';
import {
  type BenchNotice,
  lastStanding,
  localMark,
  type RunState,
  type RunStore,
  sinceLastCheck,
} from './bench-run.ts';
import type { Outbox } from './outbox.ts';

interface MarkTools {
  readonly client: Client;
  readonly outbox: Outbox;
  readonly store: RunStore;
  stamps(): Stamp[];
  /** Milliseconds since the epoch on the performance clock. */
  nowMs(): number;
  announce(event: BenchEvent): void;
  flash(readingId: string): void;
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
}

export function createBenchMarks({ client, outbox, store, stamps, nowMs, announce, flash }: MarkTools): BenchMarks {
  const change = (part: Partial<RunState>): void => store.setState(part);
  const say = (notice: BenchNotice): void => change({ notice });

  function mark(readingIds: readonly string[], kind: MarkKind, reason: string): void {
    if (readingIds.length === 0) return;
    const at = new Date(nowMs()).toISOString();
    const local = readingIds.map((readingId) => localMark(newId(), readingId, kind, reason, at));
    change({ localMarks: [...store.getState().localMarks, ...local] });
    outbox.put('A mark', async () => {
      await client.call('reading.mark', { readingIds: [...readingIds], mark: kind, reason });
    });
  }

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

  return {
    takeBack,
    takeBackByDoublePress,
    giveBack,
    strike,
    restore: (stamp) =>
      mark([stamp.root.id], stamp.struck ? 'restored' : 'trusted', 'Taken back into use at the bench.'),
    wheelMoved,
  };
}
