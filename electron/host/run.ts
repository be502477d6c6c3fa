import { join } from 'node:path';
import { createClient } from '../../core/contract/client.ts';
import type { Announcement } from '../../core/contract/messages.ts';
import { startDailyBackups } from '../database/daily-backup.ts';
import { createBookHolder } from '../database/holder.ts';
import { takeInstanceLock } from '../database/instance-lock.ts';
import { bookFileName, dataFolder, ensureFolder } from '../database/location.ts';
import { createPreferences } from '../database/preferences.ts';
import { loadDemo } from '../demo/load.ts';
import { createBookDispatch } from '../handlers/index.ts';
import { programVersion } from '../version.ts';
import { findBrowser } from './browser.ts';
import { createLog } from './log.ts';
import type { HostOptions } from './options.ts';
import { createPdfPrinter } from './print-pdf.ts';
import { announceRunningHost, findRunningHost, withdrawRunningHost } from './running-host.ts';
import { type DevelopmentServer, type LoopbackHost, startLoopbackHost } from './server.ts';

/** Opens the book and serves it until the process is told to end. */
export async function runHost(options: HostOptions, pageFolder: string): Promise<void> {
  const folder = options.demo ? join(dataFolder(), 'demo') : dataFolder();
  ensureFolder(folder);
  const log = createLog(folder);
  const lock = takeInstanceLock(folder);
  if (lock === 'held_by_another') {
    const url = findRunningHost(folder);
    say(options, url, url === null ? 'Portsight is open already.' : `Portsight is open already at ${url}`, true);
    return;
  }
  const books = await createBookHolder(join(folder, bookFileName), { log });
  const browser = findBrowser();
  let host: LoopbackHost | null = null;
  const announce = (announcement: Announcement) => host?.announce(announcement);
  const dailyBackups = startDailyBackups(books, {
    log,
    tell: (sentence) => announce({ topic: 'notice', sentence }),
  });
  const dispatch = createBookDispatch({
    books,
    preferences: createPreferences(folder),
    version: programVersion,
    shell: 'loopback',
    demo: options.demo,
    notices: () => [host?.portNotice ?? null, dailyBackups.problem()].filter((sentence) => sentence !== null),
    announce,
    printPdf: browser === null ? null : createPdfPrinter({ browser, noBrowserSandbox: options.noBrowserSandbox, log }),
    log,
  });
  if (options.demo && books.problem() === null)
    await loadDemo(createClient({ call: dispatch, listen: () => () => {} }));
  host = await startLoopbackHost({
    dispatch,
    pageFolder,
    port: options.port,
    log,
    ...(options.development ? { development: loadDevelopmentServer } : {}),
  });
  announceRunningHost(folder, host.url);
  say(options, host.url, `Portsight is open at ${host.url}`, false);
  let isEnding = false;
  async function end(): Promise<void> {
    if (isEnding) return;
    isEnding = true;
    withdrawRunningHost(folder);
    await host?.close();
    dailyBackups.stop();
    books.close();
    if (typeof lock === 'object') lock.release();
    process.exit(0);
  }
  process.on('SIGINT', () => void end());
  process.on('SIGTERM', () => void end());
}

function say(options: HostOptions, url: string | null, sentence: string, isOpenAlready: boolean): void {
  console.log(options.json ? JSON.stringify({ url, isOpenAlready }) : sentence);
}

/** Found at run time only: the development server is no part of the built program. */
async function loadDevelopmentServer(server: import('node:http').Server): Promise<DevelopmentServer> {
  const address = new URL('./development.ts', import.meta.url).href;
  const { developmentServer } = (await import(/* @vite-ignore */ address)) as typeof import('./development.ts');
  return developmentServer(server);
}
