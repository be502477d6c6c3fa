import { mkdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';

export const bookFileName = 'book.portsight.sqlite';

/**
 * Folder of the user's data, as the platform wants it; `PORTSIGHT_DATA` overrides it.
 * @param environment usually `process.env`
 * @param platform usually `process.platform`
 */
export function dataFolder(
  environment: Record<string, string | undefined> = process.env,
  platform: string = process.platform,
  home: string = homedir(),
): string {
  const given = environment['PORTSIGHT_DATA'];
  if (given !== undefined && given !== '') return given;
  if (platform === 'win32') return join(environment['APPDATA'] ?? join(home, 'AppData', 'Roaming'), 'Portsight');
  if (platform === 'darwin') return join(home, 'Library', 'Application Support', 'Portsight');
  const xdg = environment['XDG_DATA_HOME'];
  return join(xdg?.startsWith('/') ? xdg : join(home, '.local', 'share'), 'portsight');
}

/** Makes the folder, readable for this user alone, where it is missing; a failure is left to the opening of the file. */
export function ensureFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
  } catch {
    // Opening the book in it says the same with a sentence of its own.
  }
}
