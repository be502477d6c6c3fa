import { Readable } from 'node:stream';
import { type Protocol, protocol } from 'electron';
import { plain, type StaticResponse, staticFile } from '../host/static-file.ts';
import { isOwnAddress, pageScheme } from './addresses.ts';

/** Must run before Electron is ready. */
export function announceScheme(): void {
  protocol.registerSchemesAsPrivileged([
    { scheme: pageScheme, privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true } },
  ]);
}

/** Serves the built page under our own scheme with the very same answers as the loopback host. */
export function servePage(target: Protocol, pageFolder: string): void {
  target.handle(pageScheme, async (request) => {
    if (!isOwnAddress(request.url)) return toResponse(plain(404, 'There is no such file.'));
    return toResponse(
      await staticFile(pageFolder, {
        method: request.method,
        pathname: new URL(request.url).pathname,
        range: request.headers.get('range') ?? undefined,
      }),
    );
  });
}

function toResponse({ status, headers, body }: StaticResponse): Response {
  const stream =
    body === null || typeof body === 'string' ? body : (Readable.toWeb(body) as ReadableStream<Uint8Array>);
  return new Response(stream, { status, headers });
}
