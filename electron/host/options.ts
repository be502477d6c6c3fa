import { parseArgs } from 'node:util';
import { preferredPort } from './server.ts';

export interface HostOptions {
  readonly port: number;
  /** Page from its sources with hot reload instead of the built files. */
  readonly development: boolean;
  readonly demo: boolean;
  /** Print one JSON line instead of a sentence. */
  readonly json: boolean;
  readonly noBrowserSandbox: boolean;
  /** Folder of the built page, where it isn't the program's own. */
  readonly pageFolder: string | null;
}

/** @throws TypeError with a sentence where an option is not known */
export function readHostOptions(
  args: readonly string[],
  environment: Record<string, string | undefined> = process.env,
): HostOptions {
  const { values } = parseArgs({
    args: [...args],
    options: {
      port: { type: 'string' },
      dev: { type: 'boolean', default: false },
      demo: { type: 'boolean', default: false },
      json: { type: 'boolean', default: false },
      page: { type: 'string' },
      'no-browser-sandbox': { type: 'boolean', default: false },
    },
  });
  const port = Number(values.port ?? environment['PORTSIGHT_PORT'] ?? preferredPort);
  if (!Number.isInteger(port) || port < 0 || port > 65535) {
    throw new TypeError(`The port must be a whole number from 0 to 65535, not "${values.port ?? ''}".`);
  }
  return {
    port,
    development: values.dev,
    demo: values.demo,
    json: values.json,
    noBrowserSandbox: values['no-browser-sandbox'] || environment['PORTSIGHT_NO_BROWSER_SANDBOX'] === '1',
    pageFolder: values.page ?? null,
  };
}
