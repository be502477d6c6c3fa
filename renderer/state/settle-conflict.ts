import type { Conflict } from '../../core/contract/book-messages.ts';
import type { Client } from '../../core/contract/client.ts';
import { mockUpContentSchema, partContentSchema } from '../../core/contract/parts.ts';
import { contentOf } from './part-effects.ts';
import {
  keepVersion,
  nothingToAsk,
  questionOfMockUp,
  questionOfPart,
  type RecordQuestion,
  type VersionOutcome,
  type VoidAnswer,
} from './void-question.ts';

/** Decides between two versions of a record; taking the other one is asked about where readings hang on what differs. */
export async function settleConflict(
  client: Client,
  conflict: Conflict,
  keep: 'kept' | 'other',
  answer: VoidAnswer,
): Promise<VersionOutcome> {
  const question = keep === 'kept' ? nothingToAsk : await questionOf(client, conflict);
  return keepVersion(client, question, answer, () => client.call('conflict.settle', { id: conflict.id, keep }));
}

async function questionOf(client: Client, { entity, rowId, other }: Conflict): Promise<RecordQuestion> {
  if (entity === 'part') {
    const stored = contentOf(await client.call('part.get', { id: rowId }));
    return questionOfPart(client, rowId, stored, partContentSchema.parse(other.content));
  }
  if (entity === 'mock_up') {
    const whole = await client.call('mockUp.whole', { id: rowId });
    return questionOfMockUp(whole, mockUpContentSchema.parse(other.content), 'the version of the other book was taken');
  }
  return nothingToAsk;
}
