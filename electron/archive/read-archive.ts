import { createHash } from 'node:crypto';
import type { ArchiveSummary } from '../../core/contract/book-messages.ts';
import {
  type ArchiveRow,
  type ArchiveTable,
  archiveFormatVersion,
  archiveNamePattern,
  archiveRows,
  type Manifest,
  manifestFile,
  manifestSchema,
} from './format.ts';
import { badArchive, openZip, type ZipReader } from './zip-reader.ts';

export interface Archive {
  readonly manifest: Manifest;
  /** Rows of a table, file by file; each one is checked before it is given out. @throws InputError `inconsistent` */
  rows<T extends ArchiveTable>(table: T): IterableIterator<ArchiveRow<T>>;
  /** Bytes of a picture or a sheet. */
  file(name: string): Buffer;
  close(): void;
}

/** Opens an archive and checks its manifest. @throws InputError `inconsistent` with the reason */
export function openArchive(path: string): Archive {
  const zip = openZip(path, (name) => archiveNamePattern.test(name));
  try {
    const manifest = readManifest(zip);
    return {
      manifest,
      *rows<T extends ArchiveTable>(table: T) {
        const names = Object.keys(manifest.files)
          .filter((name) => name.replace(/^data\//, '').replace(/-\d{4}\.json$/, '') === table)
          .sort((first, second) => (first < second ? -1 : 1));
        let count = 0;
        for (const name of names) {
          for (const row of readRows(zip, name, manifest.files[name] ?? '')) {
            const parsed = archiveRows[table].safeParse(row);
            if (!parsed.success) {
              const issue = parsed.error.issues[0];
              throw badArchive(
                `a row of ${table} is not as it should be (${issue?.path.join('.') ?? ''}: ${issue?.message ?? ''})`,
              );
            }
            count += 1;
            // The row as it was written: the check must not change a record by filling in or leaving out.
            yield row as ArchiveRow<T>;
          }
        }
        if (count !== (manifest.counts[table] ?? 0)) throw badArchive(`rows of ${table} are missing`);
      },
      file: (name) => zip.read(name),
      close: () => zip.close(),
    };
  } catch (error) {
    zip.close();
    throw error;
  }
}

export function summaryOf({ scope, madeAt, madeBy, programVersion, counts }: Manifest): ArchiveSummary {
  return { scope, madeAt, madeByName: madeBy.name, programVersion, counts: Object.fromEntries(Object.entries(counts)) };
}

function readManifest(zip: ZipReader): Manifest {
  const raw = parseJson(zip.read(manifestFile), manifestFile);
  const version = (raw as { formatVersion?: unknown } | null)?.formatVersion;
  if (typeof version === 'number' && version > archiveFormatVersion) {
    throw badArchive(
      `it was made by a newer Portsight (format ${version}, this program knows ${archiveFormatVersion}); update Portsight first`,
    );
  }
  const parsed = manifestSchema.safeParse(raw);
  if (!parsed.success) throw badArchive('it is not an archive of Portsight');
  return parsed.data;
}

function readRows(zip: ZipReader, name: string, sha256: string): unknown[] {
  const bytes = zip.read(name);
  if (createHash('sha256').update(bytes).digest('hex') !== sha256)
    throw badArchive(`${name} was changed after the export`);
  const rows = parseJson(bytes, name);
  if (!Array.isArray(rows)) throw badArchive(`${name} is damaged`);
  return rows;
}

function parseJson(bytes: Buffer, name: string): unknown {
  try {
    return JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    throw badArchive(`${name} is damaged`);
  }
}
