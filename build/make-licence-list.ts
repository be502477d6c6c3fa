/**
 * Writes THIRD-PARTY-NOTICES.md: the packages that go into the program, with licence and version.
 * Run it after a change of the dependencies: `node build/make-licence-list.ts`. With `--check` it only compares.
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

interface Manifest {
  name: string;
  version: string;
  license?: string;
  dependencies?: Record<string, string>;
}

const root = join(import.meta.dirname, '..');
const file = join(root, 'THIRD-PARTY-NOTICES.md');

/** Direct packages that end up in the page, the host or the packed program; the rest are tools. */
const shipped = [
  '@fontsource-variable/inter',
  '@opencvjs/web',
  'better-sqlite3',
  'd3-scale',
  'd3-shape',
  'electron',
  'fft.js',
  'fflate',
  'ml-matrix',
  'react',
  'react-dom',
  'sharp',
  'uuid',
  'ws',
  'zod',
  'zustand',
];

function manifestOf(name: string): Manifest {
  return JSON.parse(readFileSync(join(root, 'node_modules', name, 'package.json'), 'utf8')) as Manifest;
}

/** The page of notices for what is installed now. */
export function licenceList(): string {
  const rows = shipped.map(manifestOf).map(({ name, version, license }) => {
    if (license === undefined) throw new Error(`${name} names no licence in its package.json: look it up and note it.`);
    return `| ${name} | ${version} | ${license} |`;
  });
  return [
    '# What Portsight is built from',
    '',
    'Packages that go into the program, each under its own licence; the full texts lie in their folders of `node_modules`',
    'and are packed with the program. Made by `node build/make-licence-list.ts`.',
    '',
    '| package | version | licence |',
    '| --- | --- | --- |',
    ...rows,
    '',
    'OpenCV (inside @opencvjs/web) is under Apache-2.0, SQLite (inside better-sqlite3) is in the public domain, libvips',
    '(beside sharp) is under LGPL-3.0-or-later and linked as a library of its own, and the typeface is under OFL-1.1.',
    '',
  ].join('\n');
}

if (import.meta.main) {
  if (process.argv.includes('--check')) {
    if (readFileSync(file, 'utf8') !== licenceList()) {
      console.error('THIRD-PARTY-NOTICES.md is out of date: run node build/make-licence-list.ts');
      process.exitCode = 1;
    }
  } else {
    writeFileSync(file, licenceList());
  }
}
