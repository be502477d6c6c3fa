import type { Client } from '../../core/contract/client.ts';
import type { Part, PartContent } from '../../core/contract/parts.ts';

/**
 * The one door by which the page changes a part that is in the book: whatever follows from such a change, for instance
 * readings that no longer hold, is done here.
 * @param change makes the new content from what the book holds now, so that a change made elsewhere meanwhile stays
 */
export async function savePart(
  client: Client,
  partId: string,
  change: (stored: PartContent) => PartContent,
): Promise<Part> {
  const stored = await client.call('part.get', { id: partId });
  return client.call('part.update', { id: partId, content: change(contentOf(stored)) });
}

/** A part without what the host adds. */
export function contentOf(part: Part): PartContent {
  const { id: _id, workplaceId: _workplace, createdAt: _time, ...content } = part;
  return content;
}
