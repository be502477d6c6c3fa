import type { Client } from '../../core/contract/client.ts';
import type { MockUpWhole } from '../../core/contract/messages.ts';
import type { Specification } from '../../core/contract/parts.ts';

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
  const { id: barrelId, workplaceId: _barrelWorkplace, createdAt: _barrelTime, ...barrelContent } = barrel;
  const { id: mockUpId, workplaceId: _workplace, createdAt: _time, ...mockUpContent } = mockUp;
  const ofBarrel = withSpecification(barrel.data.specifications, quantity, holder === 'barrel' ? specification : null);
  const ofMockUp = withSpecification(mockUp.specifications, quantity, holder === 'mock_up' ? specification : null);
  const had = (list: readonly Specification[]) => list.some((one) => one.quantity === quantity);
  if (holder === 'barrel' || had(barrel.data.specifications)) {
    await client.call('part.update', {
      id: barrelId,
      content: { ...barrelContent, data: { ...barrelContent.data, specifications: ofBarrel } },
    });
  }
  if (holder === 'mock_up' || had(mockUp.specifications)) {
    await client.call('mockUp.update', { id: mockUpId, content: { ...mockUpContent, specifications: ofMockUp } });
  }
}
