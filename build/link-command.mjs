// Puts the project's own command beside the installed ones, so that `npx portsight` works inside a clone.
// Runs on whatever Node started npm, hence plain JavaScript without any dependency.
import { chmodSync, existsSync, mkdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const binFolder = join(root, 'node_modules', '.bin');
const command = join(root, 'electron', 'cli', 'portsight.mjs');

if (existsSync(command)) {
  mkdirSync(binFolder, { recursive: true });
  if (process.platform === 'win32') {
    writeFileSync(join(binFolder, 'portsight.cmd'), `@node "${command}" %*\r\n`);
  } else {
    const link = join(binFolder, 'portsight');
    rmSync(link, { force: true });
    symlinkSync(join('..', '..', 'electron', 'cli', 'portsight.mjs'), link);
    chmodSync(command, 0o755);
  }
}
