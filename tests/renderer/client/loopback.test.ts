import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { loopbackTransport } from '../../../renderer/client/loopback.ts';
import { takeToken } from '../../../renderer/client/token.ts';

/** A WebSocket that does what the test says. */
class FakeSocket extends EventTarget {
  readonly sent: { call: string; name: string; input: unknown }[] = [];
  readonly address: string;
  readonly protocols: string[];
  constructor(address: string, protocols: string[]) {
    super();
    this.address = address;
    this.protocols = protocols;
  }
  send(text: string): void {
    this.sent.push(JSON.parse(text));
  }
  say(message: unknown): void {
    this.dispatchEvent(new MessageEvent('message', { data: JSON.stringify(message) }));
  }
  break(): void {
    this.dispatchEvent(new Event('close'));
  }
}

function start() {
  const sockets: FakeSocket[] = [];
  const states: boolean[] = [];
  const transport = loopbackTransport({
    address: 'ws://127.0.0.1:1/',
    token: 'secret',
    onConnection: (isConnected) => states.push(isConnected),
    open: (address, protocols) => {
      const made = new FakeSocket(address, protocols);
      sockets.push(made);
      return made as unknown as WebSocket;
    },
  });
  const socket = (index: number): FakeSocket => {
    const found = sockets[index];
    if (found === undefined) throw new Error(`socket ${index} was never opened`);
    return found;
  };
  return { transport, socket, sockets, states };
}

beforeEach(() => vi.useFakeTimers());
afterEach(() => vi.useRealTimers());

describe('the way to the loopback host', () => {
  it('shows the token as a subprotocol and waits for the welcome before it sends', async () => {
    const { transport, socket } = start();
    const call = transport.call('app.info', {});
    expect(socket(0).protocols).toEqual(['portsight', 't.secret']);
    expect(socket(0).sent).toEqual([]);
    socket(0).say({ run: 'a' });
    expect(socket(0).sent).toMatchObject([{ name: 'app.info', input: {} }]);
    socket(0).say({ call: socket(0).sent[0]?.call, envelope: { ok: true, value: 1 } });
    expect(await call).toEqual({ ok: true, value: 1 });
  });

  it('sends an unanswered call again under the same name after the connection broke', async () => {
    const { transport, socket, states } = start();
    socket(0).say({ run: 'a' });
    const call = transport.call('build.create', { title: 'x' });
    socket(0).break();
    await vi.advanceTimersByTimeAsync(300);
    socket(1).say({ run: 'a' });
    expect(socket(1).sent).toEqual(socket(0).sent);
    socket(1).say({ call: socket(1).sent[0]?.call, envelope: { ok: true, value: 2 } });
    expect(await call).toEqual({ ok: true, value: 2 });
    expect(states).toEqual([true, false, true]);
  });

  it('after a restart of the host repeats what is safe to repeat and says of the rest that it is not known', async () => {
    const { transport, socket } = start();
    socket(0).say({ run: 'a' });
    const stamp = transport.call('reading.add', { reading: 1 });
    const build = transport.call('build.create', { title: 'x' });
    const refused = expect(build).rejects.toMatchObject({ code: 'connection_lost' });
    socket(0).break();
    await vi.advanceTimersByTimeAsync(300);
    socket(1).say({ run: 'b' });
    await refused;
    expect(socket(1).sent.map(({ name }) => name)).toEqual(['reading.add']);
    socket(1).say({ call: socket(1).sent[0]?.call, envelope: { ok: true, value: 3 } });
    expect(await stamp).toEqual({ ok: true, value: 3 });
  });

  it('says that the program has stopped when no host comes back', async () => {
    const { transport, socket, sockets } = start();
    socket(0).say({ run: 'a' });
    const call = transport.call('reading.add', {});
    const refused = expect(call).rejects.toMatchObject({
      code: 'host_gone',
      message: expect.stringMatching(/kept.*start Portsight again/) as string,
    });
    let at = 0;
    for (let seconds = 0; seconds < 40; seconds += 1) {
      while (at < sockets.length) socket(at++).break();
      await vi.advanceTimersByTimeAsync(1000);
    }
    await refused;
    expect(sockets.length).toBeGreaterThan(5);
  });

  it('passes announcements on until the listener is taken off', () => {
    const { transport, socket } = start();
    const heard: unknown[] = [];
    const stop = transport.listen((announcement) => heard.push(announcement));
    socket(0).say({ run: 'a' });
    socket(0).say({ announcement: { topic: 'book_changed' } });
    stop();
    socket(0).say({ announcement: { topic: 'book_changed' } });
    expect(heard).toEqual([{ topic: 'book_changed' }]);
  });
});

describe('the token', () => {
  function storage(initial: Record<string, string> = {}) {
    const kept = new Map(Object.entries(initial));
    return {
      kept,
      getItem: (key: string) => kept.get(key) ?? null,
      setItem: (key: string, value: string) => void kept.set(key, value),
    };
  }

  it('is taken out of the address bar at once and found again after a reload', () => {
    const kept = storage();
    const replaced: unknown[][] = [];
    const history = { replaceState: (...args: unknown[]) => void replaced.push(args) };
    expect(takeToken({ hash: '#token=abc-_1', pathname: '/', search: '?x=1' }, history, kept)).toBe('abc-_1');
    expect(replaced).toEqual([[null, '', '/?x=1']]);
    expect(takeToken({ hash: '#/mock-up/1', pathname: '/', search: '' }, history, kept)).toBe('abc-_1');
    expect(replaced).toHaveLength(1);
  });

  it('of a newer start replaces the older one', () => {
    const kept = storage({ 'portsight.token': 'old' });
    expect(takeToken({ hash: '#token=new', pathname: '/', search: '' }, { replaceState: () => {} }, kept)).toBe('new');
    expect(takeToken({ hash: '', pathname: '/', search: '' }, { replaceState: () => {} }, kept)).toBe('new');
  });
});
