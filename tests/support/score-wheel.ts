import { readFileSync } from 'node:fs';
import { type ScoredLine, type SetTruth, scoreWheel } from './wheel-score.ts';

/**
 * `npm run score-wheel -- TRUTH RESULTS [--found]`: the lines of `portsight read-wheel` against the truth of a reference set.
 * `--found` applies the limits for wheels that were found without an outline. Exit code 1 where a limit is missed.
 */
const args = process.argv.slice(2);
const found = args.includes('--found');
const [truthPath, resultsPath] = args.filter((a) => !a.startsWith('--'));
if (truthPath === undefined || resultsPath === undefined) {
  console.error('Usage: npm run score-wheel -- TRUTH RESULTS [--found]');
  process.exit(2);
}
const truth = JSON.parse(readFileSync(truthPath, 'utf8')) as SetTruth;
const lines = readFileSync(resultsPath, 'utf8')
  .split('\n')
  .filter((line) => line.startsWith('{'))
  .map((line) => JSON.parse(line) as ScoredLine);
const score = scoreWheel(truth, lines, found);
for (const remark of score.remarks) console.log(remark);
console.log(
  `${score.acceptedUsable} of ${score.usable} usable frames read, ${score.acceptedUnusable} of ${score.unusable} unusable ones; not found: ${score.setupsNotFound.join(', ') || 'none'}`,
);
for (const v of score.verdicts)
  console.log(
    `${v.ok ? 'ok    ' : 'MISSED'} ${v.what}: ${Number.isInteger(v.value) ? v.value : v.value.toFixed(4)} (${v.limit})`,
  );
process.exitCode = score.ok ? 0 : 1;
