import { contextBridge, ipcRenderer } from 'electron';
import type { Transport } from '../core/contract/client.ts';
import { messageNames } from '../core/contract/messages.ts';
import { announcementChannel, callChannel } from './shell/channels.ts';

const known = new Set<string>(messageNames);

/** All that the page gets of Electron: the contract's messages and announcements, never the raw pipe or its events. */
const transport: Transport = {
  call(name, input) {
    if (!known.has(name))
      return Promise.reject(new Error(`Not a message of this program: ${String(name).slice(0, 60)}`));
    return ipcRenderer.invoke(callChannel, name, input);
  },
  listen(listener) {
    const receive = (_event: unknown, announcement: unknown) => listener(announcement);
    ipcRenderer.on(announcementChannel, receive);
    return () => {
      ipcRenderer.off(announcementChannel, receive);
    };
  },
};

contextBridge.exposeInMainWorld('portsight', transport);
