import type { WebContents } from 'electron';
import { isOwnAddress, isOwnFrameAddress } from './addresses.ts';

/** Keeps a window on our own page: it goes nowhere else and opens no other window. */
export function guardNavigation(contents: WebContents, log: (sentence: string) => void): void {
  function refuse(event: { preventDefault(): void }, address: string): void {
    event.preventDefault();
    log(`refused to leave the page for ${address.slice(0, 200)}`);
  }
  contents.on('will-navigate', (details) => {
    if (!isOwnAddress(details.url)) refuse(details, details.url);
  });
  contents.on('will-redirect', (details) => {
    if (!isOwnAddress(details.url)) refuse(details, details.url);
  });
  contents.on('will-frame-navigate', (details) => {
    const isAllowed = details.isMainFrame ? isOwnAddress(details.url) : isOwnFrameAddress(details.url);
    if (!isAllowed) refuse(details, details.url);
  });
  contents.on('will-attach-webview', (event) => event.preventDefault());
  contents.setWindowOpenHandler(({ url }) => {
    log(`refused to open a window for ${url.slice(0, 200)}`);
    return { action: 'deny' };
  });
}
