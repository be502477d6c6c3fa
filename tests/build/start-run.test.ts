import { type ChildProcess, spawn } from 'node:child_process';
import { chmodSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { describe, expect, it, onTestFinished } from 'vitest';
import { isBuildCurrent } from '../../build/is-current.ts';
import { openSocket } from '../support/loopback.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const root = join(import.meta.dirname, '..', '..');
const notBuilt = 'the program is not built from these sources: run `npm run build` first';

function start(
  args: string[],
  environment: Record<string, string>,
): { child: ChildProcess; line(fits: RegExp): Promise<string>; ended: Promise<number | null> } {
  const child = spawn(process.execPath, [join(root, 'build', 'start.ts'), '--browser', '--port', '0', ...args], {
    env: { ...process.env, ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const lines: string[] = [];
  const watchers = new Set<() => void>();
  createInterface({ input: child.stdout }).on('line', (text) => {
    lines.push(text);
    for (const watcher of watchers) watcher();
  });
  const ended = new Promise<number | null>((resolve) => child.once('close', resolve));
  onTestFinished(() => {
    child.kill('SIGKILL');
  });
  return {
    child,
    ended,
    line(fits) {
      return new Promise((resolve, reject) => {
        const look = () => {
          const found = lines.find((text) => fits.test(text));
          if (found !== undefined) resolve(found);
        };
        watchers.add(look);
        look();
        void ended.then(() => reject(new Error(`it ended: ${lines.join(' | ')}`)));
      });
    },
  };
}

function addressIn(line: string): string {
  return /http:\S+/.exec(line)?.[0] ?? '';
}

describe('npm start', () => {
  it('with --demo --no-open prints an address that serves page and demo book, and ends when told to', async (ctx) => {
    ctx.skip(!isBuildCurrent(root), notBuilt);
    const data = temporaryFolder();
    const { child, line, ended } = start(['--demo', '--no-open'], { PORTSIGHT_DATA: data });
    const url = addressIn(await line(/^Portsight is open: http/));
    expect(await (await fetch(url)).text()).toContain('<script type="module"');
    const { client, close } = await openSocket(url);
    expect(await client.call('app.info', {})).toMatchObject({ demo: true, shell: 'loopback' });
    const { rows } = await client.call('book.list', {});
    expect(rows.map(({ mockUps }) => mockUps)).toEqual([4]);
    const { mockUps } = await client.call('build.whole', { id: rows[0]?.buildId ?? '' });
    const counts = [];
    for (const { id } of mockUps) counts.push((await client.call('mockUp.whole', { id })).readings.length > 0);
    expect(counts).toEqual([true, true, true, false]);
    close();
    // The user's own book is another one.
    expect(existsSync(join(data, 'book.portsight.sqlite'))).toBe(false);
    child.kill('SIGINT');
    expect(await ended).toBe(0);
  });

  it('opens the browser with its sandbox on and a profile of its own, and ends with it', async (ctx) => {
    ctx.skip(!isBuildCurrent(root), notBuilt);
    ctx.skip(process.platform === 'win32', 'the stand-in for the browser is a shell script');
    const data = temporaryFolder();
    const browser = join(data, 'browser');
    writeFileSync(browser, `#!/bin/sh\nprintf '%s\\n' "$@" > "${join(data, 'asked')}"\nsleep 6\n`);
    chmodSync(browser, 0o755);
    const { line, ended } = start([], {
      PORTSIGHT_DATA: data,
      PORTSIGHT_BROWSER: browser,
      PORTSIGHT_NO_BROWSER_SANDBOX: '',
    });
    const url = addressIn(await line(/^Portsight is open: http/));
    expect(await ended).toBe(0);
    const asked = readFileSync(join(data, 'asked'), 'utf8').split('\n');
    expect(asked).toContain(`--app=${url}`);
    expect(asked).toContain(`--user-data-dir=${join(data, 'browser-profile')}`);
    expect(asked.join()).not.toContain('sandbox');
  });

  it('names the address where no browser is found', async (ctx) => {
    ctx.skip(!isBuildCurrent(root), notBuilt);
    const { child, line, ended } = start([], { PORTSIGHT_DATA: temporaryFolder(), PORTSIGHT_BROWSER: 'none' });
    await line(/^Portsight is open: http/);
    expect(await line(/No Chromium/)).toMatch(/open the address above.*Ctrl\+C/);
    child.kill('SIGINT');
    expect(await ended).toBe(0);
  });
});
