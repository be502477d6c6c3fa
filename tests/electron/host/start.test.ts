import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { takeInstanceLock } from '../../../electron/database/instance-lock.ts';
import { dataFolder } from '../../../electron/database/location.ts';
import { findBrowser, sandboxSwitches } from '../../../electron/host/browser.ts';
import { readHostOptions } from '../../../electron/host/options.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

describe("the user's data folder", () => {
  it.each([
    [{ PORTSIGHT_DATA: '/tmp/elsewhere' }, 'linux', '/tmp/elsewhere'],
    [{}, 'linux', '/home/ada/.local/share/portsight'],
    [{ XDG_DATA_HOME: '/data/ada' }, 'linux', '/data/ada/portsight'],
    [{ XDG_DATA_HOME: 'relative' }, 'linux', '/home/ada/.local/share/portsight'],
    [{}, 'darwin', '/home/ada/Library/Application Support/Portsight'],
    [{ APPDATA: '/roaming' }, 'win32', '/roaming/Portsight'],
  ])('with %j on %s is %s', (environment, platform, expected) => {
    expect(dataFolder(environment, platform, '/home/ada')).toBe(expected);
  });

  it('is worked in by one program at a time', () => {
    const folder = temporaryFolder();
    const first = takeInstanceLock(folder);
    expect(takeInstanceLock(folder)).toBe('held_by_another');
    if (typeof first === 'object') first.release();
    const second = takeInstanceLock(folder);
    expect(typeof second).toBe('object');
    if (typeof second === 'object') second.release();
    expect(takeInstanceLock(join(folder, 'missing'))).toBe('not_possible');
  });
});

describe('the browser', () => {
  it.each([
    ['linux', { PATH: '/usr/local/bin:/usr/bin' }, '/usr/bin/chromium'],
    ['linux', { PATH: '' }, '/snap/bin/chromium'],
    [
      'win32',
      { PROGRAMFILES: '/pf', 'PROGRAMFILES(X86)': '/pf86' },
      join('/pf86', 'Microsoft', 'Edge', 'Application', 'msedge.exe'),
    ],
    ['darwin', { HOME: '/Users/ada' }, '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome'],
  ])('on %s is found where it usually lies', (platform, environment, expected) => {
    expect(findBrowser(environment, platform, (path) => path === expected)).toBe(expected);
  });

  it('that is named is taken, and none where none is wanted or there', () => {
    expect(findBrowser({ PORTSIGHT_BROWSER: '/opt/own' }, 'linux', () => true)).toBe('/opt/own');
    expect(findBrowser({ PORTSIGHT_BROWSER: '/opt/own' }, 'linux', () => false)).toBeNull();
    expect(findBrowser({ PORTSIGHT_BROWSER: 'none' }, 'linux', () => true)).toBeNull();
    expect(findBrowser({ PATH: '/usr/bin' }, 'linux', () => false)).toBeNull();
  });

  it('keeps its sandbox unless the documented switch says otherwise', () => {
    expect(readHostOptions([], {}).noBrowserSandbox).toBe(false);
    expect(sandboxSwitches(readHostOptions([], {}).noBrowserSandbox)).toEqual([]);
    expect(sandboxSwitches(readHostOptions(['--no-browser-sandbox'], {}).noBrowserSandbox)).toEqual(['--no-sandbox']);
    expect(readHostOptions([], { PORTSIGHT_NO_BROWSER_SANDBOX: '1' }).noBrowserSandbox).toBe(true);
  });
});

describe('options of the host', () => {
  it.each([[['--port', 'x']], [['--port', '65536']], [['--port', '1.5']], [['--unknown']]])('refuse %j', (args) => {
    expect(() => readHostOptions(args, {})).toThrow(TypeError);
  });
});
