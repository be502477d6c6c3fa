import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { v7 } from 'uuid';
import { bookFileName } from '../../../electron/database/location.ts';
import { makeMockUp, onePixelJpeg, quantityReading } from '../book-records.ts';
import { openBookSession } from '../book-session.ts';

export interface FullDiskReport {
  places: number;
  stored: number;
  refusals: Record<string, number>;
  faults: string[];
}

/** Lets the file grow by one page more each time, until the steps get through: the fault is tried at every point. */
export async function fillByPages(folder: string, mostPages: number): Promise<FullDiskReport> {
  const report: FullDiskReport = { places: 0, stored: 0, refusals: {}, faults: [] };
  for (let pages = 0; pages < mostPages; pages += 1) {
    const place = join(folder, `pages-${pages}`);
    mkdirSync(place, { recursive: true });
    const { client, books } = await openBookSession(place);
    const { mockUp } = await makeMockUp(client);
    const { database } = books.book();
    database.pragma(`max_page_count = ${(database.pragma('page_count', { simple: true }) as number) + pages}`);
    const kept: string[] = [];
    for (let count = 0; count < 12; count += 1) {
      const pictureId = v7();
      try {
        const { id } = await client.call('reading.add', {
          reading: quantityReading(mockUp.id, count, { pictureId, note: 'x'.repeat(700) }),
          pictures: [{ id: pictureId, mime: 'image/jpeg', widthPx: 1, heightPx: 1, bytes: onePixelJpeg }],
        });
        kept.push(id);
      } catch (error) {
        const { code } = error as { code: string };
        report.refusals[code] = (report.refusals[code] ?? 0) + 1;
        if (code !== 'disk_full') report.faults.push(`with ${pages} pages left: ${code}`);
      }
    }
    const shown = (await client.call('mockUp.whole', { id: mockUp.id })).readings.map(({ id }) => id);
    if (JSON.stringify(shown) !== JSON.stringify(kept))
      report.faults.push(`with ${pages} pages left other readings are there than were acknowledged`);
    report.faults.push(...(await client.call('book.check', {})).findings);
    report.places += 1;
    report.stored += kept.length;
    books.close();
    rmSync(place, { recursive: true, force: true });
  }
  return report;
}

/**
 * Lets the system itself refuse to let files grow (`ulimit -f`), the write-ahead log included.
 * @returns null where the system has no such limit
 */
export async function fillByFileLimit(folder: string, limitsBlocks: readonly number[]): Promise<FullDiskReport | null> {
  if (process.platform === 'win32') return null;
  const report: FullDiskReport = { places: 0, stored: 0, refusals: {}, faults: [] };
  for (const blocks of limitsBlocks) {
    const place = join(folder, `limit-${blocks}`);
    const archives = join(place, 'no-archives');
    mkdirSync(archives, { recursive: true });
    const before = await openBookSession(place);
    await makeMockUp(before.client);
    before.books.close();
    const size = Math.ceil(statSync(join(place, bookFileName)).size / 1024);
    // The signal is ignored so that the write fails as it would on a full disk, instead of ending the process.
    const command = `trap '' XFSZ; ulimit -f ${size + blocks}; exec "${process.execPath}" "${join(import.meta.dirname, 'worker.ts')}" "${place}" "${archives}" 7 400`;
    const { stdout } = spawnSync('bash', ['-c', command], { encoding: 'utf8', maxBuffer: 10_000_000 });
    const lines = stdout
      .split('\n')
      .filter((line) => line !== '')
      .map((line) => JSON.parse(line) as { what: string; id: string; code?: string });
    const after = await openBookSession(place);
    const problem = after.books.problem();
    if (problem !== null) report.faults.push(problem.message);
    else {
      const { database } = after.books.book();
      for (const { what, id, code } of lines) {
        if (what === 'refused') report.refusals[code ?? ''] = (report.refusals[code ?? ''] ?? 0) + 1;
        else if (what === 'stamp') {
          if (database.prepare('SELECT 1 FROM reading WHERE id = ?').get(id) === undefined)
            report.faults.push(`stamp ${id} lost`);
          report.stored += 1;
        }
      }
      report.faults.push(...(await after.client.call('book.check', {})).findings);
    }
    report.places += 1;
    after.books.close();
    rmSync(place, { recursive: true, force: true });
  }
  return report;
}
