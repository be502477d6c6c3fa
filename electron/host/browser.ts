import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/** Where Chromium, Chrome or Edge usually lie; asked in this order. */
function candidates(environment: Record<string, string | undefined>, platform: string): string[] {
  if (platform === 'win32') {
    const roots = [environment['PROGRAMFILES'], environment['PROGRAMFILES(X86)'], environment['LOCALAPPDATA']];
    return roots
      .filter((root) => root !== undefined && root !== '')
      .flatMap((root) => [
        join(root as string, 'Chromium', 'Application', 'chrome.exe'),
        join(root as string, 'Google', 'Chrome', 'Application', 'chrome.exe'),
        join(root as string, 'Microsoft', 'Edge', 'Application', 'msedge.exe'),
      ]);
  }
  if (platform === 'darwin') {
    return ['Chromium', 'Google Chrome', 'Microsoft Edge'].flatMap((name) =>
      ['/Applications', join(environment['HOME'] ?? '', 'Applications')].map((folder) =>
        join(folder, `${name}.app`, 'Contents', 'MacOS', name),
      ),
    );
  }
  const names = [
    'chromium',
    'chromium-browser',
    'google-chrome',
    'google-chrome-stable',
    'microsoft-edge',
    'microsoft-edge-stable',
  ];
  const folders = (environment['PATH'] ?? '').split(delimiter).filter((folder) => folder.startsWith('/'));
  return names.flatMap((name) =>
    [...folders, '/usr/bin', '/usr/local/bin', '/snap/bin'].map((folder) => join(folder, name)),
  );
}

/**
 * Finds the system's Chromium, Chrome or Edge; `PORTSIGHT_BROWSER` names another one, or `none` for none at all.
 * @returns path of the program, or null
 */
export function findBrowser(
  environment: Record<string, string | undefined> = process.env,
  platform: string = process.platform,
  exists: (path: string) => boolean = existsSync,
): string | null {
  const named = environment['PORTSIGHT_BROWSER'];
  if (named === 'none') return null;
  if (named !== undefined && named !== '') return exists(named) ? named : null;
  return candidates(environment, platform).find(exists) ?? null;
}

/**
 * Switch that starts the browser without its sandbox. Never the default: it is for tests run as root, where Chromium
 * refuses to start with it.
 */
export function sandboxSwitches(noBrowserSandbox: boolean): string[] {
  return noBrowserSandbox ? ['--no-sandbox'] : [];
}
