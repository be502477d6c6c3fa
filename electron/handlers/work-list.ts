import type { Handlers } from '../../core/contract/dispatch.ts';
import type { Announcement } from '../../core/contract/messages.ts';
import { unwatchedWork, type Work } from '../database/work.ts';

/** A screen can't show more than so many steps in a second. */
const leastMsBetweenReports = 100;

/** Work that is going on, by the name that the page gave it. */
export interface WorkList {
  /** Runs one piece of work; without a name it can't be stopped and says nothing. */
  run<T>(workId: string | null, step: (work: Work) => Promise<T>): Promise<T>;
  handlers: Pick<Handlers, 'work.stop'>;
}

export function createWorkList(announce: (announcement: Announcement) => void): WorkList {
  const going = new Map<string, AbortController>();
  return {
    async run(workId, step) {
      if (workId === null) return step(unwatchedWork);
      const abort = new AbortController();
      going.set(workId, abort);
      let said = '';
      let saidAt = Number.NEGATIVE_INFINITY;
      try {
        return await step({
          signal: abort.signal,
          report(sentence, part) {
            const now = performance.now();
            if (sentence === said && now - saidAt < leastMsBetweenReports) return;
            said = sentence;
            saidAt = now;
            announce({ topic: 'work', workId, sentence, part: part === null ? null : Math.min(1, Math.max(0, part)) });
          },
        });
      } finally {
        going.delete(workId);
      }
    },
    handlers: {
      async 'work.stop'({ workId }) {
        const abort = going.get(workId);
        abort?.abort();
        return { wasRunning: abort !== undefined };
      },
    },
  };
}
