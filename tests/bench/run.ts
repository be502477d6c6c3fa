/** `npm run bench -- NAME [--json]`: runs one benchmark; without a name it lists them. */
import { defaultExportOf, namesIn } from '../support/named-modules.ts';
import type { Bench, BenchResult } from './bench.ts';

const folder = import.meta.dirname;
const names = namesIn(folder, ['run.ts', 'bench.ts']);

function isBench(candidate: unknown): candidate is Bench {
  return (
    typeof candidate === 'object' &&
    candidate !== null &&
    'name' in candidate &&
    'run' in candidate &&
    typeof candidate.run === 'function'
  );
}

const shown = (value: number): string =>
  Math.abs(value) >= 1000 ? Math.round(value).toLocaleString('en-GB') : String(Number(value.toPrecision(4)));

function table(rows: readonly (readonly string[])[]): string {
  const widths = (rows[0] ?? []).map((_, column) => Math.max(...rows.map((row) => row[column]?.length ?? 0)));
  return rows
    .map((row) =>
      row
        .map((cell, column) => cell.padEnd(widths[column] ?? 0))
        .join('  ')
        .trimEnd(),
    )
    .join('\n');
}

function report(name: string, { figures, limits }: BenchResult): string {
  const parts = [`Benchmark ${name}`];
  if (figures.length > 0) parts.push(table(figures.map(({ what, value, unit }) => [what, shown(value), unit])));
  if (limits.length > 0) {
    parts.push(
      table(
        limits.map(({ what, value, limit, ok }) => [what, shown(value), `limit ${shown(limit)}`, ok ? 'ok' : 'MISSED']),
      ),
    );
  }
  return parts.join('\n\n');
}

async function main(args: readonly string[]): Promise<number> {
  const name = args.find((arg) => !arg.startsWith('--'));
  if (name === undefined) {
    console.log(`Benchmarks: ${names.join(', ')}\nRun one with: npm run bench -- NAME [--json]`);
    return 0;
  }
  if (!names.includes(name)) {
    console.error(`There is no benchmark "${name}". There are: ${names.join(', ')}`);
    return 2;
  }
  const bench = await defaultExportOf(folder, name);
  if (!isBench(bench)) throw new Error(`tests/bench/${name}.ts has no benchmark as its default export`);
  const result = await bench.run();
  console.log(report(bench.name, result));
  if (args.includes('--json')) console.log(JSON.stringify({ name: bench.name, ...result }));
  return result.limits.every(({ ok }) => ok) ? 0 : 1;
}

process.exitCode = await main(process.argv.slice(2));
