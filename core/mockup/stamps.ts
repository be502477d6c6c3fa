import type { MarkKind, Reading, ReadingMark } from '../contract/readings.ts';

/** A reading with everything that replaced it, and how it stands now. */
export interface Stamp {
  /** The first reading of the chain; its id names the stamp for good. */
  readonly root: Reading;
  /** The reading that counts: the last one that replaces another. */
  readonly current: Reading;
  /** All readings of the chain, oldest first. */
  readonly history: readonly Reading[];
  /** Taken back by the operator; kept, not used. */
  readonly struck: boolean;
  /** Kept under suspicion (wheel moved, TDC drifted): not used for results, shown with the reason. */
  readonly doubtful: boolean;
  /** No longer valid because a part, gasket or face changed. */
  readonly isVoid: boolean;
  /** Reason of the latest mark that still holds; empty where the stamp is in good standing. */
  readonly reason: string;
}

/** A stamp that results may be computed from. */
export function isUsable(stamp: Stamp): boolean {
  return !stamp.struck && !stamp.doubtful && !stamp.isVoid;
}

const pairs: Record<'struck' | 'doubtful' | 'isVoid', { on: MarkKind; off: MarkKind }> = {
  struck: { on: 'struck', off: 'restored' },
  doubtful: { on: 'doubtful', off: 'trusted' },
  isVoid: { on: 'void', off: 'valid' },
};

/** Rows are ordered by time and, inside a millisecond, by their time-ordered id. */
function inOrder(a: { createdAt: string; id: string }, b: { createdAt: string; id: string }): number {
  return a.createdAt < b.createdAt ? -1 : a.createdAt > b.createdAt ? 1 : a.id < b.id ? -1 : a.id > b.id ? 1 : 0;
}

/**
 * Joins append-only readings and marks into stamps.
 * A mark on any reading of a chain holds for the whole chain: striking a refined value must not bring the
 * unrefined one back. Where two readings replace the same one (two windows, a merge of books), the later counts.
 * A reading whose predecessor isn't in the list starts a chain of its own.
 * @param readings all readings, in any order
 * @param marks all marks, in any order; the latest of a pair counts
 * @returns stamps in the order in which their first readings were taken
 */
export function joinStamps(readings: readonly Reading[], marks: readonly ReadingMark[]): Stamp[] {
  const byId = new Map(readings.map((reading) => [reading.id, reading]));
  const rootOf = (reading: Reading): Reading => {
    const seen = new Set([reading.id]);
    let current = reading;
    for (;;) {
      const previous = current.supersedesId === null ? undefined : byId.get(current.supersedesId);
      // A ring of readings that replace each other can only come from a damaged book; the walk must still end.
      if (previous === undefined || seen.has(previous.id)) return current;
      seen.add(previous.id);
      current = previous;
    }
  };
  const chains = new Map<string, Reading[]>();
  for (const reading of [...readings].sort(inOrder)) {
    const root = rootOf(reading);
    const chain = chains.get(root.id);
    if (chain === undefined) chains.set(root.id, [reading]);
    else chain.push(reading);
  }
  const chainOfReading = new Map<string, string>();
  for (const [rootId, chain] of chains) for (const reading of chain) chainOfReading.set(reading.id, rootId);
  const marksOfChain = new Map<string, ReadingMark[]>();
  for (const mark of [...marks].sort(inOrder)) {
    const rootId = chainOfReading.get(mark.readingId);
    if (rootId === undefined) continue;
    const list = marksOfChain.get(rootId);
    if (list === undefined) marksOfChain.set(rootId, [mark]);
    else list.push(mark);
  }
  const stamps: Stamp[] = [];
  for (const [rootId, chain] of chains) {
    const own = marksOfChain.get(rootId) ?? [];
    const latest = (pair: { on: MarkKind; off: MarkKind }): ReadingMark | undefined =>
      own.findLast((mark) => mark.mark === pair.on || mark.mark === pair.off);
    const holding = (pair: { on: MarkKind; off: MarkKind }): ReadingMark | null => {
      const mark = latest(pair);
      return mark?.mark === pair.on ? mark : null;
    };
    const struck = holding(pairs.struck);
    const doubtful = holding(pairs.doubtful);
    const voided = holding(pairs.isVoid);
    const root = byId.get(rootId);
    const current = chain.at(-1);
    if (root === undefined || current === undefined) continue;
    stamps.push({
      root,
      current,
      history: chain,
      struck: struck !== null,
      doubtful: doubtful !== null,
      isVoid: voided !== null,
      reason: (struck ?? voided ?? doubtful)?.reason ?? '',
    });
  }
  return stamps.sort((a, b) =>
    a.root.takenAt < b.root.takenAt ? -1 : a.root.takenAt > b.root.takenAt ? 1 : inOrder(a.root, b.root),
  );
}
