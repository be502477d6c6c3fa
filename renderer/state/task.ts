import { createStore, type StoreApi } from 'zustand/vanilla';
import { sentenceOf } from './sentence-of.ts';

/** A piece of longer work as a screen shows it: what is being done, how far it is, and how it ended. */
export interface TaskState {
  readonly phase: 'idle' | 'running' | 'done' | 'failed' | 'stopped';
  /** What is being done, or how it ended. */
  readonly sentence: string;
  /** Part that is done, 0 to 1; null where nobody can tell. */
  readonly part: number | null;
  /** Can it be stopped half-way without harm? */
  readonly canStop: boolean;
}
export type TaskStore = StoreApi<TaskState>;

/** What the work may say while it runs. */
export interface TaskReport {
  readonly signal: AbortSignal;
  /** @param part 0 to 1, or null */
  say(sentence: string, part?: number | null, canStop?: boolean): void;
}

interface Running {
  readonly abort: AbortController;
}

const running = new WeakMap<TaskStore, Running>();

export function createTask(): TaskStore {
  return createStore<TaskState>(() => ({ phase: 'idle', sentence: '', part: null, canStop: false }));
}

/**
 * Runs one piece of work at a time; a second start while one runs does nothing.
 * @param work answers the sentence that says how it ended
 * @returns whether it got through
 */
export async function runTask(
  task: TaskStore,
  sentence: string,
  work: (report: TaskReport) => Promise<string>,
): Promise<boolean> {
  if (running.has(task)) return false;
  const abort = new AbortController();
  running.set(task, { abort });
  task.setState({ phase: 'running', sentence, part: null, canStop: false });
  try {
    const done = await work({
      signal: abort.signal,
      say: (now, part = null, canStop = false) => {
        if (running.get(task)?.abort === abort) task.setState({ phase: 'running', sentence: now, part, canStop });
      },
    });
    task.setState({ phase: 'done', sentence: done, part: null, canStop: false });
    return true;
  } catch (error) {
    const wasStopped = abort.signal.aborted;
    task.setState({
      phase: wasStopped ? 'stopped' : 'failed',
      sentence: wasStopped ? 'Stopped; nothing was changed.' : sentenceOf(error),
      part: null,
      canStop: false,
    });
    return false;
  } finally {
    running.delete(task);
  }
}

/** Asks the work to end; it ends at the next place where that does no harm. */
export function stopTask(task: TaskStore): void {
  const known = running.get(task);
  if (known === undefined) return;
  task.setState({
    ...task.getState(),
    sentence: 'Stopping at the next place where nothing is half done',
    canStop: false,
  });
  known.abort.abort();
}

/** Puts the last outcome away. */
export function clearTask(task: TaskStore): void {
  if (!running.has(task)) task.setState({ phase: 'idle', sentence: '', part: null, canStop: false });
}
