import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';

/**
 * Runs in a thread of its own, given as text so that it needs no file of its own in the built program.
 * The path of the database module is passed in, since such a thread knows no module folder.
 */
const program = `
const { parentPort, workerData } = require('node:worker_threads');
const Database = require(workerData.module);
const database = new Database(workerData.path, { readonly: true });
const findings = database
  .pragma('integrity_check(20)')
  .map((row) => row.integrity_check)
  .filter((text) => text !== 'ok');
for (const { table, parent } of database.pragma('foreign_key_check').slice(0, 20)) {
  findings.push('a row of ' + table + ' refers to a missing row of ' + parent);
}
database.close();
parentPort.postMessage(findings);
`;

/**
 * Full check of a file by SQLite itself, beside the work that goes on: on a large book it takes seconds, and no stamp
 * may wait for it.
 * @returns findings, empty where sound
 */
export function checkFileAside(path: string): Promise<string[]> {
  return new Promise((resolve) => {
    const module = createRequire(import.meta.url).resolve('better-sqlite3');
    const worker = new Worker(program, { eval: true, workerData: { module, path } });
    worker.once('message', (findings: string[]) => resolve(findings));
    // A file that can't even be opened is a finding, too.
    worker.once('error', (error: unknown) => resolve([error instanceof Error ? error.message : String(error)]));
    worker.once('exit', (code) => resolve([`the check ended with ${code}`]));
  });
}
