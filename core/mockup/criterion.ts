import type { EdgeCriterion, MockUp } from '../contract/parts.ts';

/** How the edges of a port are judged: its own criterion, else the mock-up's. */
export function criterionOf(mockUp: Pick<MockUp, 'criterion' | 'portCriteria'>, portId: string): EdgeCriterion {
  return mockUp.portCriteria[portId] ?? mockUp.criterion;
}

/** A sentence where a criterion can't be computed out; null where it can. */
export function criterionProblem({ kind, thicknessMm }: EdgeCriterion): string | null {
  if (kind === 'first_light' || thicknessMm > 0) return null;
  const what = kind === 'paper_nip' ? 'paper' : kind;
  return `Give the thickness of the ${what}: it makes the edge late and is computed out.`;
}
