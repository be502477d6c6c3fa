import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { MarkKind, Reading, ReadingContent, ReadingMark } from '../../core/contract/readings.ts';

/** Rows that were made here and that the host hasn't told of yet. */
export interface LocalRows {
  readonly localReadings: readonly Reading[];
  readonly localMarks: readonly ReadingMark[];
}

/** A reading as the host will tell it; `workplaceId` is filled in there. */
export function localReading(content: ReadingContent): Reading {
  return { ...content, workplaceId: content.id, createdAt: content.takenAt };
}

export function localMark(
  id: string,
  readingId: string,
  mark: MarkKind,
  reason: string,
  createdAt: string,
): ReadingMark {
  return { id, workplaceId: id, createdAt, readingId, mark, reason };
}

/** The mock-up with what is still on its way to the database. */
export function withLocal(whole: MockUpWhole, local: LocalRows): MockUpWhole {
  if (local.localReadings.length === 0 && local.localMarks.length === 0) return whole;
  return {
    ...whole,
    readings: joined(whole.readings, local.localReadings),
    marks: joinedInOrder(whole.marks, local.localMarks),
  };
}

/**
 * What is on its way will be stored after everything that the host has told, so it is later than that, whatever the
 * clocks of page and host say: a mark waits its turn in the outbox and carries the time of its press meanwhile.
 */
function joined<T extends { readonly id: string; readonly createdAt: string }>(
  told: readonly T[],
  local: readonly T[],
): T[] {
  const known = new Set(told.map(({ id }) => id));
  const latest = latestOf(told);
  const afterTold = latest === '' ? '' : justAfter(latest);
  const onTheirWay = local.filter(({ id }) => !known.has(id));
  return [...told, ...onTheirWay.map((one) => (one.createdAt > latest ? one : { ...one, createdAt: afterTold }))];
}

/**
 * Marks on their way, in the order in which they were made: one that the host has stored carries the host's time, which
 * may lie after the press of the next one.
 */
function joinedInOrder(told: readonly ReadingMark[], local: readonly ReadingMark[]): ReadingMark[] {
  const known = new Set(told.map(({ id }) => id));
  let latest = latestOf(told);
  const onTheirWay = local
    .filter(({ id }) => !known.has(id))
    .map((one) => {
      const placed = one.createdAt > latest ? one : { ...one, createdAt: justAfter(latest) };
      latest = placed.createdAt;
      return placed;
    });
  return [...told, ...onTheirWay];
}

function latestOf(rows: readonly { readonly createdAt: string }[]): string {
  let latest = '';
  for (const { createdAt } of rows) if (createdAt > latest) latest = createdAt;
  return latest;
}

function justAfter(time: string): string {
  return new Date(Date.parse(time) + 1).toISOString();
}

/** Local copies that the host has told of by now are dropped. */
export function withoutTold<T extends LocalRows>(state: T, whole: MockUpWhole): T {
  const told = new Set([...whole.readings, ...whole.marks].map(({ id }) => id));
  const localReadings = state.localReadings.filter(({ id }) => !told.has(id));
  const localMarks = state.localMarks.filter(({ id }) => !told.has(id));
  const isSame = localReadings.length === state.localReadings.length && localMarks.length === state.localMarks.length;
  return isSame ? state : { ...state, localReadings, localMarks };
}

/**
 * Marks get their ids from the host: what it stored takes the place of what was sent, or is dropped where the mock-up
 * was read with it in the meantime.
 */
export function marksStored(
  localMarks: readonly ReadingMark[],
  sent: readonly ReadingMark[],
  stored: readonly ReadingMark[],
  whole: MockUpWhole | null,
): ReadingMark[] {
  const told = new Set(whole?.marks.map(({ id }) => id));
  const sentIds = new Set(sent.map(({ id }) => id));
  const first = localMarks.findIndex(({ id }) => sentIds.has(id));
  const kept = localMarks.filter(({ id }) => !sentIds.has(id));
  // In their old place: of marks on one reading the latest counts.
  return first < 0 ? kept : kept.toSpliced(first, 0, ...stored.filter(({ id }) => !told.has(id)));
}
