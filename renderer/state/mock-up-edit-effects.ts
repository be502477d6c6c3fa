import type { Client } from '../../core/contract/client.ts';
import type { AssemblyDraft } from './assembly-draft.ts';

/** Keeps what the form shows; everything else of the mock-up stays as the host has it now. */
export async function keepMockUp(client: Client, mockUpId: string, draft: AssemblyDraft): Promise<void> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const { id: _id, workplaceId: _workplace, createdAt: _time, ...content } = mockUp;
  await client.call('mockUp.update', {
    id: mockUpId,
    content: { ...content, ...draft, portCriteria: { ...draft.portCriteria } },
  });
}
