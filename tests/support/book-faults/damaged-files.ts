import { mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { bookFileName } from '../../../electron/database/location.ts';
import { seededRandom } from '../archive-mutations.ts';
import { quantityReading } from '../book-records.ts';
import { openBookSession } from '../book-session.ts';
import { fillBook } from '../books.ts';

export interface DamageReport {
  files: number;
  /** How each damaged file fared. */
  outcomes: Record<string, number>;
  /** Values shown that were never stored, things that vanished without a word, and crashes. */
  silent: string[];
}

interface Truth {
  mockUps: Map<string, MockUpWhole>;
  list: string;
  pictures: Map<string, string>;
}

/** A closed book with two builds, pictures and some hundred readings. */
async function makeBook(folder: string): Promise<Truth> {
  const { client, books } = await openBookSession(folder);
  const pictures = new Map<string, string>();
  for (const title of ['One', 'Two']) {
    const { mockUp, pictureId } = await fillBook(client, title);
    for (let count = 0; count < 60; count += 1)
      await client.call('reading.add', { reading: quantityReading(mockUp.id, count / 7) });
    pictures.set(pictureId, (await client.call('picture.get', { id: pictureId })).bytes);
  }
  const mockUps = new Map<string, MockUpWhole>();
  for (const { id } of await client.call('mockUp.list', {})) mockUps.set(id, await client.call('mockUp.whole', { id }));
  const list = JSON.stringify((await client.call('book.list', {})).rows);
  books.close();
  return { mockUps, list, pictures };
}

/**
 * Opens truncated and bit-flipped copies of a book and asks each for everything it holds. Every answer must be the
 * truth or a refusal with a sentence; where something is missing, the opening or the check must have said so.
 */
export async function openDamagedFiles(
  folder: string,
  files: number,
  seed: number,
  say: (line: string) => void,
): Promise<DamageReport> {
  const random = seededRandom(seed);
  const original = join(folder, 'original');
  mkdirSync(original, { recursive: true });
  const truth = await makeBook(original);
  const sound = readFileSync(join(original, bookFileName));
  const workplace = readFileSync(join(original, 'workplace.json'));
  const report: DamageReport = { files, outcomes: {}, silent: [] };
  for (let count = 0; count < files; count += 1) {
    const copy = join(folder, 'copy');
    rmSync(copy, { recursive: true, force: true });
    mkdirSync(copy);
    writeFileSync(join(copy, bookFileName), damage(sound, random));
    writeFileSync(join(copy, 'workplace.json'), workplace);
    const outcome = await askForEverything(copy, truth).catch((error: unknown) => `crash: ${String(error)}`);
    if (outcome.startsWith('silent') || outcome.startsWith('crash')) report.silent.push(`file ${count}: ${outcome}`);
    const kind = outcome.split(':')[0] ?? outcome;
    report.outcomes[kind] = (report.outcomes[kind] ?? 0) + 1;
    if ((count + 1) % 200 === 0) say(`${count + 1} damaged files: ${JSON.stringify(report.outcomes)}`);
  }
  return report;
}

function damage(sound: Buffer, random: () => number): Buffer {
  const draw = random();
  if (draw < 0.3) return sound.subarray(0, Math.floor(random() * sound.length));
  const bytes = Buffer.from(sound);
  const flips = draw < 0.7 ? 1 : 1 + Math.floor(random() * 20);
  for (let count = 0; count < flips; count += 1) {
    const at = Math.floor(random() * bytes.length);
    bytes[at] = (bytes[at] ?? 0) ^ (1 << Math.floor(random() * 8));
  }
  return bytes;
}

async function askForEverything(folder: string, truth: Truth): Promise<string> {
  const { client, dispatch, books, logged } = await openBookSession(folder);
  try {
    if (books.problem() !== null) return 'refused at the start';
    const { readOnlyReason } = await client.call('app.info', {});
    let refusals = 0;
    const ask = async (name: string, input: unknown): Promise<unknown> => {
      const envelope = await dispatch(name, input);
      if (envelope.ok) return envelope.value;
      if (envelope.error.code === 'fault') throw new Error(`${name}: ${logged.join(' | ').slice(0, 400)}`);
      refusals += 1;
      return null;
    };
    const differences: string[] = [];
    for (const [id, whole] of truth.mockUps) {
      const shown = (await ask('mockUp.whole', { id })) as MockUpWhole | null;
      if (shown !== null && JSON.stringify(shown) !== JSON.stringify(whole)) differences.push(`mock-up ${id}`);
    }
    for (const [id, bytes] of truth.pictures) {
      const shown = (await ask('picture.get', { id })) as { bytes: string } | null;
      if (shown !== null && shown.bytes !== bytes) differences.push(`picture ${id}`);
    }
    const list = await ask('book.list', {});
    if (list !== null && JSON.stringify((list as { rows: unknown[] }).rows) !== truth.list) differences.push('list');
    if (differences.length > 0 && readOnlyReason === null) {
      const check = await client.call('book.check', {});
      return `silent: ${differences.join(', ')} (${check.findings.slice(0, 2).join('; ')})`;
    }
    if (differences.length > 0) return 'for reading only, said to be damaged, not all of it shown';
    if (readOnlyReason !== null)
      return refusals > 0 ? 'for reading only, some rows refused' : 'for reading only, all shown';
    return refusals > 0 ? 'some rows refused' : 'all shown as stored';
  } finally {
    books.close();
  }
}
