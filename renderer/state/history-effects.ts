import type { HistoryChange } from '../../core/contract/book-messages.ts';
import type { Client } from '../../core/contract/client.ts';

export interface HistoryAsked {
  readonly of: 'build' | 'record' | null;
  readonly id: string | null;
}

export interface HistoryPage {
  readonly changes: readonly HistoryChange[];
  readonly hasMore: boolean;
}

const changesAtOnce = 100;
const mostAtOnce = 1000;

/**
 * Changes from newest to oldest; `beforeId` goes on where an earlier answer ended.
 * @param atLeast as many, where so many are shown already
 */
export async function loadHistory(
  client: Client,
  asked: HistoryAsked,
  beforeId: string | null,
  atLeast = 0,
): Promise<HistoryPage> {
  const limit = Math.min(mostAtOnce, Math.max(changesAtOnce, atLeast));
  const changes = await client.call('history.list', {
    rowId: asked.of === 'record' ? asked.id : null,
    buildId: asked.of === 'build' ? asked.id : null,
    limit,
    beforeId,
  });
  return { changes, hasMore: changes.length === limit };
}

/** Names of the records that fields refer to. */
export async function loadNames(client: Client): Promise<ReadonlyMap<string, string>> {
  const [parts, customers, mockUps] = await Promise.all([
    client.call('part.list', { kind: null }),
    client.call('customer.list', {}),
    client.call('mockUp.list', {}),
  ]);
  return new Map([...parts, ...customers, ...mockUps].map(({ id, name }) => [id, name]));
}
