import { symlinkSync } from 'node:fs';
import { createServer, request as httpRequest } from 'node:http';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { largestMessageBytes } from '../../../core/contract/socket.ts';
import { type LoopbackHost, startLoopbackHost } from '../../../electron/host/server.ts';
import { makeMockUp, openTestBook, quantityReading } from '../../support/book.ts';
import { openSocket, pageFolder } from '../../support/loopback.ts';

async function startHost(
  port = 0,
): Promise<{ host: LoopbackHost; page: string; logged: string[]; book: Awaited<ReturnType<typeof openTestBook>> }> {
  const book = await openTestBook();
  const page = pageFolder();
  const logged: string[] = [];
  const host = await startLoopbackHost({
    dispatch: book.dispatch,
    pageFolder: page,
    port,
    log: (line) => logged.push(line),
  });
  onTestFinished(() => host.close());
  return { host, page, logged, book };
}

interface Answer {
  status: number;
  headers: Record<string, string | string[] | undefined>;
  body: Buffer;
}

/** A request whose path and headers are sent exactly as they stand; `fetch` would tidy them up. */
function rawRequest(port: number, path: string, headers: Record<string, string> = {}, method = 'GET'): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const request = httpRequest({ host: '127.0.0.1', port, path, headers, method }, (response) => {
      const chunks: Buffer[] = [];
      response.on('data', (chunk: Buffer) => chunks.push(chunk));
      response.on('end', () =>
        resolve({ status: response.statusCode ?? 0, headers: response.headers, body: Buffer.concat(chunks) }),
      );
    });
    request.on('error', reject);
    request.end();
  });
}

describe('the loopback host', () => {
  it('answers the page that knows the token and announces changes to it', async () => {
    const { host } = await startHost();
    const page = await openSocket(host.url);
    const { mockUp } = await makeMockUp(page.client);
    host.announce({ topic: 'mock_up_changed', id: mockUp.id });
    const heard = await page.next((message) => 'announcement' in message);
    expect(heard).toEqual({ announcement: { topic: 'mock_up_changed', id: mockUp.id } });
    page.close();
  });

  it.each([
    ['a wrong token', { token: 'A'.repeat(43) }],
    ['no token', { protocols: ['portsight'] }],
    ['an empty token', { token: '' }],
    ['a foreign origin', { origin: 'https://example.org' }],
    ['an origin that only begins like ours', { origin: 'http://127.0.0.1.example.org' }],
    ['another port of this computer', { origin: 'http://127.0.0.1:1' }],
    ['a foreign host name, as in DNS rebinding', { host: 'example.org' }],
    ['localhost by name', { host: 'localhost' }],
    ['a foreign protocol', { protocols: ['chat'] }],
  ])('refuses a connection with %s and logs it', async (_what, options) => {
    const { host, logged } = await startHost();
    const given = 'host' in options ? { host: `${options.host}:${host.port}` } : options;
    await expect(openSocket(host.url, given)).rejects.toThrow(/403/);
    expect(logged.join()).toMatch(/refused a connection: wrong (token|origin|host|protocol)/);
  });

  it('never sends the token back', async () => {
    const { host } = await startHost();
    const token = new URL(host.url).hash.replace('#token=', '');
    const page = await openSocket(host.url);
    expect(page.socket.protocol).toBe('portsight');
    await page.client.call('app.info', {});
    expect(page.received.join()).not.toContain(token);
    const served = await rawRequest(host.port, '/');
    expect(served.body.toString()).not.toContain(token);
    page.close();
  });

  it.each(['', 'no json', '[]', '{"call":7,"name":"app.info"}', '{"call":"short"}', '{"name":"app.info","input":{}}'])(
    'answers the malformed message %j with a refusal and goes on',
    async (text) => {
      const { host } = await startHost();
      const page = await openSocket(host.url);
      page.send(text);
      const refused = await page.next((message) => message['call'] === null);
      expect(refused).toMatchObject({ envelope: { ok: false, error: { code: 'bad_message' } } });
      expect((await page.client.call('app.info', {})).shell).toBe('loopback');
      page.close();
    },
  );

  it('closes a connection that sends more than the limit and serves the next one', async () => {
    const { host } = await startHost();
    const page = await openSocket(host.url);
    const closed = new Promise<number>((resolve) => page.socket.once('close', resolve));
    page.send('x'.repeat(largestMessageBytes + 1));
    expect(await closed).toBe(1009);
    const next = await openSocket(host.url);
    expect((await next.client.call('app.info', {})).version).toBe('0.0.0-test');
    next.close();
  });

  it('does a call once, even where the page sends it again over a new connection', async () => {
    const { host, book } = await startHost();
    const first = await openSocket(host.url);
    const call = JSON.stringify({ call: 'one-and-only', name: 'customer.create', input: { name: 'Ada Quill' } });
    first.send(call);
    const answer = await first.next((message) => message['call'] === 'one-and-only');
    first.close();
    const second = await openSocket(host.url);
    second.send(call);
    expect(await second.next((message) => message['call'] === 'one-and-only')).toEqual(answer);
    expect(await book.client.call('customer.list', {})).toHaveLength(1);
    second.close();
  });

  it('takes another port where the preferred one is taken, and says so', async () => {
    const blocker = createServer();
    const taken = await new Promise<number>((resolve) => {
      blocker.listen(0, '127.0.0.1', () => {
        const address = blocker.address();
        resolve(typeof address === 'object' && address !== null ? address.port : 0);
      });
    });
    onTestFinished(() => void blocker.close());
    const { host } = await startHost(taken);
    expect(host.port).not.toBe(taken);
    expect(host.portNotice).toContain(`Port ${taken} is taken`);
    const { host: unhindered } = await startHost();
    expect(unhindered.portNotice).toBeNull();
  });

  it('listens on 127.0.0.1 alone', async () => {
    const { host } = await startHost();
    expect(new URL(host.url).hostname).toBe('127.0.0.1');
    await expect(rawRequest(host.port, '/', { Host: 'example.org' })).resolves.toMatchObject({ status: 403 });
  });
});

