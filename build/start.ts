import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { dataFolder } from '../electron/database/location.ts';
import { findBrowser, sandboxSwitches } from '../electron/host/browser.ts';
import { fetchElectron, findElectron } from './electron-binary.ts';
import { isBuildCurrent } from './is-current.ts';
import { readStartOptions, type StartOptions, startHelp } from './start-options.ts';

/** A browser that ends sooner handed its page to a window that was open already. */
const shortestBrowserRunMs = 5000;

const root = join(import.meta.dirname, '..');
const say = (sentence: string): void => console.log(sentence);

let options: StartOptions;
try {
  options = readStartOptions(process.argv.slice(2), process.env);
} catch (error) {
  console.error(`${error instanceof Error ? error.message : String(error)}\n\n${startHelp}`);
  process.exit(1);
}
if (options.help) {
  console.log(startHelp);
  process.exit(0);
}
await build();
process.exitCode = await start(options);

async function build(): Promise<void> {
  if (isBuildCurrent(root)) return;
  say('Building Portsight, a few seconds.');
  const vite = join(root, 'node_modules', 'vite', 'bin', 'vite.js');
  const child = spawn(process.execPath, [vite, 'build', '--app', '--logLevel', 'warn'], {
    cwd: root,
    stdio: 'inherit',
  });
  const [code] = (await once(child, 'close')) as [number | null];
  if (code !== 0) {
    console.error('The build failed; what is wrong stands above.');
    process.exit(1);
  }
}

async function start({ browser, open, ...rest }: StartOptions): Promise<number> {
  if (!browser && open) {
    let reason: string | null = null;
    if (findElectron(root) === null) reason = await fetchElectron(root, say);
    const electron = findElectron(root);
    if (electron !== null) return runElectron(electron, rest.demo);
    say(
      `Electron can't be had here (${reason ?? 'its binary is missing'}), so Portsight opens in the system's browser instead.`,
    );
  }
  return runLoopback({ browser, open, ...rest });
}

async function runElectron(electron: string, demo: boolean): Promise<number> {
  const child = spawn(electron, [root, ...(demo ? ['--demo'] : [])], { stdio: 'inherit' });
  passSignals(child);
  const [code] = (await once(child, 'close')) as [number | null];
  return code ?? 1;
}

async function runLoopback({ demo, open, noBrowserSandbox, port }: StartOptions): Promise<number> {
  const host = spawn(
    process.execPath,
    [
      join(root, 'out', 'host', 'index.js'),
      '--json',
      ...(demo ? ['--demo'] : []),
      ...(noBrowserSandbox ? ['--no-browser-sandbox'] : []),
      ...(port === null ? [] : ['--port', port]),
    ],
    { stdio: ['ignore', 'pipe', 'inherit'] },
  );
  const ended = once(host, 'close') as Promise<[number | null]>;
  passSignals(host);
  const first = await Promise.race([firstLine(host), ended.then(() => null)]);
  if (first === null) return (await ended)[0] ?? 1;
  const { url, isOpenAlready } = JSON.parse(first) as { url: string | null; isOpenAlready: boolean };
  if (url === null) {
    say('Portsight is open already, and its window is not known here: go on there, or close it first.');
    return 0;
  }
  say(isOpenAlready ? `Portsight is open already: ${url}` : `Portsight is open: ${url}`);
  const program = open ? findBrowser() : null;
  if (program === null) {
    if (open) say('No Chromium, Chrome or Edge was found: open the address above in one. Ctrl+C ends Portsight.');
    return (await ended)[0] ?? 0;
  }
  if (isOpenAlready) {
    openWindow(program, url, noBrowserSandbox, true).unref();
    return 0;
  }
  const startedAt = performance.now();
  const window = openWindow(program, url, noBrowserSandbox, false);
  window.on('error', (error) =>
    say(`The browser could not be started (${error.message}): open the address above in another one.`),
  );
  const closed = once(window, 'close').catch(() => [1]) as Promise<[number | null]>;
  await Promise.race([closed, ended]);
  const [code] = await Promise.race([closed, Promise.resolve([null] as [null])]);
  if (host.exitCode === null && (performance.now() - startedAt < shortestBrowserRunMs || code !== 0)) {
    say('Portsight goes on in the browser window; Ctrl+C here ends it.');
    return (await ended)[0] ?? 0;
  }
  window.kill();
  host.kill();
  return (await ended)[0] ?? 0;
}

/** Our page in a window of its own, with a profile of its own: nothing of the user's browser is touched. */
function openWindow(program: string, url: string, noBrowserSandbox: boolean, detached: boolean): ChildProcess {
  const profile = join(dataFolder(), 'browser-profile');
  mkdirSync(profile, { recursive: true, mode: 0o700 });
  return spawn(
    program,
    [
      `--app=${url}`,
      `--user-data-dir=${profile}`,
      '--no-first-run',
      '--no-default-browser-check',
      ...sandboxSwitches(noBrowserSandbox),
    ],
    { stdio: 'ignore', detached },
  );
}

async function firstLine(child: ChildProcess): Promise<string | null> {
  if (child.stdout === null) return null;
  for await (const line of createInterface({ input: child.stdout })) return line;
  return null;
}

function passSignals(child: ChildProcess): void {
  for (const signal of ['SIGINT', 'SIGTERM'] as const) {
    process.on(signal, () => {
      child.kill(signal);
    });
  }
}
