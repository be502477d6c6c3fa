import { join } from 'node:path';
import { app, type BrowserWindow, dialog, protocol, session } from 'electron';
import { createClient } from '../../core/contract/client.ts';
import type { Announcement } from '../../core/contract/messages.ts';
import { startDailyBackups } from '../database/daily-backup.ts';
import { createBookHolder } from '../database/holder.ts';
import { takeInstanceLock } from '../database/instance-lock.ts';
import { bookFileName, dataFolder, ensureFolder } from '../database/location.ts';
import { createPreferences } from '../database/preferences.ts';
import { loadDemo } from '../demo/load.ts';
import { createBookDispatch } from '../handlers/index.ts';
import { createLog } from '../host/log.ts';
import { programVersion } from '../version.ts';
import { answerCalls } from './calls.ts';
import { announcementChannel } from './channels.ts';
import { setMenu } from './menu.ts';
import { guardPermissions } from './permissions.ts';
import { printPdfInHiddenWindow } from './print-pdf.ts';
import { announceScheme, servePage } from './scheme.ts';
import { openWindow } from './window.ts';

/** Built files beside out/main/index.js. */
const pageFolder = join(import.meta.dirname, '..', 'renderer');
const preload = join(import.meta.dirname, '..', 'preload', 'index.cjs');

/** Starts the desktop program; a start that fails ends with its reason instead of an empty screen. */
export async function startShell(): Promise<void> {
  try {
    await start();
  } catch (error) {
    dialog.showErrorBox('Portsight could not start', error instanceof Error ? error.message : String(error));
    app.quit();
  }
}

/** The single-instance lock comes before anything opens the book. */
async function start(): Promise<void> {
  if (!app.requestSingleInstanceLock()) {
    app.quit();
    return;
  }
  app.enableSandbox();
  announceScheme();
  let window: BrowserWindow | null = null;
  app.on('second-instance', () => {
    if (window === null) return;
    if (window.isMinimized()) window.restore();
    window.focus();
  });
  await app.whenReady();

  const demo = process.argv.includes('--demo');
  const folder = demo ? join(dataFolder(), 'demo') : dataFolder();
  ensureFolder(folder);
  const log = createLog(folder);
  // The loopback host works in the same folder: both must not write in it at once.
  const lock = takeInstanceLock(folder);
  if (lock === 'held_by_another') {
    dialog.showErrorBox(
      'Portsight is open already',
      'Portsight is open in a browser window. Go on there, or close it first.',
    );
    app.quit();
    return;
  }
  const books = await createBookHolder(join(folder, bookFileName), { log });
  const announce = (announcement: Announcement) => window?.webContents.send(announcementChannel, announcement);
  const dailyBackups = startDailyBackups(books, { log, tell: (sentence) => announce({ topic: 'notice', sentence }) });
  const dispatch = createBookDispatch({
    books,
    preferences: createPreferences(folder),
    version: programVersion,
    shell: 'electron',
    demo,
    notices: () => [dailyBackups.problem()].filter((sentence) => sentence !== null),
    announce,
    printPdf: (html) => printPdfInHiddenWindow(html, log),
    log,
  });
  if (demo && books.problem() === null) await loadDemo(createClient({ call: dispatch, listen: () => () => {} }));
  guardPermissions(session.defaultSession);
  servePage(protocol, pageFolder);
  answerCalls(dispatch, log);
  setMenu();
  window = await openWindow(preload, log);
  window.on('closed', () => {
    window = null;
  });
  app.on('window-all-closed', () => app.quit());
  app.on('will-quit', () => {
    dailyBackups.stop();
    books.close();
    if (typeof lock === 'object') lock.release();
  });
}
