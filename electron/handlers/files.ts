import { randomBytes } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readSync,
  rmSync,
  statSync,
} from 'node:fs';
import { join } from 'node:path';
import { EnvironmentError, InputError } from '../../core/errors.ts';
import { writeWhole } from '../archive/zip-writer.ts';

/** A piece of a file, as it goes over the wire at once. */
const pieceBytes = 4_000_000;

/** Files that come from the page and go to it, in two folders beside the book; the page never names a path. */
export interface ExchangeFiles {
  beginUpload(sizeBytes: number): string;
  append(uploadId: string, offset: number, bytes: Uint8Array): number;
  /** Path of a complete upload. @throws InputError where it isn't complete */
  uploaded(uploadId: string): string;
  dropUpload(uploadId: string): void;
  /** Path for a new file of this name, under an id by which its pieces can be fetched. */
  newExport(fileName: string): { exportId: string; path: string };
  readPiece(exportId: string, offset: number): { bytes: Buffer; isLast: boolean };
  /** Archives of this and earlier runs that lie beside the book. */
  keptArchives(): number;
}

export function createExchangeFiles(folder: string): ExchangeFiles {
  const uploadFolder = join(folder, 'incoming');
  const exportFolder = join(folder, 'exports');
  const uploads = new Map<string, { path: string; sizeBytes: number; receivedBytes: number }>();
  const exported = new Map<string, string>();
  removeLeftOvers(uploadFolder);

  function upload(id: string) {
    const found = uploads.get(id);
    if (found === undefined) throw gone('uploadId');
    return found;
  }
  return {
    beginUpload(sizeBytes) {
      ensure(uploadFolder);
      const id = randomBytes(16).toString('hex');
      const path = join(uploadFolder, `${id}.part`);
      try {
        closeSync(openSync(path, 'wx', 0o600));
      } catch (error) {
        throw diskFailure(error);
      }
      uploads.set(id, { path, sizeBytes, receivedBytes: 0 });
      return id;
    },
    append(uploadId, offset, bytes) {
      const found = upload(uploadId);
      if (offset > found.receivedBytes || offset + bytes.length > found.sizeBytes) {
        throw new InputError({
          code: 'out_of_range',
          field: 'offset',
          value: offset,
          allowed: `0 to ${found.receivedBytes}`,
          message: 'The file arrived in the wrong order: choose it again.',
        });
      }
      const file = openSync(found.path, 'r+');
      try {
        writeWhole(file, bytes, offset);
        found.receivedBytes = Math.max(found.receivedBytes, offset + bytes.length);
        if (found.receivedBytes === found.sizeBytes) fsyncSync(file);
      } catch (error) {
        throw diskFailure(error);
      } finally {
        closeSync(file);
      }
      return found.receivedBytes;
    },
    uploaded(uploadId) {
      const found = upload(uploadId);
      if (found.receivedBytes !== found.sizeBytes) {
        throw new InputError({
          code: 'insufficient_data',
          field: 'uploadId',
          value: found.receivedBytes,
          allowed: `${found.sizeBytes} bytes`,
          message: 'The file has not arrived completely: choose it again.',
        });
      }
      return found.path;
    },
    dropUpload(uploadId) {
      const found = uploads.get(uploadId);
      if (found === undefined) return;
      uploads.delete(uploadId);
      rmSync(found.path, { force: true });
    },
    newExport(fileName) {
      ensure(exportFolder);
      const dot = fileName.lastIndexOf('.');
      let path = join(exportFolder, fileName);
      for (let count = 2; existsSync(path); count += 1) {
        path = join(exportFolder, `${fileName.slice(0, dot)} (${count})${fileName.slice(dot)}`);
      }
      const exportId = randomBytes(16).toString('hex');
      exported.set(exportId, path);
      return { exportId, path };
    },
    keptArchives() {
      try {
        return readdirSync(exportFolder).filter((name) => name.endsWith('.zip')).length;
      } catch {
        // Nothing was exported yet.
        return 0;
      }
    },
    readPiece(exportId, offset) {
      const path = exported.get(exportId);
      if (path === undefined || !existsSync(path)) throw gone('exportId');
      const size = statSync(path).size;
      const bytes = Buffer.alloc(Math.max(0, Math.min(pieceBytes, size - offset)));
      const file = openSync(path, 'r');
      try {
        readSync(file, bytes, 0, bytes.length, offset);
      } finally {
        closeSync(file);
      }
      return { bytes, isLast: offset + bytes.length >= size };
    },
  };
}

function ensure(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
  } catch (error) {
    throw diskFailure(error);
  }
}

/** Uploads of an earlier run can't be named any more: they would only fill the disk. */
function removeLeftOvers(folder: string): void {
  try {
    for (const name of readdirSync(folder)) rmSync(join(folder, name), { force: true });
  } catch {
    // There is no such folder yet, or it is write-protected: nothing can be put into it then.
  }
}

function gone(field: string): InputError {
  return new InputError({
    code: 'missing',
    field,
    value: null,
    allowed: 'a file of this run of the program',
    message: 'The file is not there any more: choose it or export it again.',
  });
}

/** What the system says about a file, as a sentence. */
export function diskFailure(error: unknown): unknown {
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOSPC' || code === 'EDQUOT' || code === 'EFBIG') {
    return new EnvironmentError(
      'disk_full',
      'The disk is full; the book is kept.',
      'Free some space and do it again.',
      { cause: error },
    );
  }
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS') {
    return new EnvironmentError(
      'folder_read_only',
      'The folder of the book is write-protected.',
      'Give your account the right to write there.',
      {
        cause: error,
      },
    );
  }
  return error;
}
