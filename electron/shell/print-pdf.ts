import { BrowserWindow, session } from 'electron';
import { sheetPolicy } from '../host/policy.ts';
import { pageScheme } from './addresses.ts';
import { guardNavigation } from './navigation.ts';

const sheetAddress = `${pageScheme}://sheet/`;

/**
 * Prints a kept sheet through a hidden window that can run nothing and load nothing from outside.
 * The page size stands in the sheet's own styles, so the drawing keeps its scale.
 */
export async function printPdfInHiddenWindow(html: string, log: (sentence: string) => void): Promise<Uint8Array> {
  const printing = session.fromPartition('sheet-printing');
  printing.setPermissionRequestHandler((_contents, _permission, answer) => answer(false));
  if (printing.protocol.isProtocolHandled(pageScheme)) printing.protocol.unhandle(pageScheme);
  printing.protocol.handle(
    pageScheme,
    () =>
      new Response(html, {
        headers: { 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': sheetPolicy },
      }),
  );
  const window = new BrowserWindow({
    show: false,
    webPreferences: {
      session: printing,
      contextIsolation: true,
      sandbox: true,
      nodeIntegration: false,
      javascript: false,
      webviewTag: false,
    },
  });
  try {
    guardNavigation(window.webContents, log);
    await window.loadURL(sheetAddress);
    return await window.webContents.printToPDF({
      preferCSSPageSize: true,
      printBackground: true,
      margins: { top: 0, bottom: 0, left: 0, right: 0 },
    });
  } finally {
    window.destroy();
  }
}
