import { BrowserWindow, type BrowserWindowConstructorOptions } from 'electron';
import { pageAddress } from './addresses.ts';
import { guardNavigation } from './navigation.ts';

/** What a window with our page may do: nothing but draw it and talk through the preload. */
export function windowOptions(preload: string): BrowserWindowConstructorOptions {
  return {
    width: 1360,
    height: 860,
    minWidth: 900,
    minHeight: 600,
    show: false,
    backgroundColor: '#1b1d1f',
    title: 'Portsight',
    webPreferences: {
      preload,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      nodeIntegrationInWorker: false,
      nodeIntegrationInSubFrames: false,
      webSecurity: true,
      allowRunningInsecureContent: false,
      webviewTag: false,
      navigateOnDragDrop: false,
      spellcheck: false,
      // The wheel is read on while the window is covered by another one.
      backgroundThrottling: false,
    },
  };
}

export async function openWindow(preload: string, log: (sentence: string) => void): Promise<BrowserWindow> {
  const window = new BrowserWindow(windowOptions(preload));
  guardNavigation(window.webContents, log);
  window.once('ready-to-show', () => window.show());
  await window.loadURL(pageAddress);
  return window;
}
