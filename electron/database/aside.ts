import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';
import { stopped, throwIfStopped, unwatchedWork, type Work } from './work.ts';

/**
 * Runs in a thread of its own, given as text so that it needs no file of its own in the built program.
 * The path of the database module is passed in, since such a thread knows no module folder.
 */
const program = `
const { parentPort, workerData } = require('node:worker_threads');
const Database = require(workerData.module);

function check(path) {
  const database = new Database(path, { readonly: true });
  try {
    const findings = database
      .pragma('integrity_check(20)')
      .map((row) => row.integrity_check)
      .filter((text) => text !== 'ok');
    for (const { table, parent } of database.pragma('foreign_key_check').slice(0, 20)) {
      findings.push('a row of ' + table + ' refers to a missing row of ' + parent);
    }
    return findings;
  } finally {
    database.close();
  }
}

async function backup(path, target) {
  const source = new Database(path, { readonly: true });
  // Held open, the state that is read can't change: without it the copying in steps would begin anew at each stamp.
  source.exec('BEGIN');
  source.prepare('SELECT count(*) FROM sqlite_schema').get();
  await source.backup(target, {
    progress({ totalPages, remainingPages }) {
      parentPort.postMessage({ part: totalPages === 0 ? 1 : 1 - remainingPages / totalPages });
      return workerData.pagesAtOnce;
    },
  });
  source.close();
  parentPort.postMessage({ part: 1 });
  // Out of the live book comes a file that wants a log beside it; a backup has to be one file.
  const copy = new Database(target);
  copy.pragma('journal_mode = DELETE');
  copy.close();
  return check(target);
}

const { task, path, target } = workerData;
Promise.resolve(task === 'backup' ? backup(path, target) : check(path)).then(
  (findings) => parentPort.postMessage({ findings }),
  (error) => parentPort.postMessage({ error: { message: error.message, code: error.code } }),
);
`;

/** About 8 MB: few enough steps to cost nothing, short enough to stop between them. */
const pagesAtOnce = 2000;

interface Answer {
  part?: number;
  findings?: string[];
  error?: { message: string; code?: string };
}

/** What SQLite or the system said inside the thread, with its code. */
export class AsideError extends Error {
  readonly code: string;
  constructor(code: string, message: string) {
    super(message);
    this.name = 'AsideError';
    this.code = code;
  }
}

interface Task {
  readonly task: 'backup' | 'check';
  readonly path: string;
  readonly target?: string;
}

async function run(task: Task, signal: AbortSignal, onPart: (part: number) => void): Promise<string[]> {
  throwIfStopped({ signal });
  const module = createRequire(import.meta.url).resolve('better-sqlite3');
  const worker = new Worker(program, { eval: true, workerData: { module, pagesAtOnce, ...task } });
  const ended = new Promise<void>((resolve) => worker.once('exit', () => resolve()));
  const stop = () => void worker.terminate();
  signal.addEventListener('abort', stop);
  try {
    return await new Promise((resolve, reject) => {
      worker.on('message', ({ part, findings, error }: Answer) => {
        if (part !== undefined) onPart(part);
        else if (findings !== undefined) resolve(findings);
        else reject(new AsideError(error?.code ?? '', error?.message ?? 'no answer'));
      });
      worker.once('error', reject);
      worker.once('exit', (code) =>
        reject(signal.aborted ? stopped() : new AsideError('', `the thread ended with ${code}`)),
      );
    });
  } finally {
    signal.removeEventListener('abort', stop);
    // Only then are its files closed and may go.
    await ended;
  }
}

/**
 * Copies a book by SQLite's own backup and checks the copy in full, beside the work that goes on: on a large book that
 * takes seconds, and no stamp may wait for it.
 * @returns findings about the copy, empty where it is sound
 * @throws EnvironmentError `stopped`; whoever asked removes what is left of the copy
 */
export function backupAside(path: string, target: string, work: Work = unwatchedWork): Promise<string[]> {
  return run({ task: 'backup', path, target }, work.signal, (part) =>
    part < 1 ? work.report('Copying the book', part) : work.report('Checking the copy in full', null),
  );
}

/**
 * Full check of a file by SQLite itself, beside the work that goes on.
 * @returns findings, empty where sound
 * @throws EnvironmentError `stopped`
 */
export async function checkAside(path: string, { signal }: Pick<Work, 'signal'> = unwatchedWork): Promise<string[]> {
  try {
    return await run({ task: 'check', path }, signal, () => {});
  } catch (error) {
    throwIfStopped({ signal });
    return [error instanceof Error ? error.message : String(error)];
  }
}
