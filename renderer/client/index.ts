import { type Client, createClient } from '../../core/contract/client.ts';
import { bridgeTransport } from './bridge.ts';
import { connection } from './connection.ts';
import { loopbackTransport } from './loopback.ts';
import { takeToken } from './token.ts';

function chooseTransport() {
  const bridge = bridgeTransport();
  if (bridge !== null) return bridge;
  return loopbackTransport({
    address: `ws://${window.location.host}/`,
    token: takeToken(window.location, window.history, window.sessionStorage),
    onConnection: connection.set,
  });
}

/** The host, chosen once at start; nobody else knows whether it is Electron or the loopback host. */
export const client: Client = createClient(chooseTransport());
