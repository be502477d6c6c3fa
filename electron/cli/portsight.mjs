#!/usr/bin/env node
// Starts the `portsight` command on Node 24, whichever Node npx itself runs on.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const root = join(here, '..', '..');
const carried = join(root, 'node_modules', '.bin', process.platform === 'win32' ? 'node.exe' : 'node');
const [major = 0] = process.versions.node.split('.').map(Number);
const node = major >= 24 || !existsSync(carried) ? process.execPath : carried;
const result = spawnSync(node, [join(here, 'index.ts'), ...process.argv.slice(2)], { stdio: 'inherit' });
if (result.error) console.error(`Node could not be started: ${result.error.message}`);
process.exit(result.status ?? 1);
