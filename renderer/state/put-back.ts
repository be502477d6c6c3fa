import type { z } from 'zod';
import type { HistoryChange } from '../../core/contract/book-messages.ts';
import type { Client } from '../../core/contract/client.ts';
import {
  buildContentSchema,
  customerContentSchema,
  mockUpContentSchema,
  partContentSchema,
} from '../../core/contract/parts.ts';
import { type FieldPath, type Json, same, valueAt, withValueAt } from './change-words.ts';
import { keepMockUp } from './mock-up-edit-effects.ts';
import { contentOf, savePart } from './part-effects.ts';
import {
  keepVersion,
  nothingToAsk,
  questionOfMockUp,
  questionOfPart,
  type RecordQuestion,
  type VersionOutcome,
  type VoidAnswer,
} from './void-question.ts';

/** Records whose earlier values can be put back; all others are never edited in the first place. */
export function canPutBack(entity: string): boolean {
  return ['customer', 'part', 'build', 'mock_up'].includes(entity);
}

export type PutBackOutcome = VersionOutcome | { readonly kind: 'stands' };

export interface PutBackWish {
  readonly change: Pick<HistoryChange, 'entity' | 'rowId'>;
  readonly path: FieldPath;
  /** The field in words, for the entry of the change in a mock-up. */
  readonly title: string;
  readonly value: Json | undefined;
  /** What the person said of the part; null where it wasn't asked yet. */
  readonly answer: VoidAnswer;
}

/**
 * Gives a field the value it had before: a further change of the record as it is now, nothing is overwritten in the
 * history, and what else was changed since stays. Where readings hang on it, nothing is kept before it is answered.
 * @throws with a sentence where the record as a whole would no longer be one
 */
export async function putBack(
  client: Client,
  { change, path, title, value, answer }: PutBackWish,
  now: () => Date = () => new Date(),
): Promise<PutBackOutcome> {
  const id = change.rowId;
  const stands = (stored: unknown): boolean => same(valueAt(plain(stored), path), value);
  const earlier = <T>(schema: z.ZodType<T>, stored: unknown): T => {
    const parsed = schema.safeParse(withValueAt(plain(stored), path, value));
    if (!parsed.success) throw new Error('The earlier value no longer fits this record as it is now.');
    return parsed.data;
  };
  const keep = (question: RecordQuestion, save: () => Promise<unknown>) =>
    keepVersion(client, question, answer, save, now);
  switch (change.entity) {
    case 'part': {
      const part = await client.call('part.get', { id });
      if (stands(part)) return { kind: 'stands' };
      const stored = contentOf(part);
      const question = await questionOfPart(client, id, stored, earlier(partContentSchema, stored));
      return keep(question, () => savePart(client, id, (latest) => earlier(partContentSchema, latest)));
    }
    case 'mock_up': {
      const whole = await client.call('mockUp.whole', { id });
      if (stands(whole.mockUp)) return { kind: 'stands' };
      const { buildId: _build, copiedFromId: _copied, ...content } = earlier(mockUpContentSchema, whole.mockUp);
      return keep(questionOfMockUp(whole, content, `${title}: put back from the history`), () =>
        keepMockUp(client, id, content),
      );
    }
    case 'build': {
      const { build } = await client.call('build.whole', { id });
      if (stands(build)) return { kind: 'stands' };
      return keep(nothingToAsk, () => client.call('build.update', { id, content: earlier(buildContentSchema, build) }));
    }
    case 'customer': {
      const stored = (await client.call('customer.list', {})).find((customer) => customer.id === id);
      if (stands(stored)) return { kind: 'stands' };
      return keep(nothingToAsk, () =>
        client.call('customer.update', { id, content: earlier(customerContentSchema, stored) }),
      );
    }
    default:
      return { kind: 'stands' };
  }
}

function plain(value: unknown): Json {
  return JSON.parse(JSON.stringify(value ?? null)) as Json;
}
