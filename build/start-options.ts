import { parseArgs } from 'node:util';

export interface StartOptions {
  readonly demo: boolean;
  /** Open a window; otherwise the address is printed. */
  readonly open: boolean;
  /** Skip Electron and use the system's browser. */
  readonly browser: boolean;
  readonly noBrowserSandbox: boolean;
  readonly help: boolean;
  /** Handed on to the loopback host. */
  readonly port: string | null;
}

export const startHelp = `npm start -- [options]

  --demo                 open with the demo book: four barrels of a hire-kart workshop, and a recorded camera
  --browser              don't look for Electron, use the system's Chromium, Chrome or Edge
  --no-open              print the address instead of opening a window
  --port NUMBER          port of the loopback host; without it 47831, or another one where that is taken
  --no-browser-sandbox   start the browser without its sandbox: only for tests run as root, never for daily work
  --help                 show this

Environment:
  PORTSIGHT_DATA         folder of the book, instead of the platform's own
  PORTSIGHT_BROWSER      path of the browser to use; "none" for none
  PORTSIGHT_NO_BROWSER_SANDBOX=1   the same as --no-browser-sandbox
  ELECTRON_OVERRIDE_DIST_PATH      folder with Electron's binary
`;

/** @throws TypeError with a sentence where an option is not known */
export function readStartOptions(
  args: readonly string[],
  environment: Record<string, string | undefined>,
): StartOptions {
  const { values } = parseArgs({
    args: [...args],
    options: {
      demo: { type: 'boolean', default: false },
      browser: { type: 'boolean', default: false },
      'no-open': { type: 'boolean', default: false },
      'no-browser-sandbox': { type: 'boolean', default: false },
      port: { type: 'string' },
      help: { type: 'boolean', default: false },
    },
  });
  return {
    demo: values.demo,
    open: !values['no-open'],
    browser: values.browser,
    noBrowserSandbox: values['no-browser-sandbox'] || environment['PORTSIGHT_NO_BROWSER_SANDBOX'] === '1',
    help: values.help,
    port: values.port ?? null,
  };
}
