import { setImmediate } from 'node:timers/promises';
import { EnvironmentError } from '../../core/errors.ts';

/** How longer work hears that it shall end, and says how far it is. */
export interface Work {
  readonly signal: AbortSignal;
  /** @param part 0 to 1, or null where nobody can tell */
  report(sentence: string, part: number | null): void;
}

/** Work that nobody waits for at a screen. */
export const unwatchedWork: Work = { signal: new AbortController().signal, report: () => {} };

/** What stopped work ends with. */
export function stopped(): EnvironmentError {
  return new EnvironmentError('stopped', 'Stopped.', 'Nothing was changed.');
}

/** @throws EnvironmentError `stopped` */
export function throwIfStopped({ signal }: Pick<Work, 'signal'>): void {
  if (signal.aborted) throw stopped();
}

/** Work that holds the thread hands it on after so long: messages, stamps and the wish to stop get their turn. */
const sliceMs = 20;

/** Hands the thread on from time to time. */
export interface Slices {
  /** True when it is time to call `pause`. */
  isOver(): boolean;
  /** @throws EnvironmentError `stopped` */
  pause(): Promise<void>;
}

export function createSlices(work: Pick<Work, 'signal'>): Slices {
  let endsAt = performance.now() + sliceMs;
  return {
    isOver: () => performance.now() >= endsAt,
    async pause() {
      await setImmediate();
      throwIfStopped(work);
      endsAt = performance.now() + sliceMs;
    },
  };
}
