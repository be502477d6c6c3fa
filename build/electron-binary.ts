import { spawn } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

/** How long the download of Electron's binary is tried. */
const longestDownloadS = 20;

/**
 * Finds Electron's binary by its files; asking the package itself would start a download at once.
 * @param root folder of the clone
 * @returns path of the program, or null
 */
export function findElectron(
  root: string,
  environment: Record<string, string | undefined> = process.env,
  platform: string = process.platform,
): string | null {
  const packageFolder = join(root, 'node_modules', 'electron');
  const pathFile = join(packageFolder, 'path.txt');
  const usualName =
    platform === 'win32' ? 'electron.exe' : platform === 'darwin' ? 'Electron.app/Contents/MacOS/Electron' : 'electron';
  const name = existsSync(pathFile) ? readFileSync(pathFile, 'utf8') : usualName;
  const given = environment['ELECTRON_OVERRIDE_DIST_PATH'];
  const path = join(given === undefined || given === '' ? join(packageFolder, 'dist') : given, name);
  return existsSync(path) ? path : null;
}

/**
 * Lets the package fetch its binary, for at most 20 seconds and with progress.
 * @returns why it can't be had, or null where it is there now
 */
export function fetchElectron(root: string, say: (sentence: string) => void): Promise<string | null> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [join(root, 'node_modules', 'electron', 'install.js')], {
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    let complaint = '';
    child.stderr.on('data', (chunk: Buffer) => {
      complaint = (complaint + String(chunk)).slice(0, 2000);
    });
    let waitedS = 0;
    const ticker = setInterval(() => {
      waitedS += 1;
      if (waitedS >= longestDownloadS) child.kill('SIGKILL');
      else if (waitedS % 2 === 0) say(`Fetching Electron, ${waitedS} s of at most ${longestDownloadS} s`);
    }, 1000);
    child.on('error', (error) => {
      complaint = error.message;
    });
    child.on('close', (code) => {
      clearInterval(ticker);
      if (findElectron(root) !== null) resolve(null);
      else if (waitedS >= longestDownloadS) resolve(`its download took longer than ${longestDownloadS} s`);
      else resolve(code === 0 ? 'its download brought nothing' : shortReason(complaint));
    });
  });
}

function shortReason(complaint: string): string {
  const known =
    /(ENOTFOUND|ECONNREFUSED|ECONNRESET|ETIMEDOUT|EAI_AGAIN|ENETUNREACH|ENOSPC|EACCES|HTTPError|Response code \d+)/.exec(
      complaint,
    );
  return known === null ? 'its download failed' : `its download failed (${known[1]})`;
}
