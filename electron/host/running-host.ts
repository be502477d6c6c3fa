import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';

const fileSchema = z.object({ url: z.url(), processId: z.int() });

/** Where the running host is found by a second start; readable for this user alone since the address opens the book. */
function path(folder: string): string {
  return join(folder, 'running-host.json');
}

export function announceRunningHost(folder: string, url: string): void {
  try {
    rmSync(path(folder), { force: true });
    writeFileSync(path(folder), JSON.stringify({ url, processId: process.pid }), { mode: 0o600, flag: 'wx' });
  } catch {
    // Without the file a second start can only say that Portsight is open already.
  }
}

export function withdrawRunningHost(folder: string): void {
  rmSync(path(folder), { force: true });
}

/** @returns the running host's address, or null where it isn't known */
export function findRunningHost(folder: string): string | null {
  try {
    const { url } = fileSchema.parse(JSON.parse(readFileSync(path(folder), 'utf8')));
    return new URL(url).hostname === '127.0.0.1' ? url : null;
  } catch {
    return null;
  }
}
