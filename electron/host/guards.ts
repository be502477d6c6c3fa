import { randomBytes, timingSafeEqual } from 'node:crypto';

/** Subprotocol that the host answers with; the token travels beside it and is never sent back. */
export const socketProtocol = 'portsight';
const tokenPrefix = 't.';

/** Secret that only the page opened by this start knows. */
export function makeToken(): string {
  return randomBytes(32).toString('base64url');
}

export interface HandshakeHeaders {
  readonly host?: string | undefined;
  readonly origin?: string | undefined;
  readonly protocols?: string | undefined;
}

/** Name of a local address, so that a foreign name that resolves to 127.0.0.1 is not taken for ours. */
export function isOwnHost(host: string | undefined, port: number): boolean {
  return host === `127.0.0.1:${port}`;
}

/** @returns why the connection is refused, or null where it may come in */
export function refuseHandshake(headers: HandshakeHeaders, port: number, token: string): string | null {
  if (!isOwnHost(headers.host, port)) return 'wrong host';
  if (headers.origin !== `http://127.0.0.1:${port}`) return 'wrong origin';
  const offered = (headers.protocols ?? '').split(',').map((protocol) => protocol.trim());
  if (!offered.includes(socketProtocol)) return 'wrong protocol';
  const given = offered.find((protocol) => protocol.startsWith(tokenPrefix))?.slice(tokenPrefix.length) ?? '';
  return sameSecret(given, token) ? null : 'wrong token';
}

function sameSecret(given: string, token: string): boolean {
  const first = Buffer.from(given);
  const second = Buffer.from(token);
  return first.length === second.length && timingSafeEqual(first, second);
}