describe('files of the page', () => {
  it('come with a policy that starts from nothing and lets the page run its own scripts only', async () => {
    const { host } = await startHost();
    const { headers, status } = await rawRequest(host.port, '/');
    expect(status).toBe(200);
    const policy = String(headers['content-security-policy']);
    expect(policy).toMatch(/^default-src 'none'; script-src 'self';/);
    expect(policy).not.toContain('unsafe-eval');
    expect(policy).toContain(`connect-src 'self' ws://127.0.0.1:${host.port};`);
    expect(headers['access-control-allow-origin']).toBeUndefined();
    expect(headers['x-content-type-options']).toBe('nosniff');
  });

  it("may evaluate code in the wheel worker's own script alone", async () => {
    const { host } = await startHost();
    const worker = await rawRequest(host.port, '/assets/wheel-worker-abc.js');
    expect(String(worker.headers['content-security-policy'])).toContain(
      "script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'",
    );
    for (const path of ['/', '/assets/index-abc.js', '/assets/camera.webm', '/missing.js']) {
      const other = await rawRequest(host.port, path);
      expect(String(other.headers['content-security-policy']), path).not.toContain('unsafe-eval');
    }
  });

  it.each([
    '/../secret.txt',
    '/..%2fsecret.txt',
    '/%2e%2e/secret.txt',
    '/assets/../../secret.txt',
    '/assets/..%5c..%5csecret.txt',
    '/%252e%252e/secret.txt',
    '//secret.txt',
    '/.../secret.txt',
    '/secret.txt%00.js',
    '/C:/secret.txt',
    '/link.txt',
    '/%',
    '/assets',
    '/assets/',
  ])('never come from outside the folder: %s', async (path) => {
    const { host, page } = await startHost();
    symlinkSync(join(page, '..', 'secret.txt'), join(page, 'link.txt'));
    const { status, body } = await rawRequest(host.port, path);
    expect([400, 404]).toContain(status);
    expect(body.toString()).not.toContain('not for the page');
  });

  it.each([
    ['bytes=0-9', 206, 'bytes 0-9/256', 10],
    ['bytes=250-', 206, 'bytes 250-255/256', 6],
    ['bytes=-4', 206, 'bytes 252-255/256', 4],
    ['bytes=100-9999', 206, 'bytes 100-255/256', 156],
    ['bytes=256-', 416, 'bytes */256', 0],
    ['bytes=9-3', 416, 'bytes */256', 0],
    ['bytes=0-1,4-5', 200, undefined, 256],
    ['pages=1-2', 200, undefined, 256],
  ])('answer the range %s with status %i', async (range, status, contentRange, length) => {
    const { host } = await startHost();
    const answer = await rawRequest(host.port, '/assets/camera.webm', { Range: range });
    expect(answer.status).toBe(status);
    expect(answer.headers['content-range']).toBe(contentRange);
    expect(answer.body).toHaveLength(length);
    if (status === 206) expect(answer.body[0]).toBe(Number(/bytes (\d+)/.exec(contentRange ?? '')?.[1]));
    expect(answer.headers['content-type']).toBe('video/webm');
  });

  it('can only be read', async () => {
    const { host } = await startHost();
    for (const method of ['POST', 'PUT', 'DELETE', 'OPTIONS']) {
      expect((await rawRequest(host.port, '/', {}, method)).status, method).toBe(405);
    }
    expect((await rawRequest(host.port, '/', {}, 'HEAD')).body).toHaveLength(0);
  });

  it('are served beside the messages of a page at work', async () => {
    const { host } = await startHost();
    const page = await openSocket(host.url);
    const { mockUp } = await makeMockUp(page.client);
    const [stored, file] = await Promise.all([
      page.client.call('reading.add', { reading: quantityReading(mockUp.id, 0.3) }),
      rawRequest(host.port, '/assets/camera.webm'),
    ]);
    expect(stored.mockUpId).toBe(mockUp.id);
    expect(file.body).toHaveLength(256);
    page.close();
  });
});
