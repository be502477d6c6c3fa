import type { Transport } from '../../core/contract/client.ts';

declare global {
  interface Window {
    /** Put there by Electron's preload; absent in a browser. */
    readonly portsight?: Transport;
  }
}

/** The way to the host inside Electron, or null in a browser. */
export function bridgeTransport(): Transport | null {
  return window.portsight ?? null;
}
