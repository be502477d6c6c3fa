/** Bytes as base64 text; the kept state of a set-up has megabytes, so the browser's own way goes first; older ones lack it. */
export function toBase64(bytes: Uint8Array): string {
  return typeof bytes.toBase64 === 'function' ? bytes.toBase64() : toBase64InPieces(bytes);
}

export function fromBase64(text: string): Uint8Array<ArrayBuffer> {
  return typeof Uint8Array.fromBase64 === 'function' ? Uint8Array.fromBase64(text) : fromBase64ByCharacter(text);
}

/** In pieces, since a call can't take millions of arguments. */
export function toBase64InPieces(bytes: Uint8Array): string {
  let text = '';
  for (let at = 0; at < bytes.length; at += pieceLength) {
    text += String.fromCharCode(...bytes.subarray(at, at + pieceLength));
  }
  return btoa(text);
}

export function fromBase64ByCharacter(text: string): Uint8Array<ArrayBuffer> {
  const raw = atob(text);
  const bytes = new Uint8Array(raw.length);
  for (let at = 0; at < raw.length; at += 1) bytes[at] = raw.charCodeAt(at);
  return bytes;
}

export async function blobToBase64(blob: Blob): Promise<string> {
  return toBase64(new Uint8Array(await blob.arrayBuffer()));
}

const pieceLength = 0x8000;
