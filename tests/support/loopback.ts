import { type ChildProcess, spawn } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import WebSocket from 'ws';
import { type Client, createClient } from '../../core/contract/client.ts';
import { temporaryFolder } from './temporary-folder.ts';

const root = join(import.meta.dirname, '..', '..');

/** A folder that stands in for the built page. */
export function pageFolder(): string {
  const folder = join(temporaryFolder(), 'page');
  mkdirSync(join(folder, 'assets'), { recursive: true });
  writeFileSync(join(folder, 'index.html'), '<!doctype html><title>page</title>');
  writeFileSync(join(folder, 'assets', 'index-abc.js'), 'export {};');
  writeFileSync(join(folder, 'assets', 'wheel-worker-abc.js'), 'export {};');
  writeFileSync(join(folder, 'assets', 'camera.webm'), Buffer.from(Array.from({ length: 256 }, (_, index) => index)));
  writeFileSync(join(folder, '..', 'secret.txt'), 'not for the page');
  return folder;
}

export interface HostProcess {
  readonly child: ChildProcess;
  readonly url: string;
  /** Ends the process at once, without any warning, and waits until it is gone. */
  kill(signal?: NodeJS.Signals): Promise<void>;
}

export interface HostProcessOptions {
  /** Account under which it runs; only root may choose one. */
  readonly uid?: number | undefined;
  readonly environment?: Readonly<Record<string, string>>;
}

/** Starts the real host as a process of its own. */
export async function startHostProcess(
  dataFolder: string,
  page: string,
  args: string[] = [],
  { uid, environment = {} }: HostProcessOptions = {},
): Promise<HostProcess> {
  const child = spawn(
    process.execPath,
    [join(root, 'electron', 'host', 'index.ts'), '--json', '--port', '0', '--page', page, ...args],
    {
      env: { ...process.env, PORTSIGHT_DATA: dataFolder, ...environment },
      stdio: ['ignore', 'pipe', 'pipe'],
      ...(uid === undefined ? {} : { uid, gid: uid }),
    },
  );
  let complaint = '';
  child.stderr.on('data', (chunk: Buffer) => {
    complaint += String(chunk);
  });
  const ended = new Promise<void>((resolve) => child.once('close', () => resolve()));
  const line = await new Promise<string>((resolve, reject) => {
    createInterface({ input: child.stdout }).once('line', resolve);
    void ended.then(() => reject(new Error(`the host ended: ${complaint}`)));
  });
  return {
    child,
    url: (JSON.parse(line) as { url: string }).url,
    async kill(signal = 'SIGKILL') {
      child.kill(signal);
      await ended;
    },
  };
}

export interface SocketClient {
  readonly socket: WebSocket;
  readonly client: Client;
  /** Everything that came, as it came. */
  readonly received: string[];
  send(text: string): void;
  /** The first message that fits, of those that came and those to come. */
  next(fits: (message: Record<string, unknown>) => boolean): Promise<Record<string, unknown>>;
  close(): void;
}

interface Waiting {
  fits(message: Record<string, unknown>): boolean;
  resolve(message: Record<string, unknown>): void;
  reject(error: Error): void;
}

export interface SocketOptions {
  readonly origin?: string;
  readonly host?: string;
  readonly token?: string;
  readonly protocols?: string[];
}

/** Opens the host's WebSocket as the page does, or as a stranger would. */
export async function openSocket(url: string, options: SocketOptions = {}): Promise<SocketClient> {
  const address = new URL(url);
  const token = options.token ?? new URLSearchParams(address.hash.slice(1)).get('token') ?? '';
  const socket = new WebSocket(`ws://${address.host}/`, options.protocols ?? ['portsight', `t.${token}`], {
    origin: options.origin ?? address.origin,
    ...(options.host === undefined ? {} : { headers: { Host: options.host } }),
  });
  const received: string[] = [];
  const waiting = new Set<Waiting>();
  socket.on('message', (data) => {
    const text = String(data);
    received.push(text);
    const message = JSON.parse(text) as Record<string, unknown>;
    for (const one of waiting) {
      if (!one.fits(message)) continue;
      waiting.delete(one);
      one.resolve(message);
    }
  });
  socket.on('close', () => {
    for (const one of waiting) one.reject(new Error('the connection closed'));
    waiting.clear();
  });
  await new Promise<void>((resolve, reject) => {
    socket.once('open', () => resolve());
    socket.once('error', reject);
  });
  /** The first of the messages still to come that fits. */
  function coming(fits: Waiting['fits']): Promise<Record<string, unknown>> {
    return new Promise((resolve, reject) => {
      if (socket.readyState >= WebSocket.CLOSING) reject(new Error('the connection closed'));
      else waiting.add({ fits, resolve, reject });
    });
  }
  async function next(fits: Waiting['fits']): Promise<Record<string, unknown>> {
    for (const text of received) {
      const message = JSON.parse(text) as Record<string, unknown>;
      if (fits(message)) return message;
    }
    return coming(fits);
  }
  let count = 0;
  const client = createClient({
    async call(name, input) {
      count += 1;
      const call = `test-call-${count}`;
      const answer = coming((message) => message['call'] === call);
      socket.send(JSON.stringify({ call, name, input }));
      return (await answer)['envelope'];
    },
    listen: () => () => {},
  });
  return { socket, client, received, next, send: (text) => socket.send(text), close: () => socket.terminate() };
}
