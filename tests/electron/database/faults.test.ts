import { describe, expect, it } from 'vitest';
import { openDamagedFiles } from '../../support/book-faults/damaged-files.ts';
import { fillByFileLimit, fillByPages } from '../../support/book-faults/full-disk.ts';
import { fuzzImport } from '../../support/book-faults/fuzz-import.ts';
import { killAtRandom } from '../../support/book-faults/kill-at-random.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

/* Seeded slices of `npm run prove -- book`, which runs the same at full length. */
const quiet = (): void => {};

describe('faults on real files', () => {
  it('a process killed at random moments has lost nothing that it acknowledged', { timeout: 120_000 }, async () => {
    const report = await killAtRandom(temporaryFolder(), 60, 4, quiet);
    expect(report.lost).toEqual([]);
    expect(report.kills).toBeGreaterThan(1);
    expect(report.acknowledged['stamp']).toBeGreaterThan(20);
  });

  it('truncated and bit-flipped books show the truth or refuse, and say what they are', {
    timeout: 120_000,
  }, async () => {
    const report = await openDamagedFiles(temporaryFolder(), 60, 5, quiet);
    expect(report.silent).toEqual([]);
    expect(report.outcomes['refused at the start']).toBeGreaterThan(0);
  });

  it('a disk that is full at any page refuses the stamp and keeps the earlier ones', { timeout: 120_000 }, async () => {
    const report = await fillByPages(temporaryFolder(), 6);
    expect(report.faults).toEqual([]);
    expect(report.refusals['disk_full']).toBeGreaterThan(0);
    expect(report.stored).toBeGreaterThan(0);
  });

  it('a file that the system lets grow no further keeps every acknowledged stamp', {
    timeout: 120_000,
  }, async (ctx) => {
    const report = await fillByFileLimit(temporaryFolder(), [100]);
    ctx.skip(report === null, 'this system has no file limit to try');
    expect(report?.faults).toEqual([]);
    expect(report?.stored).toBeGreaterThan(0);
  });

  it('mutated archives are taken or refused without crash, hang or stray files', { timeout: 120_000 }, async () => {
    const report = await fuzzImport(temporaryFolder(), 150, 6, quiet);
    expect(report.faults).toEqual([]);
    expect(report.outcomes['inconsistent']).toBeGreaterThan(50);
  });
});
