import { closeSync, fsyncSync, openSync, writeSync } from 'node:fs';
import { Zip, ZipDeflate, ZipPassThrough } from 'fflate';
import { EnvironmentError } from '../../core/errors.ts';

/** The zip format without its 64-bit extension ends here. */
const largestZipBytes = 4_000_000_000;
const mostZipEntries = 65_000;

export interface ZipWriter {
  /** @param compress false for pictures, which are compressed already */
  add(name: string, bytes: Uint8Array, compress?: boolean): void;
  /** A file that is written piece by piece; no other file may be added before its end. */
  begin(name: string, compress?: boolean): { push(bytes: Uint8Array): void; end(): void };
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
      writeWhole(file, chunk);
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
  function begin(name: string, compress = true) {
    const entry = compress ? new ZipDeflate(name, { level: 6 }) : new ZipPassThrough(name);
    // The same content gives the same bytes; the times that matter stand in the rows.
    entry.mtime = new Date(2000, 0, 1);
    zip.add(entry);
    entries += 1;
    return {
      push(bytes: Uint8Array) {
        entry.push(bytes, false);
        check();
      },
      end() {
        entry.push(new Uint8Array(), true);
        check();
      },
    };
  }
  return {
    begin,
    add(name, bytes, compress = true) {
      const entry = begin(name, compress);
      entry.push(bytes);
      entry.end();
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

/** The system may take less than it was given, on a disk that is almost full for instance. */
export function writeWhole(file: number, bytes: Uint8Array, position: number | null = null): void {
  let done = 0;
  while (done < bytes.length) {
    done += writeSync(file, bytes, done, bytes.length - done, position === null ? null : position + done);
  }
}
