/** The `portsight` command: picks the subcommand; each is loaded only when asked for. */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';

interface Subcommand {
  readonly summary: string;
  readonly run: (args: string[]) => Promise<number>;
}

interface ReadWheel {
  readonly readWheel: (args: string[]) => Promise<number>;
}

const subcommands: Readonly<Record<string, Subcommand>> = {
  'check-numbers': {
    summary: 'FILE                    run a file of reference numbers through the measurement maths',
    run: async (args) => (await import('./check-numbers.ts')).checkNumbers(args),
  },
  'print-wheel': {
    summary: '[options] OUT.pdf       draw a degree wheel with a coded ring to print and cut out',
    run: async (args) => (await import('./print-wheel.ts')).printWheel(args),
  },
  'read-wheel': {
    summary: 'DIR [--frames FILE]     read a degree wheel from a folder of pictures',
    run: async (args) => {
      const loaded = (await import(new URL('./read-wheel.ts', import.meta.url).href)) as ReadWheel;
      return loaded.readWheel(args);
    },
  },
};

function help(): string {
  const lines = Object.entries(subcommands).map(([name, { summary }]) => `  ${name.padEnd(14)} ${summary}`);
  return [
    'portsight: reads a degree wheel and computes the mock-up of a two-stroke engine.',
    '',
    'Usage: portsight COMMAND [options]',
    '',
    ...lines,
    '',
    '  --help         this text; after a command, the help of that command',
    '  --version      the version of the program',
    '',
    'The app itself is started with npm start.',
  ].join('\n');
}

async function version(): Promise<string> {
  const text = await readFile(join(import.meta.dirname, '..', '..', 'package.json'), 'utf8');
  const parsed: unknown = JSON.parse(text);
  return typeof parsed === 'object' && parsed !== null && 'version' in parsed ? String(parsed.version) : 'unknown';
}

/** Runs the command line. @returns the exit code: 0 done, 1 done with failures, 2 not understood */
export async function portsight(args: string[]): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name === '--help' || name === '-h' || name === 'help') {
    console.log(help());
    return name === undefined ? 2 : 0;
  }
  if (name === '--version') {
    console.log(await version());
    return 0;
  }
  const subcommand = Object.hasOwn(subcommands, name) ? subcommands[name] : undefined;
  if (subcommand === undefined) {
    console.error(`portsight knows no command "${name}".\n\n${help()}`);
    return 2;
  }
  return subcommand.run(rest);
}

// A reader that stops early (a pager, head) closes the pipe; that is no failure of ours.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  if (error.code !== 'EPIPE') throw error;
  process.exit(0);
});

process.exitCode = await portsight(process.argv.slice(2));
