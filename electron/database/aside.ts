import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';

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
  // All pages in one step: a backup in steps begins anew whenever another connection stores a stamp.
  await source.backup(target, { progress: () => 0x7fffffff });
  source.close();
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

interface Answer {
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

function run(work: { task: 'backup' | 'check'; path: string; target?: string }): Promise<string[]> {
  return new Promise((resolve, reject) => {
    const module = createRequire(import.meta.url).resolve('better-sqlite3');
    const worker = new Worker(program, { eval: true, workerData: { module, ...work } });
    worker.once('message', ({ findings, error }: Answer) => {
      if (findings !== undefined) resolve(findings);
      else reject(new AsideError(error?.code ?? '', error?.message ?? 'no answer'));
    });
    worker.once('error', reject);
    worker.once('exit', (code) => reject(new AsideError('', `the thread ended with ${code}`)));
  });
}

/**
 * Copies a book by SQLite's own backup and checks the copy in full, beside the work that goes on: on a large book that
 * takes seconds, and no stamp may wait for it.
 * @returns findings about the copy, empty where it is sound
 */
export function backupAside(path: string, target: string): Promise<string[]> {
  return run({ task: 'backup', path, target });
}

/** Full check of a file by SQLite itself, beside the work that goes on. @returns findings, empty where sound */
export function checkAside(path: string): Promise<string[]> {
  return run({ task: 'check', path }).catch((error: unknown) => [
    error instanceof Error ? error.message : String(error),
  ]);
}
