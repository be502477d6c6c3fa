import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import { isUsable, type Stamp } from '../../core/mockup/stamps.ts';
import type { BenchEvent } from './bench-run.ts';
import {
  type BenchNotice,
  lastStanding,
  type RunState,
  type RunStore,
  sinceProven,
  type WheelMove,
} from './bench-run.ts';
import { isLatest, type WheelMoves } from './bench-wheel-moves.ts';
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
  /** The places of the wheel that "Wheel moved" begins. */
  readonly moves: WheelMoves;
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

const movedReason = 'Wheel moved: everything since the last check of TDC is in doubt.';

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
    change({ takenBack: [...store.getState().takenBack, { kind: 'stamp', readingId: stamp.root.id }] });
    announce({ kind: 'taken_back', reading: stamp.current });
  }

  function takeBack(reason = 'Taken back at the bench.'): void {
    const last = lastStanding(stamps());
    const move = store.getState().moves.at(-1);
    if (move !== undefined && isLatest(move, last)) {
      undoMove(move);
      return;
    }
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
    const latest = takenBack.at(-1);
    if (latest === undefined) return;
    change({ takenBack: takenBack.slice(0, -1), notice: null });
    if (latest.kind === 'stamp') {
      mark([latest.readingId], 'restored', 'Given back at the bench.');
      flash(latest.readingId);
    } else redoMove(latest.move);
    announce({ kind: 'given_back' });
  }

  /** One step back over the whole press: the doubt of all its stamps, and the place that it began. */
  function undoMove(move: WheelMove): void {
    const doubted = new Set(move.doubtedIds);
    const trusted = [
      ...stamps().flatMap(({ root, doubtful }) => (doubtful && doubted.has(root.id) ? [root.id] : [])),
      ...stillRead(stamps()).filter((id) => doubted.has(id)),
    ];
    mark(trusted, 'trusted', '"Wheel moved" was taken back.');
    tools.moves.undo(move);
    const count = trusted.length === 1 ? '1 stamp counts' : `${trusted.length} stamps count`;
    say({
      tone: 'note',
      sentence: `"Wheel moved" is taken back: ${count} again.`,
      remedy: 'Give back returns it.',
    });
    announce({ kind: 'move_taken_back' });
  }

  function redoMove(move: WheelMove): void {
    const doubted = new Set(move.doubtedIds);
    const usable = stamps().flatMap((stamp) => (isUsable(stamp) && doubted.has(stamp.root.id) ? [stamp.root.id] : []));
    const again = [...usable, ...stillRead(stamps()).filter((id) => doubted.has(id))];
    mark(again, 'doubtful', movedReason);
    tools.moves.redo(move);
    sayMoved(again.length, tools.provenAt());
  }

  /** Stamps whose angle is still being read, before anything of them is shown. */
  function stillRead(known: readonly Stamp[]): string[] {
    const shown = new Set(known.map(({ root }) => root.id));
    return store.getState().pending.flatMap(({ stampId }) => (shown.has(stampId) ? [] : [stampId]));
  }

  function restore(stamp: Stamp): void {
    mark([stamp.root.id], stamp.struck ? 'restored' : 'trusted', 'Taken back into use at the bench.');
    // Given back here, "give back" means the one before it.
    change({
      takenBack: store.getState().takenBack.filter((one) => one.kind !== 'stamp' || one.readingId !== stamp.root.id),
    });
  }

  function wheelMoved(): void {
    const proven = tools.provenAt();
    const known = stamps();
    const doubted = [...sinceProven(known, proven).map(({ root }) => root.id), ...stillRead(known)];
    mark(doubted, 'doubtful', movedReason);
    tools.moves.begin(doubted, known);
    sayMoved(doubted.length, proven);
  }

  function sayMoved(count: number, proven: string): void {
    const before = proven === '' ? '' : ' What was read before the last check that came out right still counts.';
    say({
      tone: 'note',
      sentence: `Wheel moved: ${count} ${count === 1 ? 'stamp is' : 'stamps are'} in doubt and kept.${before}`,
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
