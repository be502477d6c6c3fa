import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { openDamagedFiles } from '../support/book-faults/damaged-files.ts';
import { fillByFileLimit, fillByPages } from '../support/book-faults/full-disk.ts';
import { fuzzImport } from '../support/book-faults/fuzz-import.ts';
import { killAtRandom } from '../support/book-faults/kill-at-random.ts';
import type { Proof } from './proof.ts';

const say = (line: string): void => console.log(`  ${line}`);

/**
 * Faults on real files: nothing acknowledged is lost, no crash, no silent wrong value.
 * Options: --steps 1000 --files 1000 --archives 10000 --pages 40 --seed 1 --only kill|damage|disk|fuzz
 */
const proof: Proof = {
  name: 'book',
  async run(args) {
    const { values } = parseArgs({
      args: [...args],
      options: {
        steps: { type: 'string', default: '1000' },
        files: { type: 'string', default: '1000' },
        archives: { type: 'string', default: '10000' },
        pages: { type: 'string', default: '40' },
        seed: { type: 'string', default: '20260301' },
        only: { type: 'string' },
      },
    });
    const folder = mkdtempSync(join(tmpdir(), 'portsight-proof-'));
    const seed = Number(values.seed);
    const faults: string[] = [];
    const wanted = (part: string) => values.only === undefined || values.only === part;
    try {
      if (wanted('kill')) {
        console.log(`Killing a working process at random moments, ${values.steps} acknowledged steps`);
        const report = await killAtRandom(join(folder, 'kill'), Number(values.steps), seed, say);
        say(`${report.kills} kills; acknowledged ${JSON.stringify(report.acknowledged)}; lost ${report.lost.length}`);
        faults.push(...report.lost);
      }
      if (wanted('damage')) {
        console.log(`Truncated and bit-flipped files, ${values.files}`);
        const report = await openDamagedFiles(join(folder, 'damage'), Number(values.files), seed, say);
        say(`${JSON.stringify(report.outcomes)}; silent ${report.silent.length}`);
        faults.push(...report.silent);
      }
      if (wanted('disk')) {
        console.log(`A full disk at every page, ${values.pages} places, and under the system's file limit`);
        const pages = await fillByPages(join(folder, 'pages'), Number(values.pages));
        say(
          `${pages.places} places: ${pages.stored} stamps stored and found again, refused ${JSON.stringify(pages.refusals)}`,
        );
        const limit = await fillByFileLimit(join(folder, 'limit'), [40, 64, 100, 150, 220, 300]);
        if (limit === null) say('this system has no file limit to try');
        else
          say(
            `${limit.places} limits: ${limit.stored} stamps stored and found again, refused ${JSON.stringify(limit.refusals)}`,
          );
        faults.push(...pages.faults, ...(limit?.faults ?? []));
      }
      if (wanted('fuzz')) {
        console.log(`Mutated archives, ${values.archives}`);
        const report = await fuzzImport(join(folder, 'fuzz'), Number(values.archives), seed, say);
        say(
          `${JSON.stringify(report.outcomes)}; intact ${report.intactMs.toFixed(0)} ms, slowest ${report.slowestMs.toFixed(0)} ms`,
        );
        faults.push(...report.faults);
      }
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
    for (const fault of faults.slice(0, 20)) console.log(`  FAULT ${fault}`);
    return faults.length === 0;
  },
};

export default proof;
