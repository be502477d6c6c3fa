import type { Client } from '../../core/contract/client.ts';
import type { MockUp, PartOf } from '../../core/contract/parts.ts';
import type { PlanDraft } from './plan-draft.ts';

function contentOf({ id: _id, workplaceId: _workplace, createdAt: _time, ...content }: MockUp) {
  return content;
}

/** Keeps a plan with its mock-up; everything else of the mock-up stays as the host has it now. */
export async function keepPlan(client: Client, mockUpId: string, plan: PlanDraft): Promise<void> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const isKnown = mockUp.plans.some(({ planId }) => planId === plan.planId);
  const plans = isKnown
    ? mockUp.plans.map((one) => (one.planId === plan.planId ? plan : one))
    : [...mockUp.plans, plan];
  await client.call('mockUp.update', { id: mockUpId, content: { ...contentOf(mockUp), plans } });
}

/** Takes a plan off the list; the history of the mock-up still has it. */
export async function removePlan(client: Client, mockUpId: string, planId: string): Promise<void> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const plans = mockUp.plans.filter((one) => one.planId !== planId);
  await client.call('mockUp.update', { id: mockUpId, content: { ...contentOf(mockUp), plans } });
}

/**
 * Makes the mock-up that a plan leads to: a copy without readings, with the planned gaskets and what is to be cut in its
 * notes. Sizes of the parts stay as they are until they are measured after the cutting.
 * @param work the steps in words
 * @returns id of the new mock-up
 */
export async function mockUpFromPlan(
  client: Client,
  mockUpId: string,
  plan: PlanDraft,
  work: readonly string[],
): Promise<string> {
  const { mockUp } = await client.call('mockUp.whole', { id: mockUpId });
  const copy = await client.call('mockUp.copy', { id: mockUpId, name: `${mockUp.name}, ${plan.name}`.slice(0, 200) });
  const { change } = plan;
  const thickness = (fittedMm: number | null, byMm: number | undefined) =>
    fittedMm === null || byMm === undefined ? fittedMm : Math.max(0, Number((fittedMm + byMm).toFixed(6)));
  const notes = [copy.notes, `${plan.name} of "${mockUp.name}":`, ...work.map((step) => `- ${step}`), plan.notes];
  await client.call('mockUp.update', {
    id: copy.id,
    content: {
      ...contentOf(copy),
      baseGasketMm: thickness(copy.baseGasketMm, change.baseGasketChangeMm),
      headGasketMm: thickness(copy.headGasketMm, change.headGasketChangeMm),
      baseGasketId: change.baseGasketChangeMm === undefined ? copy.baseGasketId : plan.baseGasketId,
      headGasketId: change.headGasketChangeMm === undefined ? copy.headGasketId : plan.headGasketId,
      plans: [],
      notes: notes
        .filter((line) => line !== '')
        .join('\n')
        .slice(0, 20_000),
    },
  });
  return copy.id;
}

export type Gasket = PartOf<'gasket'>;

/** Gaskets of the book for one place of the stack. */
export async function gasketsFor(client: Client, place: 'base' | 'head'): Promise<readonly Gasket[]> {
  const parts = await client.call('part.list', { kind: 'gasket' });
  return parts.filter((part): part is Gasket => part.kind === 'gasket' && part.data.place === place);
}

/** As crushed, else as new; null where neither is known. */
export function gasketThicknessMm({ data }: Gasket): number | null {
  return data.thicknessCrushedMm ?? data.thicknessNewMm;
}
