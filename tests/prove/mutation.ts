import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { constants, setPriority } from 'node:os';
import { join } from 'node:path';
import { z } from 'zod';
import type { Proof } from './proof.ts';

const root = join(import.meta.dirname, '..', '..');
const reports = join(root, 'reports', 'mutation');

/** Subjects of the measurement maths; the picture code, the contract and the bench's own logic have other proofs. */
const subjects: Readonly<Record<string, readonly string[]>> = {
  base: ['core/units.ts', 'core/checks.ts', 'core/errors.ts', 'core/provenance.ts', 'core/catalogue.ts'],
  uncertainty: ['core/uncertainty/*.ts'],
  numerics: ['core/numerics/*.ts'],
  crank: ['core/crank/*.ts'],
  ports: ['core/ports/*.ts'],
  area: ['core/area/*.ts'],
  squish: ['core/squish/*.ts'],
  volumes: ['core/volumes/*.ts'],
  ignition: ['core/ignition/*.ts'],
  fits: ['core/fits/*.ts'],
  planner: ['core/planner/*.ts'],
  'rules-of-thumb': ['core/rules-of-thumb/*.ts'],
  catalogue: ['core/catalogue/*.ts'],
};

/**
 * Subject whose tables are left out: their thousands of titles, units and sources are compared as a whole with a kept
 * copy (tests/core/catalogue), and each would cost a complete test run. Its functions are broken like all others.
 */
const withoutTables: ReadonlySet<string> = new Set(['catalogue']);

/** Part of the mutants that tests must notice, %. */
const leastScore = 85;

const reportSchema = z.object({
  files: z.record(
    z.string(),
    z.object({
      mutants: z.array(
        z.object({
          status: z.string(),
          mutatorName: z.string(),
          replacement: z.string().optional(),
          location: z.object({ start: z.object({ line: z.number(), column: z.number() }) }),
        }),
      ),
    }),
  ),
});
type Report = z.infer<typeof reportSchema>;

interface Score {
  readonly noticed: number;
  readonly unnoticed: number;
}

const percent = ({ noticed, unnoticed }: Score): number => (100 * noticed) / Math.max(1, noticed + unnoticed);

/** Breaks the files of one subject in every way the tool knows, one at a time, and runs the tests that reach them. */
function mutate(name: string, files: readonly string[]): Report {
  const file = join(reports, `${name}.json`);
  const settings = {
    ...(JSON.parse(readFileSync(join(import.meta.dirname, 'mutation.json'), 'utf8')) as object),
    mutate: files,
    ignoreStatic: withoutTables.has(name),
    jsonReporter: { fileName: file },
    incrementalFile: join(reports, `${name}-known.json`),
  };
  const config = join(reports, `${name}-settings.json`);
  writeFileSync(config, JSON.stringify(settings));
  const stryker = join(root, 'node_modules', '@stryker-mutator', 'core', 'bin', 'stryker.js');
  const { status, stdout, stderr } = spawnSync(process.execPath, [stryker, 'run', config], {
    cwd: root,
    encoding: 'utf8',
  });
  if (status !== 0) throw new Error(`the mutation run of ${name} ended with ${status}\n${stdout}\n${stderr}`);
  return reportSchema.parse(JSON.parse(readFileSync(file, 'utf8')));
}

function scoreOf(report: Report): Score {
  const mutants = Object.values(report.files).flatMap((entry) => entry.mutants);
  const count = (...statuses: string[]): number => mutants.filter(({ status }) => statuses.includes(status)).length;
  return { noticed: count('Killed', 'Timeout'), unnoticed: count('Survived', 'NoCoverage') };
}

function survivors(report: Report): string[] {
  return Object.entries(report.files).flatMap(([file, { mutants }]) =>
    mutants
      .filter(({ status }) => status === 'Survived' || status === 'NoCoverage')
      .map(({ location, mutatorName, replacement = '' }) => {
        const { line, column } = location.start;
        return `  ${file}:${line}:${column} ${mutatorName} -> ${replacement.replaceAll(/\s+/g, ' ').slice(0, 80)}`;
      }),
  );
}

const proof: Proof = {
  name: 'mutation',
  run: async (args) => {
    mkdirSync(reports, { recursive: true });
    // Thousands of small test runs must not slow down whoever else works here.
    setPriority(constants.priority.PRIORITY_BELOW_NORMAL);
    const wanted = args.filter((arg) => !arg.startsWith('--'));
    const chosen = wanted.length === 0 ? Object.keys(subjects) : wanted;
    const total = { noticed: 0, unnoticed: 0 };
    for (const name of chosen) {
      const files = subjects[name];
      if (files === undefined) throw new Error(`no subject "${name}"; there are ${Object.keys(subjects).join(', ')}`);
      const report = mutate(name, files);
      const score = scoreOf(report);
      total.noticed += score.noticed;
      total.unnoticed += score.unnoticed;
      const all = score.noticed + score.unnoticed;
      console.log(
        `${name.padEnd(16)} ${String(all).padStart(5)} mutants  ${percent(score).toFixed(1).padStart(5)} % killed`,
      );
      if (args.includes('--survivors')) console.log(survivors(report).join('\n'));
    }
    const all = total.noticed + total.unnoticed;
    console.log(
      `${'together'.padEnd(16)} ${String(all).padStart(5)} mutants  ${percent(total).toFixed(1).padStart(5)} % killed, at least ${leastScore} wanted`,
    );
    return percent(total) >= leastScore;
  },
};

export default proof;
