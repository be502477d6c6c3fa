import { type Client, createClient, type Transport } from '../../core/contract/client.ts';
import { bridgeTransport } from './bridge.ts';
import { connection } from './connection.ts';
import { loopbackTransport } from './loopback.ts';
import { takeToken } from './token.ts';

let chosen: Client | null = null;

/** The host, chosen once at start; nobody else knows whether it is Electron or the loopback host. */
export function connect(): Client {
  chosen ??= createClient(chooseTransport());
  return chosen;
}

function chooseTransport(): Transport {
  const bridge = bridgeTransport();
  if (bridge !== null) return bridge;
  return loopbackTransport({
    address: `ws://${window.location.host}/`,
    token: takeToken(window.location, window.history, window.sessionStorage),
    onConnection: connection.set,
  });
}
