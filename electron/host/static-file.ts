import { createReadStream, type ReadStream } from 'node:fs';
import { realpath, stat } from 'node:fs/promises';
import { extname, join, sep } from 'node:path';
import { type Recipient, securityHeaders } from './policy.ts';

export interface StaticRequest {
  readonly method: string;
  /** Path of the parsed address, still percent-encoded. */
  readonly pathname: string;
  /** The `Range` header, if there was one. */
  readonly range?: string | undefined;
}

export interface StaticResponse {
  readonly status: number;
  readonly headers: Record<string, string>;
  readonly body: ReadStream | string | null;
}

const types: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.json': 'application/json; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.jpg': 'image/jpeg',
  '.jpeg': 'image/jpeg',
  '.webp': 'image/webp',
  '.ico': 'image/x-icon',
  '.woff2': 'font/woff2',
  '.wasm': 'application/wasm',
  '.webm': 'video/webm',
  '.mp4': 'video/mp4',
  '.mjpeg': 'video/x-motion-jpeg',
  '.bin': 'application/octet-stream',
  '.txt': 'text/plain; charset=utf-8',
  '.md': 'text/plain; charset=utf-8',
  '.map': 'application/json; charset=utf-8',
};

/** Name that the build gives to the wheel worker's script; see `worker` in vite.config.ts. */
const wheelWorkerScript = /^\/assets\/wheel-worker-[\w-]+\.js$/;

/**
 * Answers for one file below a folder: the same for the loopback host and for Electron's own scheme.
 * Nothing outside the folder is ever read, links included; only GET and HEAD are answered.
 * @param root folder of the built page
 * @param connect further addresses that the page may connect to
 */
export async function staticFile(
  root: string,
  request: StaticRequest,
  connect: readonly string[] = [],
): Promise<StaticResponse> {
  if (request.method !== 'GET' && request.method !== 'HEAD') return plain(405, 'Only reading is possible here.');
  const path = safePath(request.pathname);
  if (path === null) return plain(400, 'This address is not written as it should be.');
  const file = await findFile(root, path === '/' ? '/index.html' : path);
  const type = types[extname(path === '/' ? 'index.html' : path).toLowerCase()];
  if (file === null || type === undefined) return plain(404, 'There is no such file.');
  const recipient: Recipient = wheelWorkerScript.test(path) ? 'wheel_worker' : 'page';
  const headers: Record<string, string> = {
    ...securityHeaders(recipient, connect),
    'Content-Type': type,
    'Accept-Ranges': 'bytes',
  };
  const part = request.range === undefined ? null : parseRange(request.range, file.size);
  if (part === 'outside') {
    return { status: 416, headers: { ...headers, 'Content-Range': `bytes */${file.size}` }, body: null };
  }
  const { first, last } = part ?? { first: 0, last: file.size - 1 };
  if (part !== null) headers['Content-Range'] = `bytes ${first}-${last}/${file.size}`;
  headers['Content-Length'] = String(last - first + 1);
  const hasBody = request.method === 'GET' && file.size > 0;
  return {
    status: part === null ? 200 : 206,
    headers,
    body: hasBody ? createReadStream(file.path, { start: first, end: last }) : null,
  };
}

export function plain(status: number, text: string): StaticResponse {
  return {
    status,
    headers: { ...securityHeaders('page'), 'Content-Type': 'text/plain; charset=utf-8' },
    body: `${text}\n`,
  };
}

/** @returns the decoded path, or null where it tries to leave the folder or isn't plainly written */
function safePath(pathname: string): string | null {
  let decoded: string;
  try {
    decoded = decodeURIComponent(pathname);
  } catch {
    return null;
  }
  if (!decoded.startsWith('/') || /[\0\\:]/.test(decoded) || decoded.includes('%')) return null;
  return decoded.split('/').some((step) => step === '..' || step === '.') ? null : decoded;
}

async function findFile(root: string, path: string): Promise<{ path: string; size: number } | null> {
  try {
    const realRoot = await realpath(root);
    const real = await realpath(join(realRoot, path));
    if (!real.startsWith(realRoot + sep)) return null;
    const found = await stat(real);
    return found.isFile() ? { path: real, size: found.size } : null;
  } catch {
    return null;
  }
}

/** One byte range, as a video element asks for; several at once or an odd unit are answered with the whole file. */
function parseRange(range: string, size: number): { first: number; last: number } | 'outside' | null {
  const found = /^bytes=(\d{0,15})-(\d{0,15})$/.exec(range.trim());
  if (found === null) return null;
  const [, from = '', to = ''] = found;
  if (from === '' && to === '') return null;
  if (from === '') {
    const count = Math.min(Number(to), size);
    return count === 0 ? 'outside' : { first: size - count, last: size - 1 };
  }
  const first = Number(from);
  const last = to === '' ? size - 1 : Math.min(Number(to), size - 1);
  return first >= size || last < first ? 'outside' : { first, last };
}
