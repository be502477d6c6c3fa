import { CallFailure, type Transport } from '../../core/contract/client.ts';
import { largestMessageBytes } from '../../core/contract/socket.ts';

export interface LoopbackOptions {
  /** Address of the host's WebSocket. */
  readonly address: string;
  readonly token: string;
  /** Told when the way to the host breaks and when it is there again. */
  onConnection?(isConnected: boolean): void;
  /** Stand-in for tests. */
  readonly open?: (address: string, protocols: string[]) => WebSocket;
}

interface Waiting {
  readonly name: string;
  readonly text: string;
  wasSent: boolean;
  resolve(value: unknown): void;
  reject(error: unknown): void;
}

/** Messages that may be sent again to a host that never saw the first: they only read, or carry their own id. */
const repeatable =
  /^(app\.info|picture\.get|reading\.add|setup\.(create|update|readerState)|preferences\.(get|set)|.+\.(list|get|whole))$/;
const firstRetryMs = 200;
const longestRetryMs = 3000;
/** After so long without a host the waiting calls are answered with a failure. */
const giveUpMs = 30_000;

/**
 * The way to the loopback host: one WebSocket that is opened again when it breaks. A call that had no answer is sent
 * again under the same call id, which the host answers from memory, so nothing is done twice.
 */
export function loopbackTransport(options: LoopbackOptions): Transport {
  const open = options.open ?? ((address, protocols) => new WebSocket(address, protocols));
  const waiting = new Map<string, Waiting>();
  const listeners = new Set<(announcement: unknown) => void>();
  let socket: WebSocket | null = null;
  let isReady = false;
  let hostRun: string | null = null;
  let retryMs = firstRetryMs;
  let lostSince: number | null = null;

  function connect(): void {
    const made = open(options.address, ['portsight', `t.${options.token}`]);
    socket = made;
    made.addEventListener('message', (event) => receive(String(event.data)));
    made.addEventListener('close', () => {
      if (socket !== made) return;
      socket = null;
      if (isReady) options.onConnection?.(false);
      isReady = false;
      lostSince ??= Date.now();
      if (Date.now() - lostSince > giveUpMs) {
        failWaiting(
          () => true,
          'host_gone',
          'The program behind this page has stopped. Everything stamped before is kept: start Portsight again.',
        );
      }
      setTimeout(connect, retryMs);
      retryMs = Math.min(retryMs * 2, longestRetryMs);
    });
  }

  function receive(text: string): void {
    const message = JSON.parse(text) as { run?: string; call?: string; envelope?: unknown; announcement?: unknown };
    if (message.run !== undefined) welcome(message.run);
    else if (message.announcement !== undefined) for (const listener of listeners) listener(message.announcement);
    else if (typeof message.call === 'string') {
      waiting.get(message.call)?.resolve(message.envelope);
      waiting.delete(message.call);
    }
  }

  function welcome(run: string): void {
    const isOtherRun = hostRun !== null && hostRun !== run;
    hostRun = run;
    isReady = true;
    retryMs = firstRetryMs;
    lostSince = null;
    if (isOtherRun) {
      failWaiting(
        (call) => call.wasSent && !repeatable.test(call.name),
        'connection_lost',
        'The connection to the program broke, and it is not known whether this step was stored. Look at the list before doing it again.',
      );
    }
    for (const [, call] of waiting) transmit(call);
    options.onConnection?.(true);
  }

  function transmit(call: Waiting): void {
    call.wasSent = true;
    socket?.send(call.text);
  }

  function failWaiting(which: (call: Waiting) => boolean, code: string, message: string): void {
    for (const [id, call] of waiting) {
      if (!which(call)) continue;
      waiting.delete(id);
      call.reject(new CallFailure({ code, message }));
    }
  }

  connect();
  return {
    call(name, input) {
      const id = crypto.randomUUID();
      const text = JSON.stringify({ call: id, name, input });
      // Characters are at least one byte each, and what is large here is base64, which is exactly one.
      if (text.length > largestMessageBytes) {
        return Promise.reject(
          new CallFailure({
            code: 'too_large',
            message: 'This is too large to be stored in one piece: take a smaller picture.',
          }),
        );
      }
      return new Promise((resolve, reject) => {
        const call: Waiting = { name, text, wasSent: false, resolve, reject };
        waiting.set(id, call);
        if (isReady) transmit(call);
      });
    },
    listen(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
  };
}
