import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import { pipeline } from 'node:stream/promises';
import type { Dispatch } from '../../core/contract/dispatch.ts';
import type { Announcement } from '../../core/contract/messages.ts';
import { isOwnHost, makeToken } from './guards.ts';
import { createSocketDoor } from './sockets.ts';
import { plain, type StaticResponse, staticFile } from './static-file.ts';

/** Camera permission and device ids hang on the origin, port included: so the port stays the same where it can. */
export const preferredPort = 47831;

/** Serves the page from its sources while the program is being written. */
export interface DevelopmentServer {
  middleware(request: IncomingMessage, response: ServerResponse): void;
  /** Connections of the development server itself; true where it takes this one. */
  ownsUpgrade(request: IncomingMessage): boolean;
  close(): Promise<void>;
}

export interface LoopbackOptions {
  readonly dispatch: Dispatch;
  /** Folder of the built page. */
  readonly pageFolder: string;
  readonly port?: number;
  readonly development?: (server: Server) => Promise<DevelopmentServer>;
  log(sentence: string): void;
}

export interface LoopbackHost {
  /** Address with the token in its fragment, which browsers never send anywhere. */
  readonly url: string;
  readonly port: number;
  /** Set where the preferred port was taken. */
  readonly portNotice: string | null;
  announce(announcement: Announcement): void;
  close(): Promise<void>;
}

/** Starts serving page and messages on 127.0.0.1 alone. */
export async function startLoopbackHost(options: LoopbackOptions): Promise<LoopbackHost> {
  const wanted = options.port ?? preferredPort;
  const token = makeToken();
  let port = wanted;
  let development: DevelopmentServer | null = null;
  const door = createSocketDoor({
    dispatch: options.dispatch,
    port: () => port,
    token,
    run: makeToken().slice(0, 12),
    log: options.log,
  });
  const server = createServer((request, response) => {
    if (!isOwnHost(request.headers.host, port)) {
      options.log('refused a request: wrong host');
      void send(response, plain(403, 'This address is not served here.'));
      return;
    }
    if (development !== null) development.middleware(request, response);
    else void serve(request, response, options.pageFolder, [`ws://127.0.0.1:${port}`]);
  });
  server.on('upgrade', (request, socket, head) => {
    if (development?.ownsUpgrade(request) === true && isOwnHost(request.headers.host, port)) return;
    door.handleUpgrade(request, socket, head);
  });
  let portNotice: string | null = null;
  try {
    await listen(server, wanted);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE' || wanted === 0) throw error;
    await listen(server, 0);
    portNotice = `Port ${wanted} is taken by another program, so Portsight uses another one this time. The browser may ask for the camera again and list it as new.`;
  }
  const address = server.address();
  port = typeof address === 'object' && address !== null ? address.port : wanted;
  development = (await options.development?.(server)) ?? null;
  return {
    url: `http://127.0.0.1:${port}/#token=${token}`,
    port,
    portNotice,
    announce: door.announce,
    async close() {
      door.close();
      await development?.close();
      await new Promise<void>((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      });
    },
  };
}

function listen(server: Server, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, '127.0.0.1', () => {
      server.off('error', reject);
      resolve();
    });
  });
}

async function serve(
  request: IncomingMessage,
  response: ServerResponse,
  root: string,
  connect: readonly string[],
): Promise<void> {
  let pathname: string;
  try {
    const address = new URL(request.url ?? '/', 'http://127.0.0.1');
    // `//name/path` names another host: it is ours to refuse, not to serve.
    if (address.host !== '127.0.0.1') throw new TypeError('not this host');
    pathname = address.pathname;
  } catch {
    await send(response, plain(400, 'This address is not written as it should be.'));
    return;
  }
  await send(
    response,
    await staticFile(root, { method: request.method ?? 'GET', pathname, range: request.headers.range }, connect),
  );
}

async function send(response: ServerResponse, answer: StaticResponse): Promise<void> {
  response.writeHead(answer.status, answer.headers);
  if (answer.body === null || typeof answer.body === 'string') {
    response.end(answer.body ?? undefined);
    return;
  }
  try {
    await pipeline(answer.body, response);
  } catch {
    // The reader went away in the middle, as a video element does when it seeks.
    response.destroy();
  }
}
