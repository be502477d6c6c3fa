import type { Client } from '../../core/contract/client.ts';
import type { PartContent } from '../../core/contract/parts.ts';
import type { EngineDraft, JobDraft } from './build-draft.ts';
import { engineDataOf } from './build-draft-effects.ts';

/** Keeps a changed job; the customer's row is changed, made, or let go. */
export async function keepJob(client: Client, buildId: string, job: JobDraft): Promise<void> {
  const { build, customer } = await client.call('build.whole', { id: buildId });
  const name = job.customerName.trim();
  let customerId = build.customerId;
  if (name === '' && job.customerContact.trim() === '') customerId = null;
  else if (customer !== null) {
    const isChanged = customer.name !== name || customer.contact !== job.customerContact;
    if (isChanged)
      await client.call('customer.update', { id: customer.id, content: { name, contact: job.customerContact } });
  } else customerId = (await client.call('customer.create', { name, contact: job.customerContact })).id;
  await client.call('build.update', {
    id: buildId,
    content: {
      title: job.title,
      jobNumber: job.jobNumber,
      measuredBy: job.measuredBy,
      notes: job.notes,
      engineId: build.engineId,
      customerId,
    },
  });
}

/** The engine as the build's form has it; what the form doesn't show stays. */
export function engineContentOf(draft: EngineDraft, { marks, notes }: PartContent): PartContent {
  return { kind: 'engine', name: draft.name, marks, notes, data: engineDataOf(draft) };
}
