/** Enters in mock-ups that a part of them was changed, marks what falls by it, and takes both back again. */
import { v7 as uuidv7 } from 'uuid';
import type { Client } from '../../core/contract/client.ts';
import type { MarkKind } from '../../core/contract/readings.ts';
import { changeQuantity } from '../../core/mockup/steps.ts';
import { recordableChanges, type VoidedReadings } from '../../core/mockup/void-plan.ts';
import type { MockUpChangeKind } from '../../core/planner/void-table.ts';

/** What one mock-up loses by a change of one of its parts. */
export interface ToVoid {
  readonly mockUpId: string;
  readonly mockUpName: string;
  /** Who measures this job: stands on the entry of the change. */
  readonly measuredBy: string;
  readonly kinds: readonly MockUpChangeKind[];
  readonly plan: readonly VoidedReadings[];
}

/** What was entered and marked in one mock-up. */
export interface Deed {
  readonly changeId: string;
  readonly mockUpName: string;
  readonly plan: readonly VoidedReadings[];
}

/** Longest texts that the contract takes for a reading, with room to spare. */
const noteLength = 1000;
const textLength = 60;
const reasonLength = 300;

async function mark(client: Client, readingIds: readonly string[], kind: MarkKind, reason: string): Promise<void> {
  await client.call('reading.mark', {
    readingIds: [...readingIds],
    mark: kind,
    reason: reason.slice(0, reasonLength),
  });
}

/**
 * Enters the change in each mock-up and marks what falls.
 * @param note what is different, in words
 * @throws where it can't be ended; what was begun is taken back then
 */
export async function markVoid(
  client: Client,
  voids: readonly ToVoid[],
  note: string,
  now: () => Date,
): Promise<Deed[]> {
  const deeds: Deed[] = [];
  try {
    for (const one of voids) {
      const changeId = uuidv7();
      await client.call('reading.add', { reading: changeEntry(changeId, one, note, now()), pictures: [] });
      deeds.push({ changeId, mockUpName: one.mockUpName, plan: one.plan });
      for (const { readingIds, reason } of one.plan) await mark(client, readingIds, 'void', reason);
    }
    return deeds;
  } catch (error) {
    await setDeeds(client, deeds, false);
    throw error;
  }
}

/** Takes entries and marks back, or makes them again. */
export async function setDeeds(client: Client, deeds: readonly Deed[], isDone: boolean): Promise<void> {
  for (const { changeId, plan } of deeds) {
    const why = isDone ? 'made again' : 'taken back';
    await mark(client, [changeId], isDone ? 'restored' : 'struck', why);
    for (const { readingIds, reason } of plan) {
      await mark(client, readingIds, isDone ? 'void' : 'valid', isDone ? reason : why);
    }
  }
}

/** The change as it stands among "Changes since it was put together" of the mock-up. */
function changeEntry(id: string, { mockUpId, kinds, measuredBy }: ToVoid, note: string, takenAt: Date) {
  const [kind] = kinds;
  const titles = kinds.map(
    (one) => recordableChanges.find((change) => change.kind === one)?.title ?? 'A part was changed',
  );
  return {
    id,
    mockUpId,
    subject: {
      what: 'quantity' as const,
      quantity: changeQuantity,
      position: kind ?? '',
      value: 1,
      unit: '',
      typedText: titles.join('; ').slice(0, textLength),
    },
    signal: 'typed' as const,
    takenAt: takenAt.toISOString(),
    measuredBy,
    note: note.slice(0, noteLength),
  };
}
