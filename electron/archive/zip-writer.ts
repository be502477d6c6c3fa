import { closeSync, fsyncSync, openSync, writeSync } from 'node:fs';
import { Zip, ZipDeflate, ZipPassThrough } from 'fflate';
import { EnvironmentError } from '../../core/errors.ts';

/** The zip format without its 64-bit extension ends here. */
const largestZipBytes = 4_000_000_000;
const mostZipEntries = 65_000;

export interface ZipWriter {
  /** @param compress false for pictures, which are compressed already */
  add(name: string, bytes: Uint8Array, compress?: boolean): void;
  /** @returns size of the file */
  finish(): number;
  abandon(): void;
}

/** Writes a zip file piece by piece; nothing of it is held in memory. */
export function createZipWriter(path: string): ZipWriter {
  const file = openSync(path, 'wx', 0o600);
  let sizeBytes = 0;
  let entries = 0;
  let failure: Error | null = null;
  const zip = new Zip((error, chunk) => {
    if (error !== null) failure = error;
    else if (chunk.length > 0) {
      writeSync(file, chunk);
      sizeBytes += chunk.length;
    }
  });
  function check(): void {
    if (failure !== null) throw failure;
    if (sizeBytes > largestZipBytes || entries > mostZipEntries) {
      throw new EnvironmentError(
        'export_too_large',
        'This is more than one archive can hold.',
        'Export single builds, or use a backup for the whole book.',
      );
    }
  }
  return {
    add(name, bytes, compress = true) {
      const entry = compress ? new ZipDeflate(name, { level: 6 }) : new ZipPassThrough(name);
      // The same content gives the same bytes; the times that matter stand in the rows.
      entry.mtime = new Date(2000, 0, 1);
      zip.add(entry);
      entry.push(bytes, true);
      entries += 1;
      check();
    },
    finish() {
      zip.end();
      check();
      fsyncSync(file);
      closeSync(file);
      return sizeBytes;
    },
    abandon() {
      zip.terminate();
      closeSync(file);
    },
  };
}
