import type { Client } from '../../core/contract/client.ts';
import type { MockUpContent } from '../../core/contract/parts.ts';

/** What a form of the mock-up edits: only its own fields, everything else stays as the host has it now. */
export type MockUpChange = Partial<Omit<MockUpContent, 'buildId' | 'copiedFromId'>>;

/** The one door by which the page changes a mock-up, with whatever follows from such a change. */
export async function keepMockUp(client: Client, mockUpId: string, change: MockUpChange): Promise<void> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const { id: _id, workplaceId: _workplace, createdAt: _time, ...content } = mockUp;
  await client.call('mockUp.update', { id: mockUpId, content: { ...content, ...change } });
}
