import { readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';

const sources = [
  'core',
  'electron',
  'renderer',
  'native-fixtures',
  'vite.config.ts',
  'package.json',
  'package-lock.json',
];
const products = ['out/host/index.js', 'out/main/index.js', 'out/preload/index.cjs', 'out/renderer/index.html'];

/** Is everything built, and nothing of it older than a source? */
export function isBuildCurrent(root: string): boolean {
  try {
    const oldestProduct = Math.min(...products.map((path) => statSync(join(root, path)).mtimeMs));
    return sources.every((path) => newestTime(join(root, path)) <= oldestProduct);
  } catch {
    // Something isn't built yet.
    return false;
  }
}

function newestTime(path: string): number {
  const found = statSync(path);
  if (!found.isDirectory()) return found.mtimeMs;
  // The folder's own time tells of files that were removed.
  return readdirSync(path).reduce((newest, name) => Math.max(newest, newestTime(join(path, name))), found.mtimeMs);
}
