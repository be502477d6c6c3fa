import type { Client } from '../../core/contract/client.ts';
import type { MockUp, Part, PartKind } from '../../core/contract/parts.ts';

/** A part with the mock-ups that use it. */
export interface ListedPart {
  readonly part: Part;
  readonly usedIn: readonly MockUp[];
}

export type PartOrder = 'name' | 'kind' | 'made' | 'uses';

export interface PartFilter {
  readonly kind: PartKind | null;
  readonly text: string;
  readonly order: PartOrder;
}

/** All parts of the book with their uses, in two questions. */
export async function loadParts(client: Client): Promise<ListedPart[]> {
  const [parts, mockUps] = await Promise.all([
    client.call('part.list', { kind: null }),
    client.call('mockUp.list', {}),
  ]);
  return withUses(parts, mockUps);
}

export function withUses(parts: readonly Part[], mockUps: readonly MockUp[]): ListedPart[] {
  const uses = new Map<string, MockUp[]>();
  for (const mockUp of mockUps) {
    for (const id of new Set(partIdsOf(mockUp))) {
      const known = uses.get(id);
      if (known === undefined) uses.set(id, [mockUp]);
      else known.push(mockUp);
    }
  }
  return parts.map((part) => ({ part, usedIn: uses.get(part.id) ?? [] }));
}

function partIdsOf(mockUp: MockUp): string[] {
  const { engineId, barrelId, pistonId, headId, baseGasketId, headGasketId } = mockUp;
  return [engineId, barrelId, pistonId, headId, baseGasketId, headGasketId].filter((id) => id !== null);
}

/** What the list shows: every word typed must stand in the name, the marks or the notes. */
export function shownParts(all: readonly ListedPart[], { kind, text, order }: PartFilter): ListedPart[] {
  const words = text
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '');
  return all
    .filter(({ part }) => kind === null || part.kind === kind)
    .filter(({ part }) => {
      const said = `${part.name} ${part.marks} ${part.notes}`.toLowerCase();
      return words.every((word) => said.includes(word));
    })
    .toSorted((one, other) => compare(one, other, order) || one.part.name.localeCompare(other.part.name));
}

function compare(one: ListedPart, other: ListedPart, order: PartOrder): number {
  switch (order) {
    case 'name':
      return 0;
    case 'kind':
      return one.part.kind.localeCompare(other.part.kind);
    case 'made':
      return other.part.createdAt.localeCompare(one.part.createdAt);
    case 'uses':
      return other.usedIn.length - one.usedIn.length;
  }
}
