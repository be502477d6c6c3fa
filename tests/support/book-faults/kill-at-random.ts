import { spawn } from 'node:child_process';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { checkAside } from '../../../electron/database/aside.ts';
import { backupFolder, listBackups } from '../../../electron/database/backup.ts';
import { getPicture } from '../../../electron/database/pictures.ts';
import { seededRandom } from '../archive-mutations.ts';
import { makeMockUp } from '../book-records.ts';
import { openBookSession } from '../book-session.ts';
import { exportBytes, fillBook } from '../books.ts';

interface Acknowledged {
  what: 'stamp' | 'undo' | 'import' | 'backup' | 'refused';
  id: string;
  value?: number;
  code?: string;
}

export interface KillReport {
  acknowledged: Record<string, number>;
  kills: number;
  /** What was acknowledged and isn't there, or is there with another value. */
  lost: string[];
}

const importedBuilds = 6;

/** A book with a mock-up, and archives of other builds to import into it. */
async function prepare(folder: string): Promise<{ book: string; archives: string }> {
  const book = join(folder, 'book');
  const archives = join(folder, 'archives');
  const source = join(folder, 'source');
  for (const path of [book, archives, source]) mkdirSync(path, { recursive: true });
  const from = await openBookSession(source);
  for (let count = 0; count < importedBuilds; count += 1) {
    const { build } = await fillBook(from.client, `Imported ${count}`);
    writeFileSync(
      join(archives, `${build.id}.zip`),
      await exportBytes(from.client, { scope: 'build', buildIds: [build.id] }),
    );
  }
  from.books.close();
  const own = await openBookSession(book);
  await makeMockUp(own.client, 'Own');
  own.books.close();
  return { book, archives };
}

/**
 * Kills a working process at random moments until so many steps were acknowledged; after each kill everything
 * acknowledged must be there, with its value and picture, and the file must be sound.
 */
export async function killAtRandom(
  folder: string,
  steps: number,
  seed: number,
  say: (line: string) => void,
): Promise<KillReport> {
  const random = seededRandom(seed);
  const { book, archives } = await prepare(folder);
  const report: KillReport = { acknowledged: {}, kills: 0, lost: [] };
  const all: Acknowledged[] = [];
  while (all.length < steps) {
    const lines = await oneLife(
      book,
      archives,
      Math.floor(random() * 1e9),
      Math.ceil(random() * 60),
      steps - all.length,
      random() * 12,
    );
    report.kills += 1;
    for (const line of lines) {
      if (line.what === 'refused') report.lost.push(`a step was refused: ${line.code ?? ''}`);
      else {
        all.push(line);
        report.acknowledged[line.what] = (report.acknowledged[line.what] ?? 0) + 1;
      }
    }
    report.lost.push(...(await missing(book, all)));
    if (report.lost.length > 0) break;
    if (report.kills % 20 === 0) say(`${all.length} steps acknowledged, ${report.kills} kills, nothing lost`);
    thinOut(book);
  }
  return report;
}

/** One process from its start to its violent end, which comes some milliseconds after one of its acknowledgements. */
async function oneLife(
  book: string,
  archives: string,
  seed: number,
  killAfter: number,
  left: number,
  delayMs: number,
): Promise<Acknowledged[]> {
  const worker = join(import.meta.dirname, 'worker.ts');
  const child = spawn(
    process.execPath,
    [worker, book, archives, String(seed), String(Math.min(left, killAfter + 40))],
    {
      stdio: ['ignore', 'pipe', 'inherit'],
    },
  );
  const lines: Acknowledged[] = [];
  const ended = new Promise<void>((resolve) => child.once('close', () => resolve()));
  createInterface({ input: child.stdout }).on('line', (text) => {
    lines.push(JSON.parse(text) as Acknowledged);
    if (lines.length === killAfter) setTimeout(() => child.kill('SIGKILL'), delayMs);
  });
  await ended;
  return lines;
}

async function missing(folder: string, all: readonly Acknowledged[]): Promise<string[]> {
  const session = await openBookSession(folder);
  try {
    const problem = session.books.problem();
    if (problem !== null) return [problem.message];
    const { database, read, readOnlyReason } = session.books.book();
    const lost: string[] = readOnlyReason === null ? [] : [readOnlyReason];
    const check = await session.client.call('book.check', {});
    lost.push(...check.findings);
    const readings = new Map(
      read
        .all<{ id: string; content: string }>('SELECT id, content FROM reading')
        .map(({ id, content }) => [
          id,
          JSON.parse(content) as { pictureId: string | null; subject: { value?: number } },
        ]),
    );
    const has = (table: string, id: string) =>
      database.prepare(`SELECT 1 FROM ${table} WHERE id = ?`).get(id) !== undefined;
    for (const { what, id, value } of all) {
      if (what === 'stamp') {
        const reading = readings.get(id);
        if (reading?.subject.value !== value) lost.push(`stamp ${id}`);
        else if (reading?.pictureId != null) getPicture(read, reading.pictureId);
      } else if (what === 'undo' && !has('reading_mark', id)) lost.push(`undo ${id}`);
      else if (what === 'import' && !has('build', id)) lost.push(`import of ${id}`);
    }
    const backups = new Set(listBackups(session.path).map(({ name }) => name));
    const expected = all.filter(({ what, id }) => what === 'backup' && !removedBackups.has(id));
    for (const { id } of expected) {
      if (!backups.has(id)) lost.push(`backup ${id}`);
      else if ((await checkAside(join(backupFolder(session.path), id))).length > 0)
        lost.push(`backup ${id} is not sound`);
    }
    return lost;
  } finally {
    session.books.close();
  }
}

/** Backups were looked at once; a proof of a thousand steps needn't keep them all on the disk. */
const removedBackups = new Set<string>();
function thinOut(folder: string): void {
  const path = join(folder, 'book.portsight.sqlite');
  for (const { name } of listBackups(path).slice(2)) {
    removedBackups.add(name);
    rmSync(join(backupFolder(path), name), { force: true });
  }
}
