import type { Client } from '../../core/contract/client.ts';
import { fromBase64, toBase64 } from './bytes-text.ts';
import type { TaskReport } from './task.ts';

/** Bytes sent at once; as base64 it stays well under what one message may carry. */
const pieceBytes = 3_000_000;

interface Exported {
  readonly exportId: string;
  readonly fileName: string;
  readonly sizeBytes: number;
}

/** Fetches a file that the host made and hands it to the browser's downloads. @throws where the work is stopped */
export async function downloadExport(client: Client, exported: Exported, { signal, say }: TaskReport): Promise<void> {
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  let offset = 0;
  for (let isLast = false; !isLast; ) {
    signal.throwIfAborted();
    say(
      `Fetching ${exported.fileName}: ${shownSize(offset)} of ${shownSize(exported.sizeBytes)}`,
      partOf(offset, exported.sizeBytes),
      true,
    );
    const piece = await client.call('download.read', { exportId: exported.exportId, offset });
    const bytes = fromBase64(piece.bytes);
    pieces.push(bytes);
    offset += bytes.length;
    isLast = piece.isLast;
  }
  saveFile(exported.fileName, new Blob(pieces));
}

/** Sends a chosen file to the host. @returns the id under which it lies there @throws where the work is stopped */
export async function uploadFile(client: Client, file: Blob, { signal, say }: TaskReport): Promise<string> {
  if (file.size === 0) throw new Error('The file is empty: choose another one.');
  const { uploadId } = await client.call('upload.begin', { sizeBytes: file.size });
  try {
    for (let offset = 0; offset < file.size; offset += pieceBytes) {
      signal.throwIfAborted();
      say(`Reading the file: ${shownSize(offset)} of ${shownSize(file.size)}`, partOf(offset, file.size), true);
      const piece = new Uint8Array(await file.slice(offset, offset + pieceBytes).arrayBuffer());
      await client.call('upload.append', { uploadId, offset, bytes: toBase64(piece) });
    }
    return uploadId;
  } catch (error) {
    await client.call('upload.drop', { uploadId }).catch(() => {});
    throw error;
  }
}

/** Hands a file to the browser's downloads. */
export function saveFile(fileName: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement('a');
  link.href = address;
  link.download = fileName;
  link.click();
  // The download reads the address after the click returned.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** A size in words: `0.4 MB`, `12 kB`. */
export function shownSize(bytes: number): string {
  if (bytes < 1000) return `${bytes} bytes`;
  if (bytes < 1_000_000) return `${Math.round(bytes / 1000)} kB`;
  return `${(bytes / 1_000_000).toFixed(1)} MB`;
}

function partOf(done: number, all: number): number | null {
  return all === 0 ? null : done / all;
}
