import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { Specification } from '../../core/contract/parts.ts';
import { keepMockUp } from './mock-up-edit-effects.ts';
import { savePart } from './part-effects.ts';

/** The list with the limits of one quantity replaced, added or taken away. */
export function withSpecification(
  list: readonly Specification[],
  quantity: string,
  specification: Specification | null,
): Specification[] {
  const others = list.filter((one) => one.quantity !== quantity);
  return specification === null ? others : [...others, specification];
}

/** Keeps the limits of a quantity with the mock-up or its barrel, and takes them away from the other of the two. */
export async function keepSpecification(
  client: Client,
  whole: MockUpWhole,
  quantity: string,
  holder: 'mock_up' | 'barrel',
  specification: Specification | null,
): Promise<void> {
  const { mockUp, barrel } = whole;
  if (barrel.kind !== 'barrel') return;
  const had = (list: readonly Specification[]) => list.some((one) => one.quantity === quantity);
  if (holder === 'barrel' || had(barrel.data.specifications)) {
    const kept = holder === 'barrel' ? specification : null;
    await savePart(client, barrel.id, (stored) =>
      stored.kind === 'barrel'
        ? {
            ...stored,
            data: { ...stored.data, specifications: withSpecification(stored.data.specifications, quantity, kept) },
          }
        : stored,
    );
  }
  if (holder === 'mock_up' || had(mockUp.specifications)) {
    const kept = holder === 'mock_up' ? specification : null;
    await keepMockUp(client, mockUp.id, {
      specifications: withSpecification(mockUp.specifications, quantity, kept),
    });
  }
}
