import type { Client } from '../../core/contract/client.ts';
import type { InputOf, MessageName, OutputOf } from '../../core/contract/messages.ts';
import type { TaskReport } from './task.ts';

/** Messages whose work tells how far it is and can be stopped. */
type WorkMessage = { [K in MessageName]: 'workId' extends keyof InputOf<K> ? K : never }[MessageName];

/**
 * Calls for longer work: shows its progress, and stops it where the person asks for that.
 * @param sentence what is being done, until the host says it more closely
 * @throws CallFailure `stopped` where it was stopped; nothing was changed then
 */
export async function callForWork<K extends Exclude<WorkMessage, 'work.stop'>>(
  client: Client,
  name: K,
  input: Omit<InputOf<K>, 'workId'>,
  sentence: string,
  { signal, say }: TaskReport,
): Promise<OutputOf<K>> {
  signal.throwIfAborted();
  const workId = crypto.randomUUID();
  say(sentence, null, true);
  const endListening = client.listen((announcement) => {
    if (announcement.topic === 'work' && announcement.workId === workId && !signal.aborted)
      say(announcement.sentence, announcement.part, true);
  });
  // Work that is over by then has nothing to stop, and its own answer tells how it ended.
  const stop = () => void client.call('work.stop', { workId }).catch(() => {});
  signal.addEventListener('abort', stop);
  try {
    return await client.call(name, { ...input, workId } as unknown as InputOf<K>);
  } finally {
    signal.removeEventListener('abort', stop);
    endListening();
  }
}
