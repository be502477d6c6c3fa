import type { Client } from '../../core/contract/client.ts';
import type { EngineData } from '../../core/contract/parts.ts';
import type { BuildDraft, EngineDraft } from './build-draft.ts';

/** An engine that passed `engineProblem`, as the book keeps it. */
export function engineDataOf(draft: EngineDraft): EngineData {
  const { name: _, strokeMm, rodLengthMm, ...rest } = draft;
  if (strokeMm === null || rodLengthMm === null) throw new Error('An engine without stroke and rod reached the book.');
  return { ...rest, strokeMm, rodLengthMm };
}

/** Stores the whole draft. Parts come first, so that a failure half-way leaves parts to use, never a build without them. */
export async function storeBuildDraft(
  client: Client,
  draft: BuildDraft,
): Promise<{ buildId: string; mockUpId: string }> {
  const engineId =
    draft.engineId ??
    (await client.call('part.create', { kind: 'engine', name: draft.engine.name, data: engineDataOf(draft.engine) }))
      .id;
  const barrel = await client.call('part.create', { kind: 'barrel', ...draft.barrel });
  const customerId = await customerOf(client, draft);
  const build = await client.call('build.create', {
    title: draft.job.title,
    jobNumber: draft.job.jobNumber,
    measuredBy: draft.job.measuredBy,
    notes: draft.job.notes,
    customerId,
    engineId,
  });
  const mockUp = await client.call('mockUp.create', {
    buildId: build.id,
    engineId,
    barrelId: barrel.id,
    ...draft.mockUp,
  });
  return { buildId: build.id, mockUpId: mockUp.id };
}

/** The customer of that name, or a new one; no row where no name was given. */
async function customerOf(client: Client, draft: BuildDraft): Promise<string | null> {
  const name = draft.job.customerName.trim();
  if (name === '') return null;
  const known = (await client.call('customer.list', {})).find((customer) => customer.name === name);
  if (known !== undefined) return known.id;
  return (await client.call('customer.create', { name, contact: draft.job.customerContact })).id;
}

/** Key under which an unfinished draft is kept, so that a closed window loses nothing. */
export const draftPreferenceKey = 'draft.newBuild';
