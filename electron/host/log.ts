import { appendFileSync, renameSync, statSync } from 'node:fs';
import { join } from 'node:path';

const largestLogBytes = 2_000_000;

export type Log = (sentence: string) => void;

/** Log of the host as JSON lines beside the book; one older file is kept. A log that can't be written stops nothing. */
export function createLog(folder: string): Log {
  const path = join(folder, 'portsight.log');
  return (sentence) => {
    try {
      try {
        if (statSync(path).size > largestLogBytes) renameSync(path, `${path}.1`);
      } catch {
        // No log yet.
      }
      appendFileSync(path, `${JSON.stringify({ at: new Date().toISOString(), sentence })}\n`, { mode: 0o600 });
    } catch {
      // A full disk or a write-protected folder is told by the book itself.
    }
  };
}
