import type { Client } from '../../core/contract/client.ts';
import type { MockUpDraft } from './build-draft.ts';

/** Keeps what the form shows; everything else of the mock-up stays as the host has it now. */
export async function keepMockUp(client: Client, mockUpId: string, draft: MockUpDraft): Promise<void> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const { id: _id, workplaceId: _workplace, createdAt: _time, ...content } = mockUp;
  await client.call('mockUp.update', { id: mockUpId, content: { ...content, ...draft } });
}
