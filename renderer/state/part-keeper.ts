/** Keeps a part's entry as it is typed, and asks before it keeps what would make readings void. */
import { v7 as uuidv7 } from 'uuid';
import { createStore, type StoreApi } from 'zustand/vanilla';
import type { Client } from '../../core/contract/client.ts';
import type { PartContent } from '../../core/contract/parts.ts';
import type { MarkKind } from '../../core/contract/readings.ts';
import {
  changesOfPart,
  type PartVoids,
  partChangesInWords,
  partVoids,
  usesPart,
} from '../../core/mockup/part-changes.ts';
import { changeQuantity } from '../../core/mockup/steps.ts';
import { recordableChanges } from '../../core/mockup/void-plan.ts';
import { contentOfDraft, type PartDraft } from './part-draft.ts';
import { contentOf, savePart } from './part-effects.ts';

/** What the page asks: is only the entry different now, or the part? */
export interface PartQuestion {
  readonly draft: PartDraft;
  readonly voids: readonly PartVoids[];
}

/** What was marked and entered in one mock-up, so that it can be taken back and done again. */
interface Deed {
  readonly changeId: string;
  readonly plan: PartVoids['plan'];
}

/** Entries that were kept here, oldest first, with what was done on the way to each. */
interface Step {
  readonly draft: PartDraft;
  readonly deeds: readonly Deed[];
}

export interface PartKeeperState {
  readonly question: PartQuestion | null;
  /** Names of mock-ups whose readings are void by what is kept now. */
  readonly voidedIn: readonly string[];
}

export interface PartKeeper {
  readonly store: StoreApi<PartKeeperState>;
  /**
   * Keeps the entry. One that undo or redo leads to takes its marks along and isn't asked about again.
   * @throws with a sentence where the question has to be answered first
   */
  keep(draft: PartDraft): Promise<void>;
  /** The answer holds for the next entry that is kept if it is this very one. */
  answer(draft: PartDraft, what: 'corrected' | 'changed'): void;
  /** The entry as the book has it. */
  lastKept(): PartDraft;
}

/** Longest note that the contract takes for a reading, with room to spare. */
const noteLength = 1000;
const textLength = 60;
const reasonLength = 300;

/** @param first the entry as it was when the screen was opened */
export function createPartKeeper(
  client: Client,
  partId: string,
  first: PartDraft,
  now: () => Date = () => new Date(),
): PartKeeper {
  const store = createStore<PartKeeperState>(() => ({ question: null, voidedIn: [] }));
  let steps: readonly Step[] = [{ draft: first, deeds: [] }];
  let at = 0;
  let answered: { readonly draft: PartDraft; readonly what: 'corrected' | 'changed' } | null = null;
  const names = new Map<string, string>();

  const save = (draft: PartDraft) => savePart(client, partId, (stored) => contentOfDraft(draft, stored));
  const show = () => {
    const ids = steps.slice(0, at + 1).flatMap(({ deeds }) => deeds.map(({ changeId }) => names.get(changeId) ?? ''));
    store.setState({ question: null, voidedIn: [...new Set(ids)] });
  };

  async function mark(readingIds: readonly string[], kind: MarkKind, reason: string): Promise<void> {
    await client.call('reading.mark', {
      readingIds: [...readingIds],
      mark: kind,
      reason: reason.slice(0, reasonLength),
    });
  }

  async function setDeeds(deeds: readonly Deed[], isDone: boolean): Promise<void> {
    for (const { changeId, plan } of deeds) {
      const why = isDone ? 'made again' : 'taken back';
      await mark([changeId], isDone ? 'restored' : 'struck', why);
      for (const { readingIds, reason } of plan) {
        await mark(readingIds, isDone ? 'void' : 'valid', isDone ? reason : why);
      }
    }
  }

  /** Enters the change in each mock-up and marks what falls; what was begun is taken back where it can't be ended. */
  async function markVoid(voids: readonly PartVoids[], partName: string): Promise<Deed[]> {
    const deeds: Deed[] = [];
    try {
      for (const one of voids) {
        const changeId = uuidv7();
        await client.call('reading.add', { reading: changeEntry(changeId, one, partName, now()), pictures: [] });
        names.set(changeId, one.mockUpName);
        deeds.push({ changeId, plan: one.plan });
        for (const { readingIds, reason } of one.plan) await mark(readingIds, 'void', reason);
      }
      return deeds;
    } catch (error) {
      await setDeeds(deeds, false);
      throw error;
    }
  }

  /** Undo and redo lead to the very drafts that were kept before; a figure typed again is a new one. */
  async function moveTo(target: number, draft: PartDraft): Promise<void> {
    const isBack = target < at;
    const passed = isBack ? steps.slice(target + 1, at + 1).toReversed() : steps.slice(at + 1, target + 1);
    const deeds = passed.flatMap((step) => step.deeds);
    if (isBack) {
      // The entry first: should the marks fail, readings are void too long rather than valid too early.
      await save(draft);
      await setDeeds(deeds, false);
    } else {
      await setDeeds(deeds, true);
      await save(draft);
    }
    at = target;
    show();
  }

  return {
    store,
    lastKept: () => steps[at]?.draft ?? first,
    answer(draft, what) {
      answered = { draft, what };
    },
    async keep(draft) {
      const target = steps.findIndex((step) => step.draft === draft);
      if (target !== -1) return moveTo(target, draft);
      const stored = contentOf(await client.call('part.get', { id: partId }));
      const voids = await voidsOf(client, partId, stored, contentOfDraft(draft, stored));
      const answer = answered?.draft === draft ? answered.what : null;
      if (voids.length > 0 && answer === null) {
        store.setState({ question: { draft, voids } });
        throw new Error('Say first whether the part itself was changed.');
      }
      const deeds = answer === 'changed' ? await markVoid(voids, stored.name) : [];
      try {
        await save(draft);
      } catch (error) {
        await setDeeds(deeds, false);
        throw error;
      }
      steps = [...steps.slice(0, at + 1), { draft, deeds }];
      at = steps.length - 1;
      show();
    },
  };
}

/** Readings are asked for only where a figure differs that something may have been read with. */
async function voidsOf(client: Client, partId: string, before: PartContent, after: PartContent): Promise<PartVoids[]> {
  if (changesOfPart(before, after).length === 0) return [];
  const users = (await client.call('mockUp.list', {})).filter((mockUp) => usesPart(mockUp, partId));
  const wholes = await Promise.all(users.map(({ id }) => client.call('mockUp.whole', { id })));
  return partVoids(partId, before, after, wholes);
}

/** The change as it stands among "Changes since it was put together" of the mock-up. */
function changeEntry(id: string, { mockUpId, kinds, changes, measuredBy }: PartVoids, partName: string, takenAt: Date) {
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
    note: `${partName}: ${partChangesInWords(changes)}`.slice(0, noteLength),
  };
}
