/** Keeps a part's entry as it is typed, and asks before it keeps what would make readings void. */
import { createStore, type StoreApi } from 'zustand/vanilla';
import type { Client } from '../../core/contract/client.ts';
import type { PartContent } from '../../core/contract/parts.ts';
import {
  changesOfPart,
  type PartVoids,
  partChangesInWords,
  partVoids,
  usesPart,
} from '../../core/mockup/part-changes.ts';
import { contentOf, savePart } from './part-effects.ts';
import { type Deed, markVoid, setDeeds } from './void-deeds.ts';

/** What the page asks: is only the entry different now, or the part? */
export interface PartQuestion<Draft> {
  readonly draft: Draft;
  readonly voids: readonly PartVoids[];
}

/** Entries that were kept here, oldest first, with what was done on the way to each. */
interface Step<Draft> {
  readonly draft: Draft;
  readonly deeds: readonly Deed[];
}

export interface PartKeeperState<Draft> {
  readonly question: PartQuestion<Draft> | null;
  /** Names of mock-ups whose readings are void by what is kept now. */
  readonly voidedIn: readonly string[];
}

/** @typeParam Draft the entry as its form holds it */
export interface PartKeeper<Draft> {
  readonly store: StoreApi<PartKeeperState<Draft>>;
  /**
   * Keeps the entry. One that undo or redo leads to takes its marks along and isn't asked about again.
   * @throws with a sentence where the question has to be answered first
   */
  keep(draft: Draft): Promise<void>;
  /** The answer holds for the next entry that is kept if it is this very one. */
  answer(draft: Draft, what: 'corrected' | 'changed'): void;
  /** The entry as the book has it. */
  lastKept(): Draft;
}

interface PartKept<Draft> {
  readonly partId: string;
  /** The entry as it was when the screen was opened. */
  readonly first: Draft;
  /** @param stored the part as the book has it now: what the form doesn't show stays */
  readonly contentOf: (draft: Draft, stored: PartContent) => PartContent;
}

export function createPartKeeper<Draft extends object>(
  client: Client,
  { partId, first, contentOf: contentOfDraft }: PartKept<Draft>,
  now: () => Date = () => new Date(),
): PartKeeper<Draft> {
  const store = createStore<PartKeeperState<Draft>>(() => ({ question: null, voidedIn: [] }));
  let steps: readonly Step<Draft>[] = [{ draft: first, deeds: [] }];
  let at = 0;
  let answered: { readonly draft: Draft; readonly what: 'corrected' | 'changed' } | null = null;

  const save = (draft: Draft) => savePart(client, partId, (stored) => contentOfDraft(draft, stored));
  const show = () => {
    const names = steps.slice(0, at + 1).flatMap(({ deeds }) => deeds.map(({ mockUpName }) => mockUpName));
    store.setState({ question: null, voidedIn: [...new Set(names)] });
  };

  /** Undo and redo lead to the very drafts that were kept before; a figure typed again is a new one. */
  async function moveTo(target: number, draft: Draft): Promise<void> {
    const isBack = target < at;
    const passed = isBack ? steps.slice(target + 1, at + 1).toReversed() : steps.slice(at + 1, target + 1);
    const deeds = passed.flatMap((step) => step.deeds);
    if (isBack) {
      // The entry first: should the marks fail, readings are void too long rather than valid too early.
      await save(draft);
      await setDeeds(client, deeds, false);
    } else {
      await setDeeds(client, deeds, true);
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
      const deeds = answer === 'changed' ? await markVoid(client, voids, partNote(stored.name, voids), now) : [];
      try {
        await save(draft);
      } catch (error) {
        await setDeeds(client, deeds, false);
        throw error;
      }
      steps = [...steps.slice(0, at + 1), { draft, deeds }];
      at = steps.length - 1;
      show();
    },
  };
}

/** "Engine 1: stroke 54.5 mm before, 54 mm now", as it stands with the entry of the change. */
export function partNote(partName: string, voids: readonly PartVoids[]): string {
  return `${partName}: ${partChangesInWords(voids.flatMap(({ changes }) => changes))}`;
}

/**
 * What another entry of a part would make void, if the part itself was changed.
 * Readings are asked for only where a figure differs that something may have been read with.
 */
export async function voidsOf(
  client: Client,
  partId: string,
  before: PartContent,
  after: PartContent,
): Promise<PartVoids[]> {
  if (changesOfPart(before, after).length === 0) return [];
  const users = (await client.call('mockUp.list', {})).filter((mockUp) => usesPart(mockUp, partId));
  const wholes = await Promise.all(users.map(({ id }) => client.call('mockUp.whole', { id })));
  return partVoids(partId, before, after, wholes);
}
