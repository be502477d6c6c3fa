import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { mutateArchive, seededRandom } from '../archive-mutations.ts';
import { openBookSession } from '../book-session.ts';
import { exportBytes, fillBook, importBytes } from '../books.ts';

export interface FuzzReport {
  archives: number;
  outcomes: Record<string, number>;
  intactMs: number;
  slowestMs: number;
  /** Crashes, hangs and files that appeared where none belong. */
  faults: string[];
}

/** A hang is an import that takes longer than this many times the intact archive. */
const hangFactor = 20;
/** Timer noise of a busy computer is no hang. */
const shortestIntactMs = 25;

/** Imports so many mutated archives into one book; it must refuse or take each, and stay sound. */
export async function fuzzImport(
  folder: string,
  archives: number,
  seed: number,
  say: (line: string) => void,
): Promise<FuzzReport> {
  for (const name of ['source', 'intact', 'target']) mkdirSync(join(folder, name), { recursive: true });
  const source = await openBookSession(join(folder, 'source'));
  await fillBook(source.client);
  const good = await exportBytes(source.client, { scope: 'book' });
  source.books.close();
  /** Into a new book each time, so that every row has to be stored. */
  const timeIntact = async (): Promise<number> => {
    const place = mkdtempSync(join(folder, 'intact', 'book-'));
    const intact = await openBookSession(place);
    const start = performance.now();
    await importBytes(intact.client, good);
    const tookMs = performance.now() - start;
    intact.books.close();
    rmSync(place, { recursive: true, force: true });
    return tookMs;
  };
  const intactMs = await timeIntact();
  const target = await openBookSession(join(folder, 'target'));
  const before = namesBelow(folder);
  const hangMs = (standardMs: number) => hangFactor * Math.max(standardMs, shortestIntactMs);
  const random = seededRandom(seed);
  const report: FuzzReport = { archives, outcomes: {}, intactMs, slowestMs: 0, faults: [] };
  for (let count = 0; count < archives; count += 1) {
    const { bytes, what } = mutateArchive(good, random);
    const attempt = async (): Promise<{ outcome: string; tookMs: number }> => {
      const began = performance.now();
      const outcome =
        bytes.length === 0
          ? 'empty'
          : await importBytes(target.client, bytes).then(
              () => 'imported',
              (error: unknown) => (error as { code?: string }).code ?? 'crash',
            );
      return { outcome, tookMs: performance.now() - began };
    };
    const first = await attempt();
    const { outcome } = first;
    let { tookMs } = first;
    let standardMs = intactMs;
    // A computer that was busy elsewhere is no hang: the intact archive is timed anew, and this one right after it.
    for (let again = 0; again < 3 && tookMs > hangMs(standardMs); again += 1) {
      standardMs = await timeIntact();
      tookMs = (await attempt()).tookMs;
    }
    report.slowestMs = Math.max(report.slowestMs, tookMs);
    report.outcomes[outcome] = (report.outcomes[outcome] ?? 0) + 1;
    if (outcome === 'fault' || outcome === 'crash')
      report.faults.push(`archive ${count} (${what}): ${target.logged.at(-1)?.slice(0, 300) ?? ''}`);
    if (tookMs > hangMs(standardMs)) {
      report.faults.push(
        `archive ${count} (${what}) took ${tookMs.toFixed(0)} ms, the intact one ${standardMs.toFixed(0)} ms`,
      );
    }
    if ((count + 1) % 2000 === 0) say(`${count + 1} archives: ${JSON.stringify(report.outcomes)}`);
  }
  report.faults.push(...(await target.client.call('book.check', {})).findings);
  for (const name of namesBelow(folder)) if (!before.includes(name)) report.faults.push(`a file appeared: ${name}`);
  if (existsSync('/tmp/escape.txt') || existsSync('/etc/escape')) report.faults.push('a file appeared outside');
  target.books.close();
  return report;
}

function namesBelow(folder: string): string[] {
  return readdirSync(folder, { recursive: true })
    .map(String)
    .filter(
      (name) =>
        statSync(join(folder, name)).isFile() && !name.includes('book.portsight.sqlite') && !name.includes('incoming'),
    );
}
