import type { Client } from '../../core/contract/client.ts';
import type { Specification } from '../../core/contract/parts.ts';
import { keepMockUp } from './mock-up-edit-effects.ts';
import { withSpecification } from './specification-effects.ts';

/** Keeps limits with a mock-up in one change; its limits of other quantities stay. */
export async function keepOwnLimits(
  client: Client,
  mockUpId: string,
  specifications: readonly Specification[],
): Promise<void> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const kept = specifications.reduce<readonly Specification[]>(
    (list, one) => withSpecification(list, one.quantity, one),
    mockUp.specifications,
  );
  await keepMockUp(client, mockUpId, { specifications: [...kept] });
}
