/** Asks before a record gets another version by which readings of its mock-ups no longer hold. */
import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { MockUp, PartContent } from '../../core/contract/parts.ts';
import { joinStamps } from '../../core/mockup/stamps.ts';
import { changesOfMockUp, voidPlan } from '../../core/mockup/void-plan.ts';
import { partNote, voidsOf } from './part-keeper.ts';
import { markVoid, setDeeds, type ToVoid } from './void-deeds.ts';

/** Is only the entry different, or the part? */
export interface RecordQuestion {
  /** What is different, in words. */
  readonly note: string;
  readonly voids: readonly ToVoid[];
}

/** null where it wasn't asked yet. */
export type VoidAnswer = 'corrected' | 'changed' | null;

export type VersionOutcome =
  | { readonly kind: 'kept'; readonly voidedIn: readonly string[] }
  | { readonly kind: 'asked'; readonly question: RecordQuestion };

export const nothingToAsk: RecordQuestion = { note: '', voids: [] };

export async function questionOfPart(
  client: Client,
  partId: string,
  stored: PartContent,
  next: PartContent,
): Promise<RecordQuestion> {
  const voids = await voidsOf(client, partId, stored, next);
  return { note: partNote(stored.name, voids), voids };
}

/** @param note what is different, in words */
export function questionOfMockUp(whole: MockUpWhole, next: Partial<MockUp>, note: string): RecordQuestion {
  const { mockUp, build } = whole;
  const kinds = changesOfMockUp(mockUp, next);
  const plan = voidPlan(kinds, joinStamps(whole.readings, whole.marks));
  const lost = { mockUpId: mockUp.id, mockUpName: mockUp.name, measuredBy: build.measuredBy, kinds, plan };
  return plan.length === 0 ? nothingToAsk : { note, voids: [lost] };
}

/**
 * Keeps another version, or asks first where readings hang on what is different.
 * @throws what `save` throws; the marks are taken back then
 */
export async function keepVersion(
  client: Client,
  question: RecordQuestion,
  answer: VoidAnswer,
  save: () => Promise<unknown>,
  now: () => Date = () => new Date(),
): Promise<VersionOutcome> {
  if (question.voids.length > 0 && answer === null) return { kind: 'asked', question };
  // The marks come first, so that no reading is valid that should not be, not even for a moment.
  const deeds = answer === 'changed' ? await markVoid(client, question.voids, question.note, now) : [];
  try {
    await save();
  } catch (error) {
    await setDeeds(client, deeds, false);
    throw error;
  }
  return { kind: 'kept', voidedIn: deeds.map(({ mockUpName }) => mockUpName) };
}
