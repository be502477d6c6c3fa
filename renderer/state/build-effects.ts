import type { Client } from '../../core/contract/client.ts';
import type { Build, PartContent } from '../../core/contract/parts.ts';
import type { EngineDraft, JobDraft } from './build-draft.ts';
import { engineDataOf } from './build-draft-effects.ts';

/**
 * The job of a build that is in the book. Its customer is chosen, not typed: another name in the field would rename the
 * customer in all their other builds.
 */
export interface KeptJob extends Pick<JobDraft, 'title' | 'jobNumber' | 'measuredBy' | 'notes'> {
  readonly customerId: string | null;
}

export function keptJobOf({ title, jobNumber, measuredBy, notes, customerId }: Build): KeptJob {
  return { title, jobNumber, measuredBy, notes, customerId };
}

/** Keeps a changed job; the engine stays as the book has it. */
export async function keepJob(client: Client, buildId: string, job: KeptJob): Promise<void> {
  const { build } = await client.call('build.whole', { id: buildId });
  await client.call('build.update', { id: buildId, content: { ...job, engineId: build.engineId } });
}

/** The engine as the build's form has it; what the form doesn't show stays. */
export function engineContentOf(draft: EngineDraft, { marks, notes }: PartContent): PartContent {
  return { kind: 'engine', name: draft.name, marks, notes, data: engineDataOf(draft) };
}
