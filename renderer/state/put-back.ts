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
import { savePart } from './part-effects.ts';

/** Records whose earlier values can be put back; all others are never edited in the first place. */
export function canPutBack(entity: string): boolean {
  return ['customer', 'part', 'build', 'mock_up'].includes(entity);
}

/**
 * Gives a field the value it had before: a further change of the record as it is now, nothing is overwritten in the
 * history, and what else was changed since stays.
 * @returns false where the field has that value already
 * @throws with a sentence where the record as a whole would no longer be one
 */
export async function putBack(
  client: Client,
  change: Pick<HistoryChange, 'entity' | 'rowId'>,
  path: FieldPath,
  value: Json | undefined,
): Promise<boolean> {
  const id = change.rowId;
  const stands = (stored: unknown): boolean => same(valueAt(plain(stored), path), value);
  const earlier = <T>(schema: z.ZodType<T>, stored: unknown): T => {
    const parsed = schema.safeParse(withValueAt(plain(stored), path, value));
    if (!parsed.success) throw new Error('The earlier value no longer fits this record as it is now.');
    return parsed.data;
  };
  switch (change.entity) {
    case 'part': {
      if (stands(await client.call('part.get', { id }))) return false;
      await savePart(client, id, (stored) => earlier(partContentSchema, stored));
      return true;
    }
    case 'mock_up': {
      const { mockUp } = await client.call('mockUp.whole', { id });
      if (stands(mockUp)) return false;
      const { buildId: _build, copiedFromId: _copied, ...content } = earlier(mockUpContentSchema, mockUp);
      await keepMockUp(client, id, content);
      return true;
    }
    case 'build': {
      const { build } = await client.call('build.whole', { id });
      if (stands(build)) return false;
      await client.call('build.update', { id, content: earlier(buildContentSchema, build) });
      return true;
    }
    case 'customer': {
      const stored = (await client.call('customer.list', {})).find((customer) => customer.id === id);
      if (stands(stored)) return false;
      await client.call('customer.update', { id, content: earlier(customerContentSchema, stored) });
      return true;
    }
    default:
      return false;
  }
}

function plain(value: unknown): Json {
  return JSON.parse(JSON.stringify(value ?? null)) as Json;
}
