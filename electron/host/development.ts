import type { Server } from 'node:http';
import { fileURLToPath } from 'node:url';
import { createServer } from 'vite';
import type { DevelopmentServer } from './server.ts';

/** The page straight from its sources, with hot reload; never part of the built program. */
export async function developmentServer(server: Server): Promise<DevelopmentServer> {
  const vite = await createServer({
    configFile: fileURLToPath(new URL('../../vite.config.ts', import.meta.url)),
    server: { middlewareMode: true, hmr: { server } },
    appType: 'spa',
  });
  return {
    middleware: (request, response) => vite.middlewares(request, response),
    ownsUpgrade: (request) => (request.headers['sec-websocket-protocol'] ?? '').startsWith('vite-'),
    close: () => vite.close(),
  };
}
