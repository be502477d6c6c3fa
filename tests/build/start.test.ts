import { mkdirSync, utimesSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { findElectron } from '../../build/electron-binary.ts';
import { isBuildCurrent } from '../../build/is-current.ts';
import { readStartOptions, startHelp } from '../../build/start-options.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

function file(root: string, path: string, text = 'x', atS?: number): void {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), text);
  if (atS !== undefined) utimesSync(join(root, path), atS, atS);
}

describe("Electron's binary", () => {
  it('is found by its files alone, under the name that the package noted', () => {
    const root = temporaryFolder();
    expect(findElectron(root, {}, 'linux')).toBeNull();
    file(root, 'node_modules/electron/path.txt', 'electron');
    expect(findElectron(root, {}, 'linux')).toBeNull();
    file(root, 'node_modules/electron/dist/electron');
    expect(findElectron(root, {}, 'linux')).toBe(join(root, 'node_modules/electron/dist/electron'));
  });

  it('is looked for in the folder that the environment names', () => {
    const root = temporaryFolder();
    const elsewhere = temporaryFolder();
    file(elsewhere, 'electron.exe');
    expect(findElectron(root, { ELECTRON_OVERRIDE_DIST_PATH: elsewhere }, 'win32')).toBe(
      join(elsewhere, 'electron.exe'),
    );
    expect(findElectron(root, { ELECTRON_OVERRIDE_DIST_PATH: elsewhere }, 'linux')).toBeNull();
  });
});

describe('the build', () => {
  const sources = [
    'core/a.ts',
    'electron/a.ts',
    'renderer/a.ts',
    'native-fixtures/a',
    'vite.config.ts',
    'package.json',
    'package-lock.json',
  ];
  const products = ['out/host/index.js', 'out/main/index.js', 'out/preload/index.cjs', 'out/renderer/index.html'];

  function tree(): string {
    const root = temporaryFolder();
    for (const path of sources) file(root, path, 'x', 1000);
    for (const folder of ['core', 'electron', 'renderer', 'native-fixtures'])
      utimesSync(join(root, folder), 1000, 1000);
    for (const path of products) file(root, path, 'x', 2000);
    return root;
  }

  it('is current where every product is newer than every source', () => {
    expect(isBuildCurrent(tree())).toBe(true);
  });

  it.each(sources)('is not current after a change of %s', (path) => {
    const root = tree();
    file(root, path, 'y', 3000);
    expect(isBuildCurrent(root)).toBe(false);
  });

  it('is not current where something was never built', () => {
    const root = temporaryFolder();
    for (const path of sources) file(root, path, 'x', 1000);
    expect(isBuildCurrent(root)).toBe(false);
  });
});

describe('options of npm start', () => {
  it('open a window with the browser sandbox on by default', () => {
    expect(readStartOptions([], {})).toEqual({
      demo: false,
      open: true,
      browser: false,
      noBrowserSandbox: false,
      help: false,
      port: null,
    });
  });

  it('know the switches that the help names', () => {
    for (const name of ['--demo', '--browser', '--no-open', '--no-browser-sandbox', '--help']) {
      expect(startHelp).toContain(name);
      expect(() => readStartOptions([name], {})).not.toThrow();
    }
    expect(readStartOptions(['--no-browser-sandbox'], {}).noBrowserSandbox).toBe(true);
    expect(readStartOptions([], { PORTSIGHT_NO_BROWSER_SANDBOX: '1' }).noBrowserSandbox).toBe(true);
    expect(() => readStartOptions(['--unknown'], {})).toThrow(/unknown/);
  });
});
