import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { crc32, inflateRawSync } from 'node:zlib';
import { InputError } from '../../core/errors.ts';

const mostEntries = 65_535;
const largestDirectoryBytes = 20_000_000;
/** What one entry may become when unpacked; a kept sheet is the largest thing of ours. */
const largestEntryBytes = 64_000_000;
/** What all entries together may become. */
const largestTotalBytes = 8_000_000_000;
/** JSON of ours shrinks to about a twentieth; a bomb to a thousandth and less. */
const largestRatio = 200;
/** Below this size a high ratio does no harm: empty tables compress well. */
const harmlessBytes = 1_000_000;

const neverUnpacked = 'tables/';

const endSignature = 0x06054b50;
const entrySignature = 0x02014b50;
const localSignature = 0x04034b50;

export function badArchive(what: string): InputError {
  return new InputError({
    code: 'inconsistent',
    field: 'archive',
    value: null,
    allowed: 'an archive as Portsight exports it',
    message: `This archive can't be imported: ${what}. Nothing was changed; export it again and check the transfer.`,
  });
}

interface Entry {
  readonly name: string;
  readonly method: number;
  readonly crc: number;
  readonly packedBytes: number;
  readonly bytes: number;
  readonly offset: number;
}

export interface ZipReader {
  readonly names: readonly string[];
  /** Unpacks one entry within its limits. @throws InputError `inconsistent` */
  read(name: string): Buffer;
  close(): void;
}

/**
 * Opens a zip file by its directory. All sizes are checked before anything is unpacked, and unpacking stops at the size
 * that the directory states. Nothing is ever written to a path that an archive names.
 * @param isAllowed which names may stand in it
 */
export function openZip(path: string, isAllowed: (name: string) => boolean): ZipReader {
  const file = openSync(path, 'r');
  try {
    const entries = readDirectory(file, isAllowed);
    return {
      names: [...entries.keys()],
      read(name) {
        const entry = entries.get(name);
        if (entry === undefined || name.startsWith(neverUnpacked)) throw badArchive(`the file ${name} is missing`);
        return unpack(file, entry);
      },
      close: () => closeSync(file),
    };
  } catch (error) {
    closeSync(file);
    throw error;
  }
}

function readDirectory(file: number, isAllowed: (name: string) => boolean): Map<string, Entry> {
  const size = fstatSync(file).size;
  const tail = readAt(file, Math.max(0, size - 65_557), Math.min(size, 65_557));
  let at = tail.length - 22;
  while (at >= 0 && tail.readUInt32LE(at) !== endSignature) at -= 1;
  if (at < 0) throw badArchive('it is no zip file, or its end is missing');
  const count = tail.readUInt16LE(at + 10);
  const directoryBytes = tail.readUInt32LE(at + 12);
  const directoryOffset = tail.readUInt32LE(at + 16);
  if (count > mostEntries || directoryBytes > largestDirectoryBytes || directoryOffset + directoryBytes > size) {
    throw badArchive('its directory is not plausible');
  }
  const directory = readAt(file, directoryOffset, directoryBytes);
  const entries = new Map<string, Entry>();
  let total = 0;
  let position = 0;
  for (let index = 0; index < count; index += 1) {
    if (position + 46 > directory.length || directory.readUInt32LE(position) !== entrySignature) {
      throw badArchive('its directory is damaged');
    }
    const flags = directory.readUInt16LE(position + 8);
    const nameBytes = directory.readUInt16LE(position + 28);
    const entry: Entry = {
      name: directory.toString('utf8', position + 46, position + 46 + nameBytes),
      method: directory.readUInt16LE(position + 10),
      crc: directory.readUInt32LE(position + 16),
      packedBytes: directory.readUInt32LE(position + 20),
      bytes: directory.readUInt32LE(position + 24),
      offset: directory.readUInt32LE(position + 42),
    };
    position += 46 + nameBytes + directory.readUInt16LE(position + 30) + directory.readUInt16LE(position + 32);
    if (!isAllowed(entry.name)) throw badArchive(`it holds a file that doesn't belong there (${shown(entry.name)})`);
    if (entries.has(entry.name)) throw badArchive(`it holds ${entry.name} twice`);
    if ((flags & 1) !== 0) throw badArchive('it is encrypted');
    if (entry.method !== 0 && entry.method !== 8) throw badArchive('it is packed in a way that is not known here');
    entries.set(entry.name, entry);
    // Tables are there for people and their spreadsheets; they are never unpacked here, however large they are.
    if (entry.name.startsWith(neverUnpacked)) continue;
    total += entry.bytes;
    const isBomb = entry.bytes > harmlessBytes && entry.bytes > entry.packedBytes * largestRatio;
    if (entry.bytes > largestEntryBytes || total > largestTotalBytes || isBomb) {
      throw badArchive(`unpacked it would be too large (${shown(entry.name)})`);
    }
  }
  return entries;
}

function unpack(file: number, entry: Entry): Buffer {
  const header = readAt(file, entry.offset, 30);
  if (header.readUInt32LE(0) !== localSignature) throw badArchive(`${entry.name} is damaged`);
  const start = entry.offset + 30 + header.readUInt16LE(26) + header.readUInt16LE(28);
  const packed = readAt(file, start, entry.packedBytes);
  let bytes: Buffer;
  try {
    bytes = entry.method === 0 ? packed : inflateRawSync(packed, { maxOutputLength: Math.max(1, entry.bytes) });
  } catch {
    throw badArchive(`${entry.name} is damaged`);
  }
  if (bytes.length !== entry.bytes || crc32(bytes) !== entry.crc) throw badArchive(`${entry.name} is damaged`);
  return bytes;
}

function readAt(file: number, offset: number, length: number): Buffer {
  const size = fstatSync(file).size;
  if (offset < 0 || length < 0 || offset + length > size) throw badArchive('it ends too early');
  const buffer = Buffer.alloc(length);
  let done = 0;
  while (done < length) {
    const count = readSync(file, buffer, done, length - done, offset + done);
    if (count === 0) throw badArchive('it ends too early');
    done += count;
  }
  return buffer;
}

function shown(name: string): string {
  return name.replaceAll(/[^\x20-\x7e]/g, '?').slice(0, 80);
}
